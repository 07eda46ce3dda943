package shopapi_test

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"

	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
)

// bodies are what each call that needs a body would accept.
func bodies(p person) map[string]string {
	return map[string]string{
		"PATCH /v1/trips/{trip}":                `{"name": "Mine now"}`,
		"POST /v1/trips/{trip}/divers":          `{"name": "Kenji"}`,
		"PATCH /v1/trips/{trip}/divers/{diver}": `{"name": "Kenji"}`,
		"POST /v1/trips/{trip}/messages":        `{"text": "Boat moved to pier 4"}`,
		"POST /v1/trips/{trip}/readings":        `{"cylinder": "` + string(p.Cylinders[0].ID) + `", "percent": 32.1}`,
		"DELETE /v1/trips/{trip}":               `{"reason": "No wind, no boat"}`,
		"POST /v1/trips/{trip}/copy":            `{"departs_at": "2027-05-22T08:30:00Z"}`,
		"PUT /v1/webhook":                       `{"url": "https://hooks.example/gas"}`,
		"POST /v1/webhook/replay":               `{"after": "nothing"}`,
	}
}

// everyCall is each call of the OpenAPI document, on one trip where it is about
// one, with a body that would be accepted. The document lists what is served, so
// that a call that is added is tried by every test here.
func everyCall(t *testing.T, b trip, p person) (calls [][3]string) {
	t.Helper()
	text, err := os.ReadFile("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Paths map[string]map[string]json.RawMessage
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	have := bodies(p)
	have["POST /v1/trips"], have["PUT /v1/by-ref/{ref}"] = sample(t), sample(t)
	for path, item := range doc.Paths {
		for method, raw := range item {
			var op struct {
				RequestBody struct{ Required bool }
			}
			if method == "parameters" || path == "/v1/openapi.json" {
				continue
			}
			if err := json.Unmarshal(raw, &op); err != nil {
				t.Fatal(err)
			}
			call := strings.ToUpper(method) + " " + path
			if op.RequestBody.Required && have[call] == "" {
				t.Fatalf("%s needs a body: give one in bodies", call)
			}
			real := strings.NewReplacer("{trip}", string(b.ID), "{diver}", string(p.ID), "{cylinder}",
				string(p.Cylinders[0].ID), "{ref}", "B-1042", "{reading}", "r1").Replace(path)
			calls = append(calls, [3]string{strings.ToUpper(method), real, have[call]})
		}
	}
	// What takes something away comes last: the calls before it need it.
	slices.SortFunc(calls, func(x, y [3]string) int {
		return cmp.Or(callsOff(x)-callsOff(y), order(x[0])-order(y[0]), strings.Compare(x[1], y[1]))
	})
	if len(calls) < 15 {
		t.Fatalf("the document has %d calls", len(calls))
	}
	return calls
}

func order(method string) int {
	if method == "DELETE" {
		return 1
	}
	return 0
}

// callsOff tells whether a call ends the trip: it comes last of all.
func callsOff(c [3]string) int {
	if c[0] == "DELETE" && strings.Count(c[1], "/") == 3 {
		return 1
	}
	return 0
}

// everything is all that is stored of the first shop: what it lists, and what
// the store holds in the trip's own hash and log.
func (s *stage) everything(b trip) string {
	s.t.Helper()
	var all strings.Builder
	for _, path := range []string{b.path(""), b.path("/fills"), b.path("/invites"), "/v1/webhook"} {
		fmt.Fprintf(&all, "%s\n", s.ask("GET", path, "").Body)
	}
	for _, key := range s.mini.Keys() {
		if strings.Contains(key, "}:trip:"+string(b.ID)) {
			fields, _ := s.mini.HKeys(key)
			for _, field := range fields {
				fmt.Fprintln(&all, key, field, s.mini.HGet(key, field))
			}
		}
		if strings.Contains(key, "}:log:"+string(b.ID)) {
			list, _ := s.mini.List(key)
			fmt.Fprintln(&all, key, list)
		}
	}
	return all.String()
}

func TestAnotherShopFindsNothing(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	s.ask("PUT", "/v1/webhook", `{"url": "https://one.example/gas"}`)
	before := s.everything(b)
	if strings.Count(before, string(b.ID)) < 3 {
		t.Fatalf("that is not everything:\n%s", before)
	}
	nowhere := s.ask("GET", "/v1/trips/abcdefghij", "").want(http.StatusNotFound)
	for _, c := range everyCall(t, b, p) {
		s.now = s.now.Add(time.Second) // keeps within the rate
		r := s.ask(c[0], c[1], c[2], "Authorization", "Bearer "+keyTwo)
		switch about := strings.Contains(c[1], string(b.ID)); {
		case about && (r.Status != http.StatusNotFound || string(r.Body) != string(nowhere.Body)):
			t.Errorf("%s %s with the other shop's key: got %d %s, want the answer for a trip that is not there", c[0], c[1],
				r.Status, r.Body)
		case !about && strings.Contains(string(r.Body), string(b.ID)), strings.Contains(string(r.Body), "one.example"):
			t.Errorf("%s %s with the other shop's key shows what is the first one's: %s", c[0], c[1], r.Body)
		}
	}
	if after := s.everything(b); after != before {
		t.Errorf("something changed (-before +after):\n%s", gocmp.Diff(before, after))
	}
}

func TestWithoutAGoodKey(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for name, header := range map[string]string{"none": "", "wrong": "Bearer nope",
		"the hash": "Bearer " + strings.Repeat("a", 64),
		"basic":    "Basic " + keyOne, "very long": "Bearer " + strings.Repeat("k", 100_000)} {
		t.Run(name, func(t *testing.T) {
			for _, c := range everyCall(t, b, b.diver(t, "Tomasz")) {
				s.now = s.now.Add(6 * time.Second) // no faster than keys may be tried
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
	s.ask("PUT", "/v1/webhook", `{"url": "https://one.example/gas"}`)
	var read struct{ ID string }
	s.ask("POST", b.path("/readings"), bodies(b.diver(t, "Tomasz"))["POST /v1/trips/{trip}/readings"]).want(
		http.StatusCreated).into(&read)
	for _, c := range everyCall(t, b, b.diver(t, "Tomasz")) {
		s.now = s.now.Add(time.Second)
		r := s.ask(c[0], strings.Replace(c[1], "/readings/r1", "/readings/"+read.ID, 1), c[2])
		// What an event id may be that is not there is the webhook's business.
		if r.Status >= 300 && !strings.HasPrefix(c[1], "/v1/webhook/replay") {
			t.Errorf("%s %s: got %d %s", c[0], c[1], r.Status, r.Body)
		}
	}
}

// A body may be large, but not without end.
func TestBodiesAreBounded(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for mediaType, most := range map[string]int{"application/json": 512 << 10, "text/csv": 10 << 20} {
		for _, size := range []int{most, most + 1} {
			r := s.ask("POST", "/v1/trips", strings.Repeat(" ", size), "Content-Type", mediaType)
			if tooLarge := r.Status == http.StatusRequestEntityTooLarge; tooLarge != (size > most) {
				t.Errorf("%d bytes of %s: got %d", size, mediaType, r.Status)
			}
		}
	}
	for _, c := range everyCall(t, b, b.diver(t, "Tomasz")) {
		if c[0] == "GET" || c[0] == "DELETE" {
			continue
		}
		s.ask(c[0], c[1], strings.Repeat(" ", 600<<10)).want(http.StatusRequestEntityTooLarge)
	}
}

// A key that was replaced opens nothing from then on.
func TestAReplacedKeyIsShut(t *testing.T) {
	s := newStage(t)
	shop := roster.Shop{ID: "one", Name: "one", KeyHash: keys.Hash("a new key of the first shop 0123"), Created: s.now}
	if err := s.store.Shops().PutShop(context.Background(), shop); err != nil {
		t.Fatal(err)
	}
	s.ask("GET", "/v1/trips", "").want(http.StatusUnauthorized)
	s.ask("GET", "/v1/trips", "", "Authorization", "Bearer a new key of the first shop 0123").want(http.StatusOK)
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
	if r := s.ask("GET", b.path(""), "").want(http.StatusServiceUnavailable); strings.Contains(string(r.Body), "stored") {
		t.Errorf("a reading that failed speaks of storing: %s", r.Body)
	}
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
