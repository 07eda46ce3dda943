package webhook

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"
	standardwebhooks "github.com/standard-webhooks/standard-webhooks/libraries/go"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// receiver is a shop's system: it verifies with the specification's own
// library, and answers as it is told to.
type receiver struct {
	*httptest.Server
	mu     sync.Mutex
	got    []string // ids that were answered with 2xx
	tried  int
	answer func(id string) (status int, header map[string]string)
	secret []string // every one must verify
	bodies map[string]string
	bad    []string
}

func newReceiver(t *testing.T) *receiver {
	r := &receiver{bodies: map[string]string{}}
	r.Server = httptest.NewServer(http.HandlerFunc(r.take))
	t.Cleanup(r.Close)
	return r
}

func (r *receiver) take(w http.ResponseWriter, req *http.Request) {
	body, _ := io.ReadAll(req.Body)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.tried++
	id := req.Header.Get("webhook-id")
	for _, secret := range r.secret {
		hook, err := standardwebhooks.NewWebhook(secret)
		if err == nil {
			err = hook.VerifyIgnoringTimestamp(body, req.Header) // its clock can't be set
		}
		if err != nil {
			r.bad = append(r.bad, id+": "+err.Error())
		}
	}
	if before, again := r.bodies[id]; again && before != string(body) {
		r.bad = append(r.bad, id+": another body the second time")
	}
	r.bodies[id] = string(body)
	status := http.StatusNoContent
	if r.answer != nil {
		code, header := r.answer(id)
		status = code
		for k, v := range header {
			w.Header().Set(k, v)
		}
	}
	w.WriteHeader(status)
	if status < 300 {
		r.got = append(r.got, id)
	}
}

func (r *receiver) answers(status int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.answer = func(string) (int, map[string]string) { return status, nil }
}

// stage is a store, a teller, a receiver, and a clock that the test moves.
type stage struct {
	*testing.T
	mini   *miniredis.Miniredis
	store  *rdb.Store
	desk   Desk
	teller *Teller
	rec    *receiver
	door   *fakeDoor
	trips  map[roster.TripID]*roster.Trip // as they were stored last
	now    time.Time
	log    *strings.Builder
}

const shop roster.ShopID = "harbour"

func newStage(t *testing.T) *stage {
	t.Helper()
	s := &stage{T: t, mini: miniredis.RunT(t), now: time.Date(2027, 5, 15, 6, 0, 0, 0, time.UTC), rec: newReceiver(t),
		log:   &strings.Builder{},
		trips: map[roster.TripID]*roster.Trip{}}
	s.mini.SetTime(s.now)
	client, err := rdb.Open("redis://" + s.mini.Addr())
	must(t, err)
	t.Cleanup(func() { client.Close() })
	clock := func() time.Time { return s.now }
	s.store = rdb.New(client)
	s.store.Now = clock
	sealer, err := NewSealer("a secret for tests")
	must(t, err)
	s.desk = Desk{News: s.store.News(), Trips: s.store, Sealer: sealer, AllowPrivate: true, Now: clock}
	s.door = &fakeDoor{told: map[roster.TripID]int{}}
	s.teller = New(Config{News: s.store.News(), Trips: s.store, Door: s.door, Sealer: sealer, Client: NewClient(true),
		Now:  clock,
		Dice: func() float64 { return 0.5 }, Log: slog.New(slog.NewTextHandler(s.log, nil))})
	return s
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// fakeDoor counts the notices to leaders.
type fakeDoor struct{ told map[roster.TripID]int }

func (d *fakeDoor) Apply(_ context.Context, id roster.TripID, _ string,
	change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip, error) {
	trip := roster.NewTrip(id, shop)
	trip.Plan = &roster.Plan{Departs: time.Date(2027, 5, 15, 8, 0, 0, 0, time.UTC), Dives: []roster.Dive{{}}}
	c, err := change(trip)
	if err == nil && c.Unheard {
		d.told[id]++
	}
	return nil, err
}

// register registers the receiver and lets it verify with the secret.
func (s *stage) register() roster.Endpoint {
	s.Helper()
	e, secret, err := s.desk.Register(s.Context(), shop, s.rec.URL)
	must(s.T, err)
	s.rec.secret = []string{secret}
	return e
}

// happens commits n events on a trip, which is stored first when it isn't yet.
func (s *stage) happens(trip *roster.Trip, n int) {
	s.Helper()
	was := s.trips[trip.ID]
	if was != nil {
		trip = was
	}
	c := roster.Commit{Was: was, Trip: trip, Token: roster.NewToken(), Expire: s.now.Add(30 * day)}
	for i := range n {
		b, err := json.Marshal(conversation.Happening{Type: "reading.recorded", At: s.now,
			Data: map[string]any{"percent": 30 + float64(i)/10}})
		must(s.T, err)
		c.Events = append(c.Events, b)
	}
	stored, err := s.store.Commit(s.Context(), c)
	must(s.T, err)
	s.trips[trip.ID] = stored
}

func newTrip(id roster.TripID) *roster.Trip {
	t := roster.NewTrip(id, shop)
	t.Plan = &roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Policy: gas.DefaultPolicy(gas.Metres),
		Departs: time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC), Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30)}}}
	return t
}

// tell lets the teller work until nothing is due any more.
func (s *stage) tell() {
	s.Helper()
	free := make(chan struct{}, 8)
	for range 200 {
		var busy sync.WaitGroup
		n, err := s.teller.round(s.Context(), free, &busy)
		must(s.T, err)
		busy.Wait()
		if n == 0 {
			return
		}
	}
	s.Fatal("the teller finds no end")
}

// passes moves the clock in steps, telling at each.
func (s *stage) passes(d, step time.Duration) {
	s.Helper()
	for end := s.now.Add(d); s.now.Before(end); {
		s.now = s.now.Add(step)
		s.tell()
	}
}

func (s *stage) wantGot(ids ...string) {
	s.Helper()
	if diff := cmp.Diff(ids, s.rec.got); diff != "" {
		s.Errorf("received (-want +got):\n%s", diff)
	}
	for _, b := range s.rec.bad {
		s.Error(b)
	}
}

func ids(trip string, from, to int) []string {
	var list []string
	for i := from; i <= to; i++ {
		list = append(list, fmt.Sprintf("%s_%d", trip, i))
	}
	return list
}
