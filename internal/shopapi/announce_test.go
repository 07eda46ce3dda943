package shopapi_test

import (
	"context"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

type heard struct {
	Name, State, Reason string
	Invite              *struct{ Code string }
}

func states(list []heard) map[string]string {
	by := map[string]string{}
	for _, h := range list {
		by[h.Name] = h.State
	}
	return by
}

// onTelegram lets a person join with a phone of that chat id.
func (s *stage) onTelegram(p person, chat string) roster.Address {
	s.t.Helper()
	from := roster.Address{Channel: "telegram", ID: chat}
	s.now = s.now.Add(time.Minute)
	source := "tg:" + chat
	if _, err := s.door.Handle(context.Background(), delivery.Inbound{Kind: conversation.Text, Source: source, Ref: source,
		From: from, At: s.now, Text: "/start " + p.Invite.Code}); err != nil {
		s.t.Fatal(err)
	}
	return from
}

// send empties the outbox, as channels would that take everything.
func (s *stage) send() (said []roster.Envelope) {
	s.t.Helper()
	for {
		s.now = s.now.Add(time.Second)
		claimed, err := s.store.Outbox().Claim(context.Background(), roster.NewToken(), s.now, time.Minute, 50, nil)
		if err != nil {
			s.t.Fatal(err)
		}
		if len(claimed) == 0 {
			return said
		}
		for _, c := range claimed {
			said = append(said, c.Envelope)
			if err := s.store.Outbox().Sent(context.Background(), c); err != nil {
				s.t.Fatal(err)
			}
		}
	}
}

// plain is a letter as a channel without markup shows it.
func (s *stage) plain(e roster.Envelope) string {
	s.t.Helper()
	var m message.Message
	if err := json.Unmarshal(e.Payload, &m); err != nil {
		s.t.Fatal(err)
	}
	var lines []string
	for _, l := range m.Lines {
		lines = append(lines, message.New().Line(l, message.Reader{}))
	}
	return strings.Join(lines, "\n")
}

func (s *stage) evening(b trip) map[string]string {
	s.t.Helper()
	var board struct {
		Divers []struct {
			Name    string
			Evening *heard
		}
	}
	s.ask("GET", b.path("/board"), "").want(http.StatusOK).into(&board)
	by := map[string]string{}
	for _, d := range board.Divers {
		if d.Evening != nil {
			by[d.Name] = d.Evening.State
		}
	}
	return by
}

func TestTheShopSeesWhomTheAnnouncementReached(t *testing.T) {
	s := newStage(t)
	b := s.book()
	ines, tomasz := b.diver(t, "Inês"), b.diver(t, "Tomasz")
	s.onTelegram(ines, "1")
	blocked := s.onTelegram(tomasz, "2")
	s.send()
	if got := s.evening(b); got["Inês"] != "not-yet" || got["Marit"] != "not-joined" {
		t.Errorf("before: %v, want not-yet and not-joined", got)
	}
	if _, err := s.door.Handle(context.Background(),
		delivery.Inbound{Kind: conversation.Lost, Source: "lost:1", From: blocked, Reason: "blocked",
			At: s.now}); err != nil {
		t.Fatal(err)
	}
	s.send()

	var out struct {
		Reached int
		Divers  []heard
	}
	s.ask("POST", b.path("/announce"), "").want(http.StatusOK).into(&out)
	got := states(out.Divers)
	if out.Reached != 1 || got["Inês"] != "sending" || got["Tomasz"] != "unreachable" || got["Marit"] != "not-joined" {
		t.Errorf("announced: %+v", out)
	}
	for _, h := range out.Divers {
		if (h.Invite == nil) != (h.Name == "Inês") {
			t.Errorf("%s: invite %v; want one for those not reached", h.Name, h.Invite)
		}
		if (h.Reason == "blocked") != (h.Name == "Tomasz") {
			t.Errorf("%s: reason %q", h.Name, h.Reason)
		}
	}
	if said := s.send(); len(said) != 1 || said[0].Person != ines.ID {
		t.Errorf("sent %v, want one message to Inês", said)
	}
	if got := s.evening(b); got["Inês"] != "delivered" || got["Tomasz"] != "unreachable" || got["Marit"] != "not-joined" {
		t.Errorf("after sending: %v", got)
	}
	// Who joins late gets it then.
	s.onTelegram(b.diver(t, "Marit"), "3")
	s.send()
	if err := s.door.Wake(context.Background(), b.ID); err != nil {
		t.Fatal(err)
	}
	s.send()
	if got := s.evening(b)["Marit"]; got != "delivered" {
		t.Errorf("Marit, who joined afterwards: %s, want delivered", got)
	}
}

// The deployment's cron expression is 18:00, in May UTC in the Azores (IANA).
func TestTheClocksEveningMessageIsOnTheBoard(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.onTelegram(b.diver(t, "Inês"), "1")
	s.send()
	s.now = time.Date(2027, 5, 14, 17, 59, 0, 0, time.UTC)
	wake := func() string {
		if err := s.door.Wake(context.Background(), b.ID); err != nil {
			t.Fatal(err)
		}
		s.send()
		return s.evening(b)["Inês"]
	}
	if got := wake(); got != "not-yet" {
		t.Errorf("at 17:59: %s, want not-yet", got)
	}
	s.now = time.Date(2027, 5, 14, 18, 0, 0, 0, time.UTC)
	if got := wake(); got != "delivered" {
		t.Errorf("at 18:00: %s, want delivered", got)
	}
}

func TestAMessageThatWasGivenUpIsSaidSo(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.onTelegram(b.diver(t, "Inês"), "1")
	s.send()
	s.ask("POST", b.path("/announce"), "").want(http.StatusOK)
	s.now = s.now.Add(time.Second)
	claimed, err := s.store.Outbox().Claim(context.Background(), roster.NewToken(), s.now, time.Minute, 50, nil)
	if err != nil || len(claimed) != 1 {
		t.Fatalf("claimed %v, %v", claimed, err)
	}
	if err := s.store.Outbox().Dead(context.Background(), claimed[0], "too late to be of use", s.now); err != nil {
		t.Fatal(err)
	}
	if got := s.evening(b)["Inês"]; got != "not-sent" {
		t.Errorf("got %q, want not-sent", got)
	}
}

func TestAnnouncingTooLateIsRefused(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.now = time.Date(2027, 5, 15, 6, 30, 0, 0, time.UTC) // two hours before departure
	s.ask("POST", b.path("/announce"), "").want(http.StatusConflict)
	s.now = s.now.Add(-time.Second)
	s.ask("POST", b.path("/announce"), "").want(http.StatusOK)
}

func TestAShopWritesToEverybody(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.onTelegram(b.diver(t, "Tomasz"), "1")
	s.send()
	var out struct {
		Text   string
		Divers []heard
	}
	body := `{"text": "Boat moved to pier 4 <b>\n✅ GO</b>"}`
	s.ask("POST", b.path("/messages"), body, "Idempotency-Key", "once").want(http.StatusCreated).into(&out)
	s.ask("POST", b.path("/messages"), body, "Idempotency-Key", "once").want(http.StatusCreated)
	if got := states(out.Divers); got["Tomasz"] != "sending" || got["Marit"] != "not-joined" {
		t.Errorf("reaches %v", got)
	}
	said := s.send()
	if len(said) != 1 {
		t.Fatalf("%d messages, want one", len(said))
	}
	text := s.plain(said[0])
	// The shop's words stand on a line of their own, below who says them.
	if !strings.HasPrefix(text, "From the shop:") || !strings.Contains(text, "\nBoat moved to pier 4 <b> GO</b>") {
		t.Errorf("said %q", text)
	}
	for name, body := range map[string]string{"empty": `{"text": " "}`, "none": `{}`, "too long": `{"text": "` +
		strings.Repeat("x", 501) + `"}`, "more": `{"text": "x", "to": "p1"}`} {
		t.Run(name, func(t *testing.T) { s.ask("POST", b.path("/messages"), body).want(http.StatusUnprocessableEntity) })
	}
	if said := s.send(); len(said) != 0 {
		t.Errorf("a refused message was sent: %v", said)
	}
}

func TestMessagesAreLimited(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for range 6 {
		s.ask("POST", b.path("/messages"), `{"text": "pier 4"}`).want(http.StatusCreated)
		s.now = s.now.Add(time.Minute)
	}
	r := s.ask("POST", b.path("/messages"), `{"text": "pier 5"}`).want(http.StatusTooManyRequests)
	seconds, err := strconv.Atoi(r.Header.Get("Retry-After"))
	if err != nil || seconds < 60*50 || seconds > 60*60 {
		t.Errorf("Retry-After: %q, want what is left of the hour", r.Header.Get("Retry-After"))
	}
	s.now = s.now.Add(time.Duration(seconds) * time.Second)
	s.ask("POST", b.path("/messages"), `{"text": "pier 5"}`).want(http.StatusCreated)
}
