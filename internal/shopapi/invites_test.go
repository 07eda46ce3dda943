package shopapi_test

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

type invited struct {
	ID     roster.PersonID
	Name   string
	State  string
	Reason string
	Invite *struct{ Code string }
}

// invites are those of a trip, by name.
func (s *stage) invites(b trip) map[string]invited {
	s.t.Helper()
	var list struct{ Invites []invited }
	s.ask("GET", b.path("/invites"), "").want(http.StatusOK).into(&list)
	by := map[string]invited{}
	for _, one := range list.Invites {
		by[one.Name] = one
	}
	return by
}

func TestInvitesAreShownAgain(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.joined(b, b.diver(t, "Tomasz"))
	s.ask("DELETE", b.path("/divers/"+string(b.diver(t, "Marit").ID)), "").want(http.StatusOK)
	got := s.invites(b)
	for name, state := range map[string]string{"Inês": "not-joined", "Tomasz": "joined", "Marit": "left"} {
		if got[name].State != state {
			t.Errorf("%s: %q, want %q", name, got[name].State, state)
		}
	}
	if in := got["Tomasz"].Invite; in == nil || in.Code != b.diver(t, "Tomasz").Invite.Code {
		t.Errorf("Tomasz: %+v, want the invite of the booking", in)
	}
	if got["Marit"].Invite != nil {
		t.Error("an invite of somebody who was removed")
	}
}

func TestARevokedInviteCutsThePhoneOff(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	phone := roster.Address{Channel: "telegram", ID: "77"}
	start := func(source, code string) error {
		_, err := s.door.Handle(context.Background(), delivery.Inbound{Kind: conversation.Text, Source: source, Ref: source,
			From: phone, At: s.now, Text: "/start " + code})
		return err
	}
	if err := start("tg:1", p.Invite.Code); err != nil {
		t.Fatal(err)
	}
	if got := s.invites(b)["Tomasz"].State; got != "joined" {
		t.Fatalf("after joining: %s", got)
	}

	var renewed invited
	s.ask("POST", b.path("/divers/"+string(p.ID)+"/invite/revoke"), "").want(http.StatusOK).into(&renewed)
	if renewed.State != "not-joined" || renewed.Invite == nil || renewed.Invite.Code == p.Invite.Code {
		t.Fatalf("revoked: %+v, want another code and nobody joined", renewed)
	}
	if _, _, err := s.door.Invited(context.Background(), p.Invite.Code); !errors.Is(err, delivery.ErrInviteRevoked) {
		t.Errorf("the old page opens: %v", err)
	}
	// The old phone's words reach nothing.
	_, _ = s.door.Handle(context.Background(), delivery.Inbound{Kind: conversation.Text, Source: "tg:2", Ref: "tg:2",
		From: phone, At: s.now, Text: "31.0"})
	var after trip
	s.ask("GET", b.path(""), "").want(http.StatusOK).into(&after)
	if n := after.diver(t, "Tomasz").Cylinders[0].Readings; n != 0 {
		t.Errorf("the old phone recorded %d readings", n)
	}
	if route, err := s.store.Addresses().Route(context.Background(), phone, ""); err != nil || len(route.Trips) != 0 {
		t.Errorf("the old phone is still on %v (%v)", route.Trips, err)
	}
	if err := start("tg:3", renewed.Invite.Code); err != nil {
		t.Fatal(err)
	}
	if got := s.invites(b)["Tomasz"].State; got != "joined" {
		t.Errorf("with the new invite: %s, want joined", got)
	}
}

func TestRevokingKeepsReadings(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	s.joined(b, p)
	s.says(b, p, "17: 31.0")
	s.ask("POST", b.path("/divers/"+string(p.ID)+"/invite/revoke"), "").want(http.StatusOK)
	var after trip
	s.ask("GET", b.path(""), "").want(http.StatusOK).into(&after)
	if n := after.diver(t, "Tomasz").Cylinders[0].Readings; n != 1 {
		t.Errorf("%d readings, want the one that was recorded", n)
	}
	s.ask("POST", b.path("/divers/p99/invite/revoke"), "").want(http.StatusNotFound)
}

func TestAChangeSaysWhatBecomesOfReadings(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	s.now = s.now.Add(24 * time.Hour) // fresh enough for the morning after
	s.joined(b, p)
	s.says(b, p, "17: 31.0")
	var got struct {
		Changed []struct {
			ID       roster.CylinderID
			Change   string
			Was      float64 `json:"was_asked"`
			Readings int     `json:"readings_kept"`
			Counting bool    `json:"readings_count"`
		} `json:"changed_cylinders"`
	}
	path := b.path("/divers/" + string(p.ID))
	body := strings.NewReplacer("C1", string(p.Cylinders[0].ID)).Replace(
		`{"cylinders": [{"id": "C1", "asked": 31, "label": "17"}, {"asked": 30, "dive": 2}]}`)
	s.ask("PATCH", path, body).want(http.StatusOK).into(&got)
	by := map[string]int{}
	for i, c := range got.Changed {
		by[c.Change] = i + 1
	}
	if len(got.Changed) != 3 || by["changed"] == 0 || by["added"] == 0 || by["out-of-use"] == 0 {
		t.Fatalf("got %+v, want one changed, one added, one out of use", got.Changed)
	}
	if c := got.Changed[by["changed"]-1]; c.ID != p.Cylinders[0].ID || c.Was != 36 || c.Readings != 1 || !c.Counting {
		t.Errorf("changed: %+v, want 36 before, and its reading counting", c)
	}
	got.Changed = nil
	s.ask("PATCH", path, `{"cylinders": null}`).want(http.StatusOK).into(&got)
	for _, c := range got.Changed {
		if c.Change != "out-of-use" || c.Counting || (c.ID == p.Cylinders[0].ID) != (c.Readings == 1) {
			t.Errorf("%+v, want it out of use with its readings kept and not counting", c)
		}
	}
}

// A merge patch says null for "take away" (RFC 7386): what can't be missing is
// refused, what has a default goes back to it.
func TestPatchWithNull(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.ask("PATCH", b.path(""), `{"policy": {"ppo2": 1.3}}`).want(http.StatusOK)
	var after trip
	s.ask("PATCH", b.path(""), `{"policy": {"ppo2": null}}`).want(http.StatusOK).into(&after)
	if after.Policy["ppo2"] != 1.4 {
		t.Errorf("ppo2: %v, want the default, 1.4", after.Policy["ppo2"])
	}
	for _, name := range []string{"name", "departs_at", "dives"} {
		got := s.ask("PATCH", b.path(""), `{"`+name+`": null}`).want(http.StatusUnprocessableEntity).pointers()
		if got["/"+name] == "" {
			t.Errorf("%s: null: got %v", name, got)
		}
	}
	p := b.diver(t, "Tomasz")
	var now person
	s.ask("PATCH", b.path("/divers/"+string(p.ID)), `{"depth_limit": null, "team": null}`).want(http.StatusOK).into(&now)
	if now.Limit != 0 || now.Team != "" {
		t.Errorf("after null: %+v, want no limit and no team", now)
	}
	s.ask("PATCH", b.path(""), `{}`).want(http.StatusOK)
	s.ask("PATCH", b.path(""), `[]`).want(http.StatusUnprocessableEntity)
	s.now = s.now.Add(time.Second)
}
