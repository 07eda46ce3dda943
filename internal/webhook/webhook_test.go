package webhook

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

func TestEventsComeSignedAndInOrder(t *testing.T) {
	s := newStage(t)
	s.register()
	trip := newTrip("aaaaaaaaaa")
	s.happens(trip, 3)
	s.tell()
	s.happens(trip, 2)
	s.tell()
	s.wantGot(ids("aaaaaaaaaa", 1, 5)...)
	var body struct {
		Type string
		At   time.Time `json:"timestamp"`
		Data struct {
			Trip    string
			Percent float64
		}
	}
	must(t, json.Unmarshal([]byte(s.rec.bodies["aaaaaaaaaa_2"]), &body))
	if body.Type != "reading.recorded" || !body.At.Equal(s.now) || body.Data.Trip != "aaaaaaaaaa" ||
		body.Data.Percent != 30.1 {
		t.Errorf("body: got %+v", body)
	}
	log, err := s.desk.Deliveries(t.Context(), shop, time.Time{}, 100)
	must(t, err)
	if len(log) != 5 || log[0].Result != "delivered" || log[0].Status != 204 || log[0].Attempt != 1 {
		t.Errorf("delivery log: got %+v", log)
	}
}

func TestReceiverThatIsDownCatchesUpWithoutAGap(t *testing.T) {
	s := newStage(t)
	s.register()
	a, b := newTrip("aaaaaaaaaa"), newTrip("bbbbbbbbbb")
	s.rec.answers(http.StatusServiceUnavailable)
	for range 5 {
		s.happens(a, 2)
		s.happens(b, 1)
		s.passes(30*time.Minute, time.Minute)
	}
	s.rec.mu.Lock()
	tried := s.rec.tried
	s.rec.mu.Unlock()
	if tried > 30 {
		t.Errorf("%d attempts in two and a half hours at two trips: it doesn't back off", tried)
	}
	e, err := s.desk.Endpoint(t.Context(), shop)
	must(t, err)
	if e.Failing.IsZero() || e.Reason != "answered 503" {
		t.Errorf("endpoint while down: got %+v", e)
	}
	if n, err := s.desk.Waiting(t.Context(), shop); err != nil || n != 15 {
		t.Errorf("waiting: got %d, %v, want 15", n, err)
	}
	s.rec.answers(http.StatusOK)
	s.passes(80*time.Minute, time.Minute)
	var gotA, gotB []string
	for _, id := range s.rec.got {
		if strings.HasPrefix(id, "a") {
			gotA = append(gotA, id)
		} else {
			gotB = append(gotB, id)
		}
	}
	if diff := cmp.Diff([][]string{ids("aaaaaaaaaa", 1, 10), ids("bbbbbbbbbb", 1, 5)},
		[][]string{gotA, gotB}); diff != "" {
		t.Errorf("received (-want +got):\n%s", diff)
	}
	if e, err = s.desk.Endpoint(t.Context(), shop); err != nil || !e.Failing.IsZero() || e.Succeeded.IsZero() {
		t.Errorf("endpoint afterwards: got %+v, %v", e, err)
	}
}

func TestOneTripHoldsUpNoOther(t *testing.T) {
	s := newStage(t)
	s.register()
	s.rec.answer = func(id string) (int, map[string]string) {
		if id == "aaaaaaaaaa_1" {
			return http.StatusBadRequest, nil
		}
		return http.StatusOK, nil
	}
	a, b := newTrip("aaaaaaaaaa"), newTrip("bbbbbbbbbb")
	s.happens(a, 2)
	s.happens(b, 3)
	s.tell()
	s.wantGot(ids("bbbbbbbbbb", 1, 3)...)
	for range 26 { // others go on all day, so the endpoint as a whole doesn't fail
		s.happens(b, 1)
		s.passes(time.Hour, 20*time.Minute)
	}
	// 29 events could be told; the one that can't is tried by the schedule (5
	// short waits, then hourly for a day), and once more whenever another's
	// success after a while says that the endpoint answers again.
	const could, scheduled = 29, 6 + 24
	if most := could + scheduled + could; s.rec.tried > most {
		t.Errorf("%d attempts in a day, want at most %d", s.rec.tried, most)
	}
	if !slices.Contains(s.rec.got, "aaaaaaaaaa_2") {
		t.Error("the event after one that was given up was never told")
	}
	log, err := s.desk.Deliveries(t.Context(), shop, time.Time{}, 1000)
	must(t, err)
	given := 0
	for _, d := range log {
		if d.Result == "given-up" {
			given++
			if d.Event != "aaaaaaaaaa_1" || d.Reason != "answered 400" {
				t.Errorf("given up: got %+v", d)
			}
		}
	}
	if given != 1 {
		t.Errorf("given up: got %d lines, want 1", given)
	}
}

