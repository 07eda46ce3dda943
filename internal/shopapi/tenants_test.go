package shopapi_test

import (
	"net/http"
	"strings"
	"testing"
	"time"
)

// everyCall is each call of the API on one trip, with a body that would be
// accepted.
func everyCall(b trip, p person) [][3]string {
	return [][3]string{
		{"GET", b.path(""), ""},
		{"PATCH", b.path(""), `{"name": "Mine now"}`},
		{"POST", b.path("/divers"), `{"name": "Kenji"}`},
		{"PATCH", b.path("/divers/" + string(p.ID)), `{"name": "Kenji"}`},
		{"DELETE", b.path("/divers/" + string(p.ID)), ""},
		{"POST", b.path("/announce"), ""},
		{"GET", b.path("/board"), ""},
		{"GET", b.path("/fills"), ""},
		{"POST", b.path("/fills/lock"), ""},
		{"POST", b.path("/fills/" + string(p.Cylinders[0].ID)), ""},
		{"POST", b.path("/readings"), `{"cylinder": "` + string(p.Cylinders[0].ID) + `", "percent": 32.1}`},
	}
}

func TestAnotherShopFindsNothing(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	before := s.ask("GET", b.path(""), "").want(http.StatusOK)
	nowhere := s.ask("GET", "/v1/trips/abcdefghij", "").want(http.StatusNotFound)
	for _, c := range everyCall(b, p) {
		r := s.ask(c[0], c[1], c[2], "Authorization", "Bearer "+keyTwo)
		if r.Status != http.StatusNotFound || string(r.Body) != string(nowhere.Body) {
			t.Errorf("%s %s with the other shop's key: got %d %s, want the answer for a trip that is not there", c[0], c[1], r.Status, r.Body)
		}
	}
	var list struct{ Trips []trip }
	s.ask("GET", "/v1/trips", "", "Authorization", "Bearer "+keyTwo).want(http.StatusOK).into(&list)
	if len(list.Trips) != 0 {
		t.Errorf("the other shop lists %v", list.Trips)
	}
	if after := s.ask("GET", b.path(""), ""); string(after.Body) != string(before.Body) {
		t.Errorf("the trip changed: %s", after.Body)
	}
}

func TestWithoutAGoodKey(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for name, header := range map[string]string{"none": "", "wrong": "Bearer nope", "the hash": "Bearer " + strings.Repeat("a", 64),
		"basic": "Basic " + keyOne, "very long": "Bearer " + strings.Repeat("k", 100_000)} {
		t.Run(name, func(t *testing.T) {
			for _, c := range everyCall(b, b.diver(t, "Tomasz")) {
				r := s.ask(c[0], c[1], c[2], "Authorization", header)
				if r.Status != http.StatusUnauthorized || r.Header.Get("WWW-Authenticate") == "" {
					t.Errorf("%s %s: got %d", c[0], c[1], r.Status)
				}
			}
		})
	}
}

func TestKeyIsNotInTheStore(t *testing.T) {
	s := newStage(t)
	s.book()
	if dump := s.mini.Dump(); strings.Contains(dump, keyOne) || strings.Contains(dump, keyTwo) {
		t.Error("a key stands in the store in the clear")
	}
}

func TestEveryCallIsAnsweredForItsOwnShop(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for _, c := range everyCall(b, b.diver(t, "Tomasz")) {
		if c[0] == "DELETE" {
			continue // its diver is needed by the calls after it
		}
		if r := s.ask(c[0], c[1], c[2]); r.Status >= 300 {
			t.Errorf("%s %s: got %d %s", c[0], c[1], r.Status, r.Body)
		}
	}
}

func TestRateLimit(t *testing.T) {
	s := newStage(t)
	var last reply
	for range 121 {
		last = s.ask("GET", "/v1/trips/abcdefghij", "")
	}
	if last.Status != http.StatusTooManyRequests || last.Header.Get("Retry-After") == "" {
		t.Fatalf("request 121 in a minute: got %d, Retry-After %q", last.Status, last.Header.Get("Retry-After"))
	}
	s.ask("GET", "/v1/trips/abcdefghij", "", "Authorization", "Bearer "+keyTwo).want(http.StatusNotFound)
	s.now = s.now.Add(2 * time.Minute)
	s.ask("GET", "/v1/trips/abcdefghij", "").want(http.StatusNotFound)
}

func TestStoreDown(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.mini.SetError("LOADING")
	r := s.ask("PATCH", b.path(""), `{"name": "Lost?"}`).want(http.StatusServiceUnavailable)
	if r.Header.Get("Retry-After") == "" || strings.Contains(string(r.Body), "LOADING") {
		t.Errorf("got %v %s", r.Header, r.Body)
	}
	s.mini.SetError("")
	var after trip
	s.ask("GET", b.path(""), "").want(http.StatusOK).into(&after)
	if after.Name != b.Name {
		t.Errorf("name: got %q, want %q", after.Name, b.Name)
	}
}

func TestUnknownPathsAndMethods(t *testing.T) {
	s := newStage(t)
	s.ask("GET", "/v1/nothing", "").want(http.StatusNotFound)
	r := s.ask("DELETE", "/v1/trips", "").want(http.StatusMethodNotAllowed)
	if got := r.Header.Get("Allow"); got != "GET, POST" {
		t.Errorf("Allow: got %q", got)
	}
	s.ask("GET", "/v1/openapi.json", "", "Authorization", "").want(http.StatusOK)
}
