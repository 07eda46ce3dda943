package web_test

import (
	"context"
	"html/template"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/web"
)

func TestGuard(t *testing.T) {
	reached := 0
	h := web.Guard{Style: "p{}", MostBody: 4}.Around(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, err := io.ReadAll(r.Body); err != nil {
			w.WriteHeader(http.StatusRequestEntityTooLarge)
			return
		}
		reached++
	}))
	for _, c := range []struct {
		name, method, body string
		header             map[string]string
		want               int
	}{
		{"its own post", "POST", "x=1", map[string]string{"Sec-Fetch-Site": "same-origin"}, http.StatusOK},
		{"another site's post", "POST", "x=1", map[string]string{"Sec-Fetch-Site": "cross-site"}, http.StatusForbidden},
		{"another origin's post", "POST", "x=1", map[string]string{"Origin": "https://elsewhere.example"},
			http.StatusForbidden},
		{"another site's link", "GET", "", map[string]string{"Sec-Fetch-Site": "cross-site"}, http.StatusOK},
		{"too long", "POST", "x=1111", nil, http.StatusRequestEntityTooLarge},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := reached
			r := httptest.NewRequest(c.method, "http://here.example/", strings.NewReader(c.body))
			for k, v := range c.header {
				r.Header.Set(k, v)
			}
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			if w.Code != c.want || (reached > before) != (c.want == http.StatusOK) {
				t.Errorf("got %d, want %d", w.Code, c.want)
			}
			for k, want := range map[string]string{"Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff",
				"Cache-Control": "no-store", "Cross-Origin-Opener-Policy": "same-origin", "X-Robots-Tag": "noindex, nofollow"} {
				if got := w.Header().Get(k); got != want {
					t.Errorf("%s: got %q, want %q", k, got, want)
				}
			}
			if p := w.Header().Get("Content-Security-Policy"); !strings.Contains(p, "default-src 'none'") ||
				strings.Contains(p, "script-src") || !strings.Contains(p, "frame-ancestors 'none'") {
				t.Errorf("policy %q", p)
			}
		})
	}
}

func TestClient(t *testing.T) {
	for _, c := range []struct{ remote, header, forwarded, want string }{
		{"192.0.2.7:4000", "", "", "192.0.2.7/32"},
		{"192.0.2.7:4000", "", "203.0.113.9", "192.0.2.7/32"}, // no header is trusted
		{"127.0.0.1:4000", "X-Client", "10.9.9.9, 203.0.113.9", "203.0.113.9/32"},
		{"127.0.0.1:4000", "X-Client", "", "127.0.0.1/32"},
		{"[2001:db8:1:2:3::4]:4000", "", "", "2001:db8:1:2::/64"},
		{"[fe80::1%eth0]:4000", "", "", "fe80::/64"},
		{"[::ffff:192.0.2.7]:4000", "", "", "192.0.2.7/32"},
		{"pipe", "", "", "invalid Prefix"},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.RemoteAddr = c.remote
		if c.forwarded != "" {
			r.Header.Set("X-Client", c.forwarded)
		}
		if got := web.Client(r, c.header).String(); got != c.want {
			t.Errorf("%+v: got %s", c, got)
		}
	}
}

// purse is a limiter with so many left.
type purse struct{ left, released int }

func (p *purse) Take(context.Context, string, int, time.Duration, time.Time) (time.Duration, string, error) {
	if p.left == 0 {
		return 1200 * time.Millisecond, "", nil
	}
	p.left--
	return 0, "slot", nil
}

func (p *purse) Release(context.Context, string, string, time.Duration, time.Time) error {
	p.released++
	return nil
}

func TestBudget(t *testing.T) {
	p := &purse{left: 1}
	b := web.Budget{Limiter: p, Most: 1}
	if wait, err := b.Wait(t.Context(), "b", time.Now()); wait != 0 || err != nil || p.released != 1 {
		t.Errorf("got %v, %v; released %d", wait, err, p.released)
	}
	wait, err := b.Wait(t.Context(), "b", time.Now())
	if err != nil || wait == 0 || p.released != 1 {
		t.Errorf("got %v, %v; released %d", wait, err, p.released)
	}
	w := httptest.NewRecorder()
	web.RetryAfter(w, wait)
	if got := w.Header().Get("Retry-After"); got != "2" {
		t.Errorf("Retry-After %q, want 2: whole seconds, never too early", got)
	}
}

// A page that breaks half-way sends nothing of itself.
func TestShow(t *testing.T) {
	pages := template.Must(template.New("good").Parse("<p>{{.}}</p>"))
	template.Must(pages.New("broken").Parse("<p>secret{{.Nothing}}</p>"))
	w := httptest.NewRecorder()
	if err := web.Show(w, pages, http.StatusTeapot, "good", "x"); err != nil || w.Code != http.StatusTeapot ||
		w.Body.String() != "<p>x</p>" {
		t.Errorf("got %v %d %s", err, w.Code, w.Body)
	}
	w = httptest.NewRecorder()
	if err := web.Show(w, pages, http.StatusOK, "broken", "x"); err == nil || w.Code != http.StatusInternalServerError ||
		strings.Contains(w.Body.String(), "secret") {
		t.Errorf("got %v %d %s", err, w.Code, w.Body)
	}
}