func TestLastingFailureDisables(t *testing.T) {
	s := newStage(t)
	s.register()
	s.rec.answers(http.StatusInternalServerError)
	trip := newTrip("aaaaaaaaaa")
	s.happens(trip, 3)
	s.passes(23*time.Hour, 10*time.Minute)
	if e, _ := s.desk.Endpoint(t.Context(), shop); !e.Disabled.IsZero() {
		t.Fatal("disabled within the day")
	}
	s.passes(3*time.Hour, 10*time.Minute)
	e, err := s.desk.Endpoint(t.Context(), shop)
	must(t, err)
	if e.Disabled.IsZero() || e.Reason != "answered 500" {
		t.Fatalf("after a day of failures: got %+v, want it disabled", e)
	}
	if s.door.told["aaaaaaaaaa"] != 1 {
		t.Errorf("leaders told: got %d times, want once", s.door.told["aaaaaaaaaa"])
	}
	if !strings.Contains(s.log.String(), "endpoint disabled") {
		t.Error("the log doesn't say that the endpoint is disabled")
	}
	tried := s.rec.tried
	s.happens(trip, 2)
	s.passes(5*time.Hour, 10*time.Minute)
	if s.rec.tried != tried {
		t.Errorf("%d more attempts at a disabled endpoint", s.rec.tried-tried)
	}
	s.rec.answers(http.StatusOK)
	s.register() // the shop has mended it: nothing is missing
	s.tell()
	s.wantGot(ids("aaaaaaaaaa", 1, 5)...)
}

func TestGoneDisablesAtOnce(t *testing.T) {
	s := newStage(t)
	s.register()
	s.rec.answers(http.StatusGone)
	s.happens(newTrip("aaaaaaaaaa"), 1)
	s.tell()
	if e, _ := s.desk.Endpoint(t.Context(), shop); e.Disabled.IsZero() {
		t.Error("a receiver that answers 410 is told more")
	}
}

func TestNothingIsToldBeforeTheEndpoint(t *testing.T) {
	s := newStage(t)
	trip := newTrip("aaaaaaaaaa")
	s.happens(trip, 2)
	s.tell()
	s.register()
	s.happens(trip, 1)
	s.tell()
	s.wantGot("aaaaaaaaaa_3")
	must(t, s.desk.Drop(t.Context(), shop))
	s.happens(trip, 1)
	s.tell()
	s.wantGot("aaaaaaaaaa_3")
}

func TestReplay(t *testing.T) {
	s := newStage(t)
	s.register()
	s.happens(newTrip("aaaaaaaaaa"), 4)
	s.tell()
	n, err := s.desk.Replay(t.Context(), shop, "aaaaaaaaaa", 3)
	if err != nil || n != 2 {
		t.Fatalf("replay: got %d, %v, want 2", n, err)
	}
	s.tell()
	s.wantGot(append(ids("aaaaaaaaaa", 1, 4), ids("aaaaaaaaaa", 3, 4)...)...)
	if _, err := s.desk.Replay(t.Context(), shop, "aaaaaaaaaa", 5); err != roster.ErrNotFound {
		t.Errorf("replay of an event that never was: got %v, want not found", err)
	}
	if _, err := s.desk.Replay(t.Context(), shop, "cccccccccc", 1); err != roster.ErrNotFound {
		t.Errorf("replay of a trip that never was: got %v, want not found", err)
	}
}

// A process that dies after the send and before its end is stored: the event
// comes again once, and nothing else does.
func TestOnlyACrashRepeats(t *testing.T) {
	s := newStage(t)
	e := s.register()
	s.happens(newTrip("aaaaaaaaaa"), 3)
	taken, err := s.store.News().TakeNews(t.Context(), "dies", s.now, time.Minute, 1)
	must(t, err)
	s.teller.attempt(t.Context(), taken[0], e) // sent, and then the process is gone
	s.tell()
	s.wantGot("aaaaaaaaaa_1") // its lease holds
	s.now = s.now.Add(2 * time.Minute)
	s.tell()
	s.wantGot("aaaaaaaaaa_1", "aaaaaaaaaa_1", "aaaaaaaaaa_2", "aaaaaaaaaa_3")
	if err := s.store.News().EndNews(t.Context(), taken[0], roster.NewsTold, time.Time{}); err != roster.ErrConflict {
		t.Errorf("end of a lease that was lost: got %v, want a conflict", err)
	}
}

