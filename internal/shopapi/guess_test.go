package shopapi_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strconv"
	"testing"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/shopapi"
)

// from asks with a key from an address and returns the status and Retry-After.
func (s *stage) from(h http.Handler, remote, key string, header ...string) (int, int) {
	s.t.Helper()
	r := httptest.NewRequest("GET", "https://gas.example/v1/trips", nil)
	r.RemoteAddr = remote
	r.Header.Set("Authorization", "Bearer "+key)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Add(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	after, _ := strconv.Atoi(w.Header().Get("Retry-After"))
	return w.Code, after
}

// guessing tries n wrong keys from an address and returns the last status.
func (s *stage) guessing(h http.Handler, n int, remote string, header ...string) (status int) {
	for i := range n {
		status, _ = s.from(h, remote, fmt.Sprintf("guess-%d", i), header...)
	}
	return status
}

// Somebody who tries keys is slowed down to one every six seconds, by address;
// nobody else is, and a key that was used before works from that address too.
func TestGuessingIsSlow(t *testing.T) {
	s := newStage(t)
	const guesser, other = "198.51.100.7:4000", "203.0.113.9:4000"
	if got, _ := s.from(s.handler, guesser, keyOne); got != 200 {
		t.Fatalf("a good key: %d, want 200", got)
	}
	if got := s.guessing(s.handler, 20, guesser); got != http.StatusUnauthorized {
		t.Errorf("twenty wrong keys: %d, want 401", got)
	}
	got, after := s.from(s.handler, "198.51.100.7:9999", "another")
	if got != http.StatusTooManyRequests || after < 1 || after > 6 {
		t.Errorf("one more, from another port: %d, Retry-After %d; want 429 and at most 6 seconds", got, after)
	}
	if got, _ := s.from(s.handler, guesser, keyTwo); got != http.StatusTooManyRequests {
		t.Errorf("a good key that was never used before, among guesses: %d, want 429: it would tell that it was guessed", got)
	}
	if got, _ := s.from(s.handler, guesser, keyOne); got != 200 {
		t.Errorf("a shop that was here before: %d, want 200", got)
	}
	if got, _ := s.from(s.handler, other, keyTwo); got != 200 {
		t.Errorf("another address: %d, want 200", got)
	}
	s.now = s.now.Add(6 * time.Second)
	if got, _ := s.from(s.handler, guesser, "one more guess"); got != http.StatusUnauthorized {
		t.Errorf("six seconds later: %d, want 401", got)
	}
	if got, _ := s.from(s.handler, guesser, "and another"); got != http.StatusTooManyRequests {
		t.Errorf("at once again: %d, want 429", got)
	}
}

// A request without a key tries none.
func TestNoKeyIsNoGuess(t *testing.T) {
	s := newStage(t)
	for range 50 {
		r := httptest.NewRequest("GET", "https://gas.example/v1/trips", nil)
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, r)
		if w.Code != http.StatusUnauthorized {
			t.Fatalf("no key: %d, want 401", w.Code)
		}
	}
	if got := s.guessing(s.handler, 1, "192.0.2.1:1234"); got != http.StatusUnauthorized {
		t.Errorf("the first key from there: %d, want 401", got)
	}
}

// Who the client is: no header is believed unless it was named in the settings,
// and then only its last entry, which the proxy wrote. An IPv6 subscriber is a
// whole /64.
func TestWhoGuesses(t *testing.T) {
	const proxy = "192.0.2.1:80"
	for _, c := range []struct {
		name, trusted   string
		first, second   []string // headers of the guesses, and of one more
		remote, remote2 string
		want            int
	}{
		{"no header is trusted", "", []string{"X-Forwarded-For", "198.51.100.1"},
			[]string{"X-Forwarded-For", "198.51.100.2"}, proxy, proxy, 429},
		{"behind a proxy, another client", "X-Forwarded-For", []string{"X-Forwarded-For", "198.51.100.1"},
			[]string{"X-Forwarded-For", "198.51.100.2"}, proxy, proxy, 401},
		{"a client that writes the header too", "X-Forwarded-For", []string{"X-Forwarded-For", "10.0.0.1, 198.51.100.1"},
			[]string{"X-Forwarded-For", "10.0.0.2, 198.51.100.1"}, proxy, proxy, 429},
		{"in two headers", "X-Forwarded-For", []string{"X-Forwarded-For", "198.51.100.1"},
			[]string{"X-Forwarded-For", "10.0.0.2", "X-Forwarded-For", "198.51.100.1"}, proxy, proxy, 429},
		{"nonsense in the header", "X-Forwarded-For", []string{"X-Forwarded-For", "a"}, []string{"X-Forwarded-For", "b"},
			proxy, proxy, 429},
		{"a proxy that says nothing", "X-Forwarded-For", nil, nil, proxy, "192.0.2.1:81", 429},
		{"one IPv6 subscriber", "", nil, nil, "[2001:db8:1:2::1]:80", "[2001:db8:1:2:ffff::1]:81", 429},
		{"another IPv6 subscriber", "", nil, nil, "[2001:db8:1:2::1]:80", "[2001:db8:1:3::1]:80", 401},
		{"IPv4 written as IPv6", "", nil, nil, "198.51.100.7:80", "[::ffff:198.51.100.7]:80", 429},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newStage(t)
			h := shopapi.New(shopapi.Deps{Trips: s.store, Shops: s.store.Shops(), Limiter: s.store.Limiter(),
				Renderer: message.New(),
				Now:      func() time.Time { return s.now }, ClientHeader: c.trusted})
			s.guessing(h, 20, c.remote, c.first...)
			if got, _ := s.from(h, c.remote2, "one more", c.second...); got != c.want {
				t.Errorf("one more guess: %d, want %d", got, c.want)
			}
		})
	}
}
