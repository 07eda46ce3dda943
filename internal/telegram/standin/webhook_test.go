package standin

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// hook is an endpoint that remembers what it was sent.
type hook struct {
	mu     sync.Mutex
	texts  []string
	status func(n int, text string) int
}

func (h *hook) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, _ := io.ReadAll(r.Body)
	var u struct {
		Message  struct{ Text string }
		Callback struct{ Data string } `json:"callback_query"`
	}
	_ = json.Unmarshal(body, &u)
	h.mu.Lock()
	defer h.mu.Unlock()
	text := u.Message.Text + u.Callback.Data + " " + r.Header.Get("X-Telegram-Bot-Api-Secret-Token")
	h.texts = append(h.texts, text)
	if h.status != nil {
		w.WriteHeader(h.status(len(h.texts), text))
	}
}

func (h *hook) got() []string { h.mu.Lock(); defer h.mu.Unlock(); return slices.Clone(h.texts) }

func hooked(t *testing.T, h *hook) *Server {
	s := New(t)
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	ask(t, s, "setWebhook", "url", srv.URL, "secret_token", "sec-1")
	return s
}

func TestWebhookInOrderUntilTaken(t *testing.T) {
	t.Parallel()
	h := &hook{status: func(n int, _ string) int { return []int{503, 500, 302, 204}[min(n-1, 3)] }}
	s := hooked(t, h)
	tomasz := s.User(7, "Tomasz", "pl")
	tomasz.Start("")
	tomasz.Send("a")
	tomasz.Send("b")
	if !s.Settled() {
		t.Fatal("not settled")
	}
	want := []string{"/start sec-1", "/start sec-1", "/start sec-1", "/start sec-1", "a sec-1", "b sec-1"}
	if got := h.got(); !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

func TestWebhookTwiceAndSideBySide(t *testing.T) {
	t.Parallel()
	h := &hook{status: func(_ int, text string) int {
		if strings.HasPrefix(text, "stuck") {
			return 503
		}
		return 200
	}}
	s := hooked(t, h)
	tomasz, marit := s.User(7, "Tomasz", "pl"), s.User(8, "Marit", "nb")
	s.DeliverTwice(1)
	tomasz.Start("")
	s.Settled()
	ask(t, s, "sendMessage", "chat_id", "7", "text", "which?", "reply_markup", keys("undo"))
	tomasz.Send("stuck")
	tomasz.Press("undo") // a button overtakes the message before it
	marit.Start("")
	failed := func() bool {
		return slices.ContainsFunc(s.Calls("webhook"),
			func(e Exchange) bool { return e.Status == http.StatusServiceUnavailable })
	}
	if !s.Wait(func() bool { return slices.Contains(h.got(), "undo sec-1") && s.Pending() == 1 && failed() }) {
		t.Fatalf("got %q", h.got())
	}
	if got := h.got()[:2]; !cmp.Equal(got, []string{"/start sec-1", "/start sec-1"}) {
		t.Errorf("first two deliveries: %q", got)
	}
	var info struct {
		Pending int    `json:"pending_update_count"`
		Error   string `json:"last_error_message"`
	}
	if err := json.Unmarshal(ask(t, s, "getWebhookInfo").Result, &info); err != nil || info.Pending != 1 ||
		info.Error == "" {
		t.Errorf("info %+v, %v", info, err)
	}
	ask(t, s, "deleteWebhook", "drop_pending_updates", "true")
	if s.Pending() != 0 {
		t.Error("not dropped")
	}
}

func TestSetWebhookChecks(t *testing.T) {
	t.Parallel()
	s := New(t)
	for _, pairs := range [][]string{{"url", "nowhere"}, {"url", "http://127.0.0.1/", "secret_token", "a b"},
		{"url", "http://127.0.0.1/", "max_connections", "101"}, {"url", ""}} {
		if got := ask(t, s, "setWebhook", pairs...); got.Status != 400 {
			t.Errorf("%q: status %d", pairs, got.Status)
		}
	}
}
