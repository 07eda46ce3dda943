package desk_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"

	"gasmuster/internal/booking"
)

// bookDay books 40 boats of 15 divers with two cylinders each.
func (s *stage) bookDay() {
	s.t.Helper()
	for boat := range 40 {
		var divers []string
		for n := range 15 {
			divers = append(divers,
				fmt.Sprintf(
					`{"name":"Diver %d of boat %d","card":"seen","depth_limit":40,"cylinders":[{"asked":32,"dive":1},{"asked":36,"dive":2}]}`, n, boat))
		}
		doc := fmt.Sprintf(`{"name":"Boat %d","time_zone":"Atlantic/Azores","departs_at":"2027-05-15T08:30:00Z","units":"m","dives":[{"site":"Anvil Ledge","depth":30,"minutes":20},
			{"site":"Lime Kiln Wall","depth":18,"minutes":40,"interval":60}],"leaders":[{"name":"Leader %d","card":"seen"}],"divers":[%s]}`, boat, boat, strings.Join(divers, ","))
		draft, _, err := booking.ReadTrip([]byte(doc), "application/json", nil, s.now)
		if err != nil {
			s.t.Fatal(err)
		}
		draft.Shop = "one"
		if _, err := s.door.Create(context.Background(), draft); err != nil {
			s.t.Fatal(err)
		}
	}
}

// The largest day that a shop is likely to have: 40 boats with 600 divers.
func TestALargeDayIsASmallPage(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	s.bookDay()
	page := s.get("/desk").want(200)
	if n := strings.Count(page.Body, "Diver 3 of boat"); n < 40 {
		t.Fatalf("%d boats are shown", n)
	}
	if n := len(page.Body); n > 150<<10 {
		t.Errorf("the page has %d bytes, want at most 150 KB", n)
	}
}

// Ten desks of a shop are open live on one day, while divers report: each sees what is
// stored, and nothing else than what the first sees.
func TestTenDesksAreOpenOnOneDay(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	s.bookDay()
	var desks []*http.Cookie
	for range 10 {
		s.signIn(keyOne).want(http.StatusSeeOther)
		desks = append(desks, s.cookie)
	}
	before := liveOf(s.get("/desk").want(200))
	first := s.list("one")[0]
	for round := range 3 {
		s.post("/desk/trips/"+string(first), url.Values{"do": {"calloff"},
			"reason": {"No wind " + strconv.Itoa(round)}}).want(http.StatusSeeOther)
		var seen [10]string
		var all sync.WaitGroup
		for i, cookie := range desks {
			all.Go(func() {
				r := httptest.NewRequest(http.MethodGet, "https://gas.example/desk", nil)
				r.AddCookie(cookie)
				w := httptest.NewRecorder()
				s.desk.ServeHTTP(w, r)
				seen[i] = liveOf(answer{t, w.Code, w.Header(), w.Body.String()}.want(200))
			})
		}
		all.Wait()
		for i, page := range seen {
			if page != seen[0] || page == before || !strings.Contains(page, "No wind "+strconv.Itoa(round)) {
				t.Errorf("round %d: desk %d does not see what was stored", round, i)
			}
		}
		s.post("/desk/trips/"+string(first), url.Values{"do": {"puton"}}).want(http.StatusSeeOther)
	}
}

// liveOf is the part of a page that looks again by itself.
func liveOf(a answer) string {
	_, live, _ := strings.Cut(a.Body, `<div id="live">`)
	live, _, _ = strings.Cut(live, "</main>")
	return live
}

// BenchmarkTenDesks is what ten desks that look again together cost: one round of it.
func BenchmarkTenDesks(b *testing.B) {
	s := newStage(b)
	s.signIn(keyOne)
	s.bookDay()
	cookie := s.cookie
	for b.Loop() {
		var all sync.WaitGroup
		for range 10 {
			all.Go(func() {
				r := httptest.NewRequest(http.MethodGet, "https://gas.example/desk", nil)
				r.AddCookie(cookie)
				s.desk.ServeHTTP(httptest.NewRecorder(), r)
			})
		}
		all.Wait()
	}
}

// BenchmarkDays is to stay below 100 ms on an idle machine.
func BenchmarkDays(b *testing.B) {
	s := newStage(b)
	s.signIn(keyOne)
	s.bookDay()
	for b.Loop() {
		s.get("/desk").want(200)
	}
}
