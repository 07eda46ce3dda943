package e2e

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"gasmuster/internal/telegram/standin"
)

// issued are the invite codes that all tests were given.
var issued codes

type codes struct {
	mu  sync.Mutex
	all []string
}

func (c *codes) add(code string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all = append(c.all, code)
}

func (c *codes) list() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return append([]string(nil), c.all...)
}

// secrets are what must be seen nowhere: not in a log, an error, a metric or the
// process's title.
func secrets(api *standin.Server) []string {
	all := []string{shopKey, webhookSecret, inviteSecret, redisPassword}
	if api != nil {
		_, secret, _ := strings.Cut(api.Token, ":")
		all = append(all, secret)
	}
	return all
}

// keepsSecrets looks at what a running process shows to whoever asks: metrics,
// its title, answers to all kinds of bad requests.
func (b *bot) keepsSecrets(api *standin.Server) {
	b.t.Helper()
	if b.done {
		return
	}
	shown := map[string]string{"an answer of the shop's API": b.said.String()}
	for _, file := range []string{"cmdline", "comm"} {
		raw, err := os.ReadFile(filepath.Join("/proc", fmt.Sprint(b.cmd.Process.Pid), file))
		if err != nil {
			b.t.Errorf("title of the process: %v", err)
		}
		shown["/proc/.../"+file] = string(raw)
	}
	for i, r := range badRequests() {
		shown[fmt.Sprintf("%s %s (%d)", r.Method, r.URL.Path, i+1)] = b.answer(r)
	}
	for _, leak := range leaks(shown, append(secrets(api), names...)) {
		b.t.Error(leak)
	}
}

// names are people of the charter; nobody's name has a place outside of the
// messages and the shop's own answers.
var names = []string{"Tomasz", "Marit"}

// leaks are the secrets that are found in some text, and in which.
func leaks(shown map[string]string, secrets []string) (found []string) {
	for where, text := range shown {
		for _, s := range secrets {
			if strings.Contains(text, s) {
				found = append(found, fmt.Sprintf("%q is in %s", s, where))
			}
		}
	}
	return found
}

// keepsSecretsInLog looks at all that the process printed. Invite codes and
// names have no place there either.
func (b *bot) keepsSecretsInLog(api *standin.Server) {
	b.t.Helper()
	shown := map[string]string{"the log": b.log.String()}
	for _, leak := range leaks(shown, append(append(secrets(api), names...), issued.list()...)) {
		b.t.Error(leak)
	}
}

// badRequests are what goes wrong on each way in, and what anybody may ask.
func badRequests() []*http.Request {
	make := func(method, path, body string, header ...string) *http.Request {
		r, err := http.NewRequest(method, path, strings.NewReader(body))
		if err != nil {
			panic(err)
		}
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		return r
	}
	const hook, key = "X-Telegram-Bot-Api-Secret-Token", "Authorization"
	return []*http.Request{
		make("GET", "/metrics", ""), make("GET", "/readyz", ""), make("GET", "/healthz", ""), make("GET", "/nowhere", ""),
		make("POST", "/telegram/webhook", "{}"), make("POST", "/telegram/webhook", "{}", hook, "wrong"),
		make("POST", "/telegram/webhook", "no update", hook, webhookSecret),
		make("GET", "/v1/trips", ""), make("GET", "/v1/trips/", "", key, "Bearer wrong"),
		make("POST", "/v1/trips", "{", key, "Bearer "+shopKey, "Content-Type", "application/json"),
		make("GET", "/v1/trips/aaaaaaaaaa", "", key, "Bearer "+shopKey),
		make("GET", "/c/aaaaaaaaaa-p2-AAAAAAAAAAAAAAAAAAAAAA", ""), make("POST", "/c/nobody/messages", "text=32.4"),
	}
}

// answer is all of an answer: status, header, body.
func (b *bot) answer(r *http.Request) string {
	b.t.Helper()
	r.URL.Scheme, r.URL.Host = "http", strings.TrimPrefix(b.url, "http://")
	resp, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		b.t.Errorf("%s %s: %v", r.Method, r.URL.Path, err)
		return ""
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		b.t.Errorf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	return fmt.Sprint(resp.Status, resp.Header, string(body))
}

// The check itself finds what it looks for, and looks at something.
func TestSecretsAreLookedFor(t *testing.T) {
	api := standin.New(t)
	planted := map[string]string{"a log": "token=" + api.Token + " key=" + shopKey, "a title": "bot serve"}
	if got := leaks(planted, secrets(api)); len(got) != 2 {
		t.Errorf("found %q, want the two secrets of the log", got)
	}
	for _, s := range secrets(api) {
		if len(s) < 8 {
			t.Errorf("%q is too short to be looked for", s)
		}
	}
	r := startRedis(t)
	b := startBot(t, r, api, webhook()...)
	tr := b.create(charter())
	b.joinAll(api, tr)
	if status, _ := b.ask(http.MethodGet, "/v1/trips/aaaaaaaaaa", nil); status != http.StatusNotFound ||
		b.said.String() == "" {
		t.Errorf("%d, %q: want an answer that is kept to be looked at", status, b.said)
	}
	if codes := issued.list(); len(codes) < 3 {
		t.Errorf("%d invite codes are looked for, want those of three people", len(codes))
	}
	if metrics := b.answer(badRequests()[0]); !strings.Contains(metrics, "gasmuster_commits_total") {
		t.Errorf("/metrics: %q", metrics)
	}
}