func TestManyProcessesTellOnce(t *testing.T) {
	s := newStage(t)
	s.register()
	other := New(s.teller.cfg)
	var trips []*roster.Trip
	for i := range 12 {
		trips = append(trips, newTrip(roster.TripID(strings.Repeat(string(rune('a'+i)), 10))))
		s.happens(trips[i], 5)
	}
	var all sync.WaitGroup
	for _, teller := range []*Teller{s.teller, other} {
		all.Go(func() {
			free := make(chan struct{}, 4)
			for range 60 {
				var busy sync.WaitGroup
				_, err := teller.round(t.Context(), free, &busy)
				if err != nil {
					t.Error(err)
				}
				busy.Wait()
			}
		})
	}
	all.Wait()
	s.passes(time.Minute, 2*time.Second) // those that found the shop's places taken
	seen, next := map[string]bool{}, map[string]int{}
	for _, id := range s.rec.got {
		trip, n, ok := ParseEventID(id)
		if !ok || seen[id] || n != next[string(trip)]+1 {
			t.Errorf("%s came twice or out of order", id)
		}
		seen[id], next[string(trip)] = true, n
	}
	if len(seen) != 60 {
		t.Errorf("received %d events, want 60", len(seen))
	}
}

func TestRedirectsAreNotFollowed(t *testing.T) {
	s := newStage(t)
	s.register()
	elsewhere := newReceiver(t)
	for _, status := range []int{301, 302, 303, 307, 308} {
		s.rec.mu.Lock()
		s.rec.answer = func(string) (int, map[string]string) { return status, map[string]string{"Location": elsewhere.URL} }
		s.rec.mu.Unlock()
		trip := newTrip(roster.TripID(fmt.Sprintf("aaaaaaa%d", status)))
		s.happens(trip, 1)
		s.tell()
	}
	if elsewhere.tried != 0 {
		t.Errorf("a redirect was followed %d times", elsewhere.tried)
	}
	log, err := s.desk.Deliveries(t.Context(), shop, time.Time{}, 100)
	must(t, err)
	for _, d := range log {
		if d.Result != "failed" || !strings.Contains(d.Reason, "redirect") {
			t.Errorf("got %+v, want a failure that says redirect", d)
		}
	}
}

func TestRetryAfterIsHonoured(t *testing.T) {
	now := time.Date(2027, 5, 15, 6, 0, 0, 0, time.UTC)
	for header, want := range map[string]time.Duration{"120": 2 * time.Minute, "": 0, "-5": 0, "soon": 0,
		now.Add(10 * time.Minute).Format(http.TimeFormat): 10 * time.Minute, now.Add(-time.Hour).Format(http.TimeFormat): 0} {
		if got := retryAfter(header, now); got != want {
			t.Errorf("Retry-After %q: got %v, want %v", header, got, want)
		}
	}
	if got := wait(0, 20*time.Minute, 0.5); got != 20*time.Minute {
		t.Errorf("asked for 20 minutes: got %v", got)
	}
	if got := wait(0, 20*24*time.Hour, 0.5); got != time.Hour {
		t.Errorf("asked for 20 days: got %v, want an hour", got)
	}
}

func TestWaitsGrowOverADayWithJitter(t *testing.T) {
	var low, high time.Duration
	attempts := 0
	for ; low < day; attempts++ {
		a, b := wait(attempts, 0, 0), wait(attempts, 0, 0.999)
		if a >= b || b > time.Hour+12*time.Minute || attempts > 0 && a < wait(attempts-1, 0, 0) {
			t.Errorf("attempt %d: waits %v to %v", attempts, a, b)
		}
		low, high = low+a, high+b
	}
	if attempts < 10 || attempts > 60 {
		t.Errorf("%d attempts a day", attempts)
	}
}

func TestStoreThatFailsLosesNothing(t *testing.T) {
	s := newStage(t)
	s.register()
	s.happens(newTrip("aaaaaaaaaa"), 2)
	s.mini.SetError("LOADING")
	if _, err := s.teller.round(t.Context(), make(chan struct{}, 8), new(sync.WaitGroup)); err == nil {
		t.Error("a store that fails is no error")
	}
	s.mini.SetError("")
	s.tell()
	s.wantGot(ids("aaaaaaaaaa", 1, 2)...)
}

func TestEventIDs(t *testing.T) {
	for id, ok := range map[string]bool{"abcdefghij_1": true, "abcdefghij_12": true, "abcdefghij_0": false,
		"abcdefghij_01": false,
		"abcdefghij":    false, "_1": false, "abcdefghij_-1": false, "abcdefghij_x": false, "": false,
		"abcdefghij_99999999999": false} {
		trip, n, got := ParseEventID(id)
		if got != ok || ok && EventID(trip, n) != id {
			t.Errorf("%q: got %s, %d, %v", id, trip, n, got)
		}
	}
}
