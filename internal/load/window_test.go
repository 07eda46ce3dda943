package load

import (
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"
)

// windowAPI is a Bot API server that takes at most thirty messages in any
// second, strictly, and refuses what is more with 429. Each way takes from
// least to most.
type windowAPI struct {
	least, most time.Duration
	slow        string           // a chat to which each message takes slowSend
	now         func() time.Time // nil for time.Now

	mu       sync.Mutex
	taken    []arrival
	refused  int
	unlikely int // calls that are no sends
}

// arrival is one message that was taken.
type arrival struct {
	at                  time.Time
	chat, text, buttons string
}

const (
	windowSends  = 30
	windowPeriod = time.Second
	slowSend     = 10 * time.Second
)

func (a *windowAPI) start(tb testing.TB) string {
	s := httptest.NewServer(a)
	tb.Cleanup(func() { s.CloseClientConnections(); s.Close() })
	return s.URL
}

func (a *windowAPI) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return
	}
	if a.slow != "" && strings.Contains(string(body), "chat_id="+a.slow) {
		time.Sleep(slowSend)
	}
	a.travel()
	status, answer := a.answer(r.URL.Path, string(body))
	a.travel()
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = io.WriteString(w, answer)
}

func (a *windowAPI) travel() {
	if a.most > 0 {
		time.Sleep(a.least + rand.N(a.most-a.least))
	}
}

func (a *windowAPI) answer(path, body string) (int, string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if !strings.HasSuffix(path, "/sendMessage") {
		a.unlikely++
		return http.StatusOK, `{"ok":true,"result":true}`
	}
	now := time.Now()
	if a.now != nil {
		now = a.now()
	}
	if n := len(a.taken); n >= windowSends && now.Sub(a.taken[n-windowSends].at) < windowPeriod {
		a.refused++
		return http.StatusTooManyRequests,
			`{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 1","parameters":{"retry_after":1}}`
	}
	form, _ := url.ParseQuery(body)
	a.taken = append(a.taken, arrival{now, form.Get("chat_id"), form.Get("text"), form.Get("reply_markup")})
	return http.StatusOK,
		fmt.Sprintf(`{"ok":true,"result":{"message_id":%d,"date":%d,"chat":{"id":%s,"type":"private"},"text":"x"}}`,
			len(a.taken), now.Unix(), form.Get("chat_id"))
}

// first is when the first message came, zero before that.
func (a *windowAPI) first() time.Time {
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.taken) == 0 {
		return time.Time{}
	}
	return a.taken[0].at
}

// found is when a message with text in it came to a chat, zero when none did.
func (a *windowAPI) found(chat int64, text string) time.Time {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, m := range a.taken {
		if m.chat == fmt.Sprint(chat) && strings.Contains(m.text, text) {
			return m.at
		}
	}
	return time.Time{}
}

// count is how many messages came within d of the first, and how many were
// refused in all.
func (a *windowAPI) count(d time.Duration) (taken, refused int) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, m := range a.taken {
		if m.at.Sub(a.taken[0].at) < d {
			taken++
		}
	}
	return taken, a.refused
}

// The stand-in itself is strict: of forty messages at once it takes thirty, and
// one more only a second after the first.
func TestWindowIsStrict(t *testing.T) {
	at := time.Now()
	a := &windowAPI{now: func() time.Time { return at }}
	for i := range 40 {
		status, _ := a.answer("/bot1:x/sendMessage", "chat_id=1&text=x")
		if want := map[bool]int{true: 200, false: 429}[i < windowSends]; status != want {
			t.Errorf("message %d: status %d, want %d", i, status, want)
		}
	}
	at = at.Add(windowPeriod)
	if status, _ := a.answer("/bot1:x/sendMessage", "chat_id=1&text=x"); status != 200 {
		t.Errorf("a second later: status %d, want 200", status)
	}
}
