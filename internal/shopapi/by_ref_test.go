package shopapi_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

const byRef = "/v1/by-ref/B-1042"

// What is sent again as it was is no change: its version, which If-Match is held
// against, stays, and nobody is told anything.
func TestPutByRefWithoutADifferenceChangesNothing(t *testing.T) {
	s := newStage(t)
	var b trip
	first := s.ask("PUT", byRef, sample(t)).want(http.StatusCreated)
	first.into(&b)
	s.joined(b, b.Leaders[0])
	before := s.ask("GET", b.path(""), "").want(200).Header.Get("ETag")
	if again := s.ask("PUT", byRef, sample(t)).want(200).Header.Get("ETag"); again != before {
		t.Errorf("the tag is %s, was %s", again, before)
	}
	other := strings.Replace(sample(t), `"asked": 36, "dive": 2`, `"asked": 34, "dive": 2`, 1)
	if again := s.ask("PUT", byRef, other).want(200).Header.Get("ETag"); again == before {
		t.Error("another blend left the tag as it was")
	}
}

// A reference may be used again long after its trip was erased: the trip has the
// same id then, and must open to none of the earlier links.
func TestARefUsedAgainOpensToNoEarlierLink(t *testing.T) {
	s := newStage(t)
	open := strings.Replace(sample(t), "{", `{"open_invite":true,`, 1)
	links := func() (codes map[string]bool, b trip) {
		s.ask("PUT", byRef, open).want(http.StatusCreated).into(&b)
		codes = map[string]bool{b.OpenInvite.URL: true}
		for _, p := range append(b.Leaders, b.Divers...) {
			codes[p.Invite.Code] = true
		}
		return codes, b
	}
	was, first := links()
	s.mini.FlushAll()
	s.putShops()
	s.now = s.now.Add(24 * time.Hour)
	is, second := links()
	if first.ID != second.ID || len(is) != 4 {
		t.Fatalf("trips %s and %s, links %v", first.ID, second.ID, is)
	}
	for code := range is {
		if was[code] {
			t.Errorf("%s was a link of the erased trip", code)
		}
	}
	if _, _, err := s.door.Invited(t.Context(), first.Leaders[0].Invite.Code); err == nil {
		t.Error("an earlier invite opened the trip")
	}
	if _, _, err := s.door.Invited(t.Context(), second.Leaders[0].Invite.Code); err != nil {
		t.Errorf("its own invite: %v", err)
	}
}

// The address that stands among the trips' own is the same call.
func TestPutByRefAmongTheTrips(t *testing.T) {
	s := newStage(t)
	for _, want := range []int{http.StatusCreated, http.StatusOK} {
		r := httptest.NewRequest("PUT", "/v1/trips/by-ref/B%201042", strings.NewReader(sample(t)))
		r.Header.Set("Authorization", "Bearer "+keyOne)
		r.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, r)
		if w.Code != want {
			t.Fatalf("got %d, want %d: %s", w.Code, want, w.Body)
		}
	}
	s.ask("PUT", "/v1/by-ref/B%201042", sample(t)).want(http.StatusOK)
}

func TestAnOpenInviteWithTheTrip(t *testing.T) {
	s := newStage(t)
	var b, shut, dry trip
	s.ask("POST", "/v1/trips", sample(t)).want(http.StatusCreated).into(&shut)
	if shut.OpenInvite != nil {
		t.Errorf("nobody asked for %+v", shut.OpenInvite)
	}
	open := strings.Replace(sample(t), "{", `{"open_invite":true,`, 1)
	s.ask("POST", "/v1/trips?dry_run=true", open).want(200).into(&dry)
	if dry.OpenInvite != nil {
		t.Errorf("a trip that is not stored has the link %+v", dry.OpenInvite)
	}
	s.ask("POST", "/v1/trips", open).want(http.StatusCreated).into(&b)
	if b.OpenInvite == nil || !strings.HasPrefix(b.OpenInvite.URL, "https://gas.example/j/") {
		t.Fatalf("got %+v", b.OpenInvite)
	}
	gate := struct{ Open bool }{true}
	if s.ask("DELETE", b.path("/open-invite"), "").want(http.StatusOK).into(&gate); gate.Open {
		t.Error("still open")
	}
	var after trip
	s.ask("GET", b.path(""), "").want(200).into(&after)
	if after.OpenInvite != nil {
		t.Errorf("shut, but shown: %+v", after.OpenInvite)
	}
	s.ask("POST", "/v1/trips", strings.Replace(sample(t), "{", `{"open_invite":"yes",`, 1)).want(422)
}
