package webchat_test

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/roster/rostertest"
	"gasmuster/internal/webchat"
)

// stage is the pages on an embedded store, with the real door and postman.
type stage struct {
	t       *testing.T
	mini    *miniredis.Miniredis
	store   *rdb.Store
	door    *counting
	handler http.Handler
	pages   *webchat.Pages
	invites delivery.Invites
	trip    *roster.Trip
	log     *strings.Builder
}

// counting is the door, with what came through it and a switch to break it.
type counting struct {
	*delivery.Door
	got  []delivery.Inbound
	fail error
}

func (c *counting) Handle(ctx context.Context, in delivery.Inbound) (*delivery.Reply, error) {
	if c.fail != nil {
		return nil, c.fail
	}
	c.got = append(c.got, in)
	return c.Door.Handle(ctx, in)
}

func newStage(t *testing.T, change func(*webchat.Deps)) *stage {
	t.Helper()
	s := &stage{t: t, mini: miniredis.RunT(t), invites: delivery.NewInvites("a secret for tests"),
		log: new(strings.Builder)}
	client, err := rdb.Open("redis://" + s.mini.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { client.Close() })
	s.store = rdb.New(client)
	log := slog.New(slog.NewTextHandler(s.log, &slog.HandlerOptions{Level: slog.LevelDebug, ReplaceAttr: withoutTime}))
	quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
	var postman *delivery.Postman
	var appended func(roster.TripID, roster.PersonID)
	door := delivery.NewDoor(delivery.DoorConfig{Store: rostertest.Watch(t, s.store), Addresses: s.store.Addresses(),
		Pages:   s.store.Chats(),
		Invites: s.invites, Kick: func() { postman.Kick() }, Log: quiet})
	postman = delivery.NewPostman(delivery.PostmanConfig{Outbox: s.store.Outbox(), Door: door, Log: quiet,
		Senders: []delivery.Sender{delivery.WebSender{Chats: s.store.Chats(), Now: time.Now,
			Appended: func(t roster.TripID, p roster.PersonID) { appended(t, p) }}}})
	s.door = &counting{Door: door}
	s.book()
	d := webchat.Deps{Door: s.door, Chats: s.store.Chats(), Renderer: message.New(), Log: log, Patience: time.Minute}
	d.Limiter = s.store.Limiter()
	if change != nil {
		change(&d)
	}
	s.pages = webchat.New(d)
	s.handler = s.pages
	appended = s.pages.Appended
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { postman.Run(ctx); close(done) }()
	t.Cleanup(func() { cancel(); <-done })
	return s
}

func (s *stage) book() {
	s.t.Helper()
	now := time.Now()
	trip := roster.Change(roster.NewTrip("", "one"))
	*trip.EditPlan() = roster.Plan{Name: "Saturday <two>-tank", Zone: "Atlantic/Azores", Departs: now.Add(10 * time.Hour),
		Policy: gas.DefaultPolicy(gas.Metres), Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20}},
		Analysers: []roster.Analyser{{Name: "A"}}}
	trip.AddPerson(&roster.Person{Name: "Inês", Leader: true, Card: gas.CardSeen}, "", now)
	trip.AddPerson(&roster.Person{Name: "Marit <b>x</b>", Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{Label: "7", Asked: 32, Dive: 1}}}, "", now)
	trip.AddPerson(&roster.Person{Name: "Bento", Crew: true}, "", now)
	var err error
	if s.trip, err = s.door.Create(context.Background(), trip); err != nil {
		s.t.Fatal(err)
	}
}

// diver and leader are the addresses of the two pages.
func (s *stage) diver() string { return s.page(1) }

func (s *stage) leader() string { return s.page(0) }

func (s *stage) page(i int) string {
	p := s.trip.People[i]
	return "/c/" + s.invites.Code(s.trip.ID, p.ID, p.Generation)
}

func (s *stage) get(path string, header ...string) *httptest.ResponseRecorder {
	return s.send(httptest.NewRequest(http.MethodGet, path, nil), header)
}

func (s *stage) post(page string, form url.Values, header ...string) *httptest.ResponseRecorder {
	return s.postTo(page+"/messages", form, header...)
}

func (s *stage) postTo(path string, form url.Values, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.send(r, header)
}

func (s *stage) send(r *http.Request, header []string) *httptest.ResponseRecorder {
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	return w
}

// opens presses the button of a person's page, and looks at it.
func (s *stage) opens(page string) string {
	s.t.Helper()
	if w := s.postTo(page+"/join", nil); w.Code != http.StatusSeeOther || w.Header().Get("Location") != page+"#due" {
		s.t.Fatalf("joining answers %d to %q", w.Code, w.Header().Get("Location"))
	}
	return s.get(page).Body.String()
}

// kinds are the kinds of what came through the door.
func (s *stage) kinds() (kinds []conversation.Kind) {
	for _, in := range s.door.got {
		kinds = append(kinds, in.Kind)
	}
	return kinds
}
