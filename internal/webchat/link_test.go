package webchat_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gasmuster/internal/delivery"
)

// state is the stored trip without the count of its commits.
func (s *stage) state() string {
	s.t.Helper()
	l, err := s.store.Load(s.t.Context(), s.trip.ID, "")
	if err != nil {
		s.t.Fatal(err)
	}
	l.Trip.Version = 0
	raw, err := json.Marshal(l.Trip)
	if err != nil {
		s.t.Fatal(err)
	}
	return string(raw)
}

// A link opens one person's page on one trip. Whatever is put together of the
// parts of others opens none, and nothing that is posted there is recorded.
func TestLinksOpenTheirOwnPageOnly(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	s.opens(s.leader())
	id, leader, diver := string(s.trip.ID), s.trip.People[0], s.trip.People[1]
	mac := func(link string) string { return link[len(link)-22:] }
	own, boss := strings.TrimPrefix(s.diver(), "/c/"), strings.TrimPrefix(s.leader(), "/c/")
	other := delivery.NewInvites("another secret")
	before, heard := s.state(), len(s.door.got)
	for name, token := range map[string]string{
		"the leader's name with a diver's proof": id + "-" + string(leader.ID) + "-" + mac(own),
		"a diver's name with the leader's proof": id + "-" + string(diver.ID) + "-" + mac(boss),
		"an earlier generation":                  s.invites.Code(s.trip.ID, diver.ID, 0),
		"a later generation":                     s.invites.Code(s.trip.ID, diver.ID, 2),
		"another deployment's secret":            other.Code(s.trip.ID, leader.ID, 1),
		"another trip":                           s.invites.Code("aaaaaaaaaa", leader.ID, 1),
		"nobody on the trip":                     s.invites.Code(s.trip.ID, "p99", 1),
		"no proof":                               id + "-" + string(leader.ID) + "-",
		"one letter off":                         flipped(boss),
		"in capitals":                            strings.ToUpper(boss),
	} {
		for _, path := range []string{"/messages", "/board"} {
			w := s.postTo("/c/"+token+path, url.Values{"text": {"/out Marit x"}, "do": {"lsign"}, "act": {"out"},
				"person": {"p2"}, "id": {"x"}})
			if w.Code != http.StatusNotFound && w.Code != http.StatusGone {
				t.Errorf("%s: posting to %s answers %d", name, path, w.Code)
			}
		}
		for _, path := range []string{"", "/board", "/events"} {
			if w := s.get("/c/" + token + path); w.Code < 400 || strings.Contains(w.Body.String(), "Marit") {
				t.Errorf("%s: looking at %q answers %d", name, path, w.Code)
			}
		}
	}
	if len(s.door.got) != heard || s.state() != before {
		t.Errorf("something came through: %v", s.kinds()[heard:])
	}
}

// flipped is a token with another last letter but one.
func flipped(token string) string {
	i := len(token) - 2
	c := byte('A')
	if token[i] == c {
		c = 'B'
	}
	return token[:i] + string(c) + token[i+1:]
}

// Who acts is whom the link is for, whatever else a form says; and what was
// meant for somebody else is refused in words.
func TestAFormCantSpeakForAnother(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	s.opens(s.leader())
	before := s.state()
	for _, do := range []string{"lsign", "lcard p2", "lboat", "lwho p1", "undo r99", "lundo r1", "ask c99 31"} {
		w := s.post(s.diver(), url.Values{"do": {do}, "of": {"x"}, "person": {"p1"}, "trip": {"zzzzzzzzzz"},
			"id": {"id" + strings.ReplaceAll(do, " ", "-")}})
		if w.Code != http.StatusSeeOther {
			t.Errorf("%q: %d, want an answer on the page", do, w.Code)
		}
		last := s.door.got[len(s.door.got)-1]
		if last.Person != s.trip.People[1].ID || last.Trip != s.trip.ID {
			t.Errorf("%q came in as %s on %s", do, last.Person, last.Trip)
		}
	}
	if after := s.state(); after != before {
		t.Errorf("the trip changed:\n%s\n%s", before, after)
	}
	if page := s.get(s.diver()).Body.String(); strings.Count(page, "leader") < 5 {
		t.Error("the page does not say that this is for leaders")
	}
}
