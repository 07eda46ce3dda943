package demo

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"time"

	"gasmuster/internal/roster"
)

// service is the whole service on a store inside the process.
type service struct {
	clock *clock
	wired
	trip   roster.TripID
	people []guest
}

// guest is one person of the charter with their page.
type guest struct {
	ID     roster.PersonID
	Name   string
	Leader bool
	Page   string // "/c/" and the token
	Crew   bool
	Chat   roster.Address // of who is in the chat app, not on a page
}

// start puts the service together at address and sends the charter in.
func start(ctx context.Context, address string, now time.Time) (*service, error) {
	s := &service{clock: newClock(now)}
	w, err := wire(ctx, address, s.clock)
	if err != nil {
		return nil, err
	}
	s.wired = w
	if err := s.book(); err != nil {
		s.stop()
		return nil, err
	}
	return s, nil
}

// startOver empties the store and sends the charter in anew, the evening before.
func (s *service) startOver(ctx context.Context) error {
	s.clock.reset(evening)
	if err := s.wired.empty(ctx, s.clock); err != nil {
		return err
	}
	return s.book()
}

// book sends the charter in through the shop's API.
func (s *service) book() error {
	status, body := s.call(http.MethodPost, "/v1/trips", charter)
	if status != http.StatusCreated {
		return fmt.Errorf("the charter was refused: %d %s", status, body)
	}
	type person struct {
		ID     roster.PersonID
		Name   string
		Invite struct {
			Code string `json:"code"`
		}
	}
	var booked struct {
		ID                    roster.TripID
		Leaders, Crew, Divers []person
	}
	if err := json.Unmarshal(body, &booked); err != nil {
		return err
	}
	s.trip, s.people = booked.ID, nil
	for _, p := range booked.Leaders {
		s.people = append(s.people, guest{ID: p.ID, Name: p.Name, Leader: true, Page: "/c/" + p.Invite.Code})
	}
	for _, p := range booked.Divers {
		s.people = append(s.people, guest{ID: p.ID, Name: p.Name, Page: "/c/" + p.Invite.Code})
	}
	for _, p := range booked.Crew {
		s.people = append(s.people, guest{ID: p.ID, Name: p.Name, Crew: true, Page: "/c/" + p.Invite.Code})
	}
	return nil
}

// call asks the shop's API with the shop's key.
func (s *service) call(method, path, body string) (int, []byte) {
	r := httptest.NewRequest(method, path, bytes.NewBufferString(body))
	r.Header.Set("Authorization", "Bearer "+s.key)
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	w := httptest.NewRecorder()
	s.Handler.ServeHTTP(w, r)
	return w.Code, w.Body.Bytes()
}

// opens presses the button of a person's page, as whoever tries the demo would
// on each phone; again it does nothing.
func (s *service) opens(g guest) {
	s.Handler.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(http.MethodPost, g.Page+"/join", nil))
}

// path is a path of the trip in the shop's API.
func (s *service) path(rest string) string { return "/v1/trips/" + string(s.trip) + rest }

// person is the guest with that name.
func (s *service) person(name string) guest {
	for _, g := range s.people {
		if g.Name == name {
			return g
		}
	}
	panic("demo: nobody is called " + name)
}

// moveTo lets the time go by, minute by minute, so that every reminder comes
// when it is due.
func (s *service) moveTo(ctx context.Context, t time.Time) error {
	for now := s.clock.Now(); now.Before(t); now = s.clock.Now() {
		s.clock.forward(earlier(now.Truncate(time.Minute).Add(time.Minute), t))
		s.Beat(ctx)
	}
	return s.settle(ctx)
}

// goOn wakes the trip whenever something is due, while the clock runs by itself.
func (s *service) goOn(ctx context.Context) {
	beat := time.NewTicker(time.Second)
	defer beat.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-beat.C:
			s.Beat(ctx)
		}
	}
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// settle waits until every message has left the outbox.
func (s *service) settle(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	for {
		n, err := s.outbox.Depth(ctx)
		if err != nil {
			return err
		}
		if n == 0 {
			return nil
		}
		s.Kick()
		select {
		case <-ctx.Done():
			return errors.New("messages stay in the outbox")
		case <-time.After(2 * time.Millisecond):
		}
	}
}
