package webchat_test

import (
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

func TestPagesThatOpenNothing(t *testing.T) {
	s := newStage(t, nil)
	for name, c := range map[string]struct {
		path   string
		status int
	}{
		"nonsense": {"/c/hello", http.StatusNotFound},
		"changed":  {s.diver()[:len(s.diver())-1] + "_", http.StatusNotFound},
		"other person": {strings.Replace(s.diver(), "-"+string(s.trip.People[1].ID)+"-", "-"+string(s.trip.People[0].ID)+
			"-", 1), http.StatusNotFound},
		"trip not there": {"/c/" + s.invites.Code("abcdefghij", "p1", 1), http.StatusGone},
	} {
		t.Run(name, func(t *testing.T) {
			if w := s.get(c.path); w.Code != c.status || strings.Contains(w.Body.String(), "<form") {
				t.Errorf("GET: got %d, want %d\n%s", w.Code, c.status, w.Body)
			}
			if w := s.post(c.path, url.Values{"text": {"32.4"}}); w.Code != c.status {
				t.Errorf("POST: got %d, want %d", w.Code, c.status)
			}
		})
	}
	if len(s.door.got) != 0 {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

func TestWhatPeopleTypeIsEscaped(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	s.post(s.diver(), url.Values{"text": {`<script>alert(1)</script>"><img src=x>`}, "id": {"one"}})
	page := s.get(s.diver()).Body.String()
	for _, bad := range []string{"<script>", "<img", "<b>x", "<two>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if !strings.Contains(page, "&lt;script&gt;alert(1)") {
		t.Error("what was typed is not shown")
	}
}

func TestSecurityHeaders(t *testing.T) {
	s := newStage(t, nil)
	for _, w := range []*httptest.ResponseRecorder{s.get(s.diver()), s.get("/c/hello"), s.get("/c/")} {
		csp := w.Header().Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "frame-ancestors 'none'", "form-action 'self'",
			"base-uri 'none'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("policy lacks %q: %s", want, csp)
			}
		}
		if strings.Contains(csp, "unsafe") || !strings.Contains(csp, "script-src 'self';") || strings.Contains(csp, "http") {
			t.Errorf("policy: %s", csp)
		}
		for name, want := range map[string]string{"Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff",
			"Cache-Control": "no-store"} {
			if got := w.Header().Get(name); got != want {
				t.Errorf("%s: got %q, want %q", name, got, want)
			}
		}
	}
	s.opens(s.leader())
	for _, page := range []string{s.get(s.diver()).Body.String(), s.opens(s.diver()),
		s.get(s.leader() + "/board").Body.String(), s.get("/page/offline").Body.String()} {
		if m := regexp.MustCompile(`(?i)<script[^>]*>[^<]|(src|href)="(https?:)?//|\sstyle="|\son[a-z]+=`).FindString(
			page); m != "" {
			t.Errorf("the page has an inline script or style, or asks another site: %q", m)
		}
	}
}

func TestPostsOfOtherSitesAreRefused(t *testing.T) {
	s := newStage(t, nil)
	for name, header := range map[string][]string{"cross-site": {"Sec-Fetch-Site", "cross-site"},
		"other origin": {"Origin", "https://elsewhere.example"}} {
		if w := s.post(s.diver(), url.Values{"text": {"32.4"}}, header...); w.Code != http.StatusForbidden {
			t.Errorf("%s: got %d", name, w.Code)
		}
	}
	if len(s.door.got) != 0 {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

func TestTokenIsNotLogged(t *testing.T) {
	s := newStage(t, nil)
	s.opens(s.diver())
	s.door.fail = errors.New("store down")
	s.post(s.diver(), url.Values{"text": {"32.4"}})
	s.get(s.leader())
	token := strings.TrimPrefix(s.diver(), "/c/")
	if out := s.log.String(); out == "" || strings.Contains(out, token[len(token)-22:]) ||
		strings.Contains(out, "Marit") || strings.Contains(out, "32.4") {
		t.Errorf("log: %s", out)
	}
}

func TestTooLongIsRefused(t *testing.T) {
	s := newStage(t, nil)
	for _, n := range []int{4097, 100_000} {
		w := s.post(s.diver(), url.Values{"text": {strings.Repeat("9", n)}})
		if w.Code != http.StatusRequestEntityTooLarge || !strings.Contains(w.Body.String(), "NOT recorded") {
			t.Errorf("%d characters: got %d", n, w.Code)
		}
	}
	if len(s.door.got) != 0 {
		t.Errorf("something came through the door: %v", s.kinds())
	}
}

// withoutTime leaves out when a line was written: "12:16:32.412" holds what looks like a reading.
func withoutTime(_ []string, a slog.Attr) slog.Attr {
	if a.Key == slog.TimeKey {
		return slog.Attr{}
	}
	return a
}
