// Package e2e starts the built program against a real redis-server and a Bot
// API server over HTTP, and plays whole trips through it.
package e2e

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

const (
	shopKey       = "the-shop's-own-key-of-this-test"
	webhookSecret = "webhook-secret_of-this-test"
	inviteSecret  = "invite secret of this test, long enough"
	redisPassword = "password-of-the-redis-of-this-test"
)

// workshop is where the programs are built.
var workshop string

// built is the program as it is shipped, settable the one with a clock that a
// test can set. Each is built once for all tests.
var built, settable = building("bot"), building("bot-testclock", "-tags", "testclock")

func building(name string, flags ...string) func() (string, error) {
	return sync.OnceValues(func() (string, error) {
		if err := lookAtSources(); err != nil {
			return "", err
		}
		path := filepath.Join(workshop, name)
		args := append(append([]string{"build", "-o", path}, flags...), "gasmuster/cmd/bot")
		if out, err := exec.Command("go", args...).CombinedOutput(); err != nil {
			return "", fmt.Errorf("go build: %w\n%s", err, out)
		}
		return path, nil
	})
}

// lookAtSources makes a kept result one of this very code: go test keeps it only
// as long as the files are as they were that the tests looked at. That the tests'
// own program has not changed says nothing about the one that is built here.
func lookAtSources() error {
	for _, dir := range []string{"../../cmd", "../../internal", "../../go.mod"} {
		err := filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
			if err == nil && !e.IsDir() && !strings.HasSuffix(path, "_test.go") {
				_, err = os.Stat(path)
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// TestMain lets more tests run at the same time than there are processors: most
// of their time is waiting for leases, time-outs and restarts.
func TestMain(m *testing.M) {
	flag.Parse()
	if err := flag.Set("test.parallel", "6"); err != nil {
		panic(err)
	}
	dir, err := os.MkdirTemp("", "gasmuster-e2e")
	if err != nil {
		panic(err)
	}
	workshop = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// program is the program to start with these settings.
func program(t *testing.T, settings []string) string {
	t.Helper()
	build := built
	if setting(settings, clockFile) != "" {
		build = settable
	}
	path, err := build()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// until looks again and again, for as long as patience lasts: what is waited for is
// there within a second, on a busy machine within many.
func until(t *testing.T, what string, ok func() bool) {
	t.Helper()
	const patience = 2 * time.Minute
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for end := time.Now().Add(patience); time.Now().Before(end); <-tick.C {
		if ok() {
			return
		}
	}
	t.Fatalf("waited in vain: %s", what)
}

// redis is a redis-server of this test, with everything on disk at once.
type redis struct {
	t    *testing.T
	port int
	dir  string
	more []string // further settings
	cmd  *exec.Cmd
}

func startRedis(t *testing.T) *redis {
	t.Helper()
	return startRedisWith(t)
}

func startRedisWith(t *testing.T, settings ...string) *redis {
	t.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no redis-server in PATH, and CI needs one")
		}
		t.Skip("no redis-server in PATH")
	}
	r := &redis{t: t, port: testport.Free(t), dir: t.TempDir(), more: settings}
	r.start()
	t.Cleanup(r.stop)
	return r
}

func (r *redis) url() string { return redisURL(r.port) }

func redisURL(port int) string {
	return fmt.Sprintf("redis://gasmuster:%s@127.0.0.1:%d", url.PathEscape(redisPassword), port)
}

// start runs the server and waits until it serves. The program has an account
// of its own there, with a password that must not be seen anywhere.
func (r *redis) start() {
	r.t.Helper()
	r.launch()
	until(r.t, "redis-server answers", func() bool {
		c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", r.port))
		if err != nil {
			return false
		}
		defer c.Close()
		fmt.Fprint(c, "PING\r\n")
		answer := make([]byte, 5)
		_, err = io.ReadFull(c, answer)
		return err == nil && string(answer) == "+PONG"
	})
}

func (r *redis) launch() {
	r.t.Helper()
	r.cmd = exec.Command("redis-server", append([]string{"--port", fmt.Sprint(r.port), "--bind", "127.0.0.1", "--dir",
		r.dir,
		"--appendonly", "yes", "--appendfsync", "always", "--save", "",
		"--user", "gasmuster", "on", ">" + redisPassword, "~*", "&*", "+@all"}, r.more...)...)
	if err := r.cmd.Start(); err != nil {
		r.t.Fatal(err)
	}
}

// stop ends the server the hard way; what it acknowledged is on disk.
func (r *redis) stop() {
	if r.cmd != nil {
		_ = r.cmd.Process.Kill()
		_ = r.cmd.Wait()
		r.cmd = nil
	}
}

// bot is one running process of the program.
type bot struct {
	t    *testing.T
	cmd  *exec.Cmd
	url  string
	log  *lockedBuffer
	said *lockedBuffer // answers that were errors
	done bool
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// startBot starts "bot serve" and waits until it is ready.
func startBot(t *testing.T, r *redis, api *standin.Server, settings ...string) *bot {
	t.Helper()
	b := newBot(t, "", exec.Command(program(t, settings), "serve"))
	b.cmd.Env = append([]string{"PATH=" + os.Getenv("PATH"), "HOME=" + t.TempDir(),
		"GASMUSTER_SECRET=" + inviteSecret,
		"GASMUSTER_SHOP_KEY=" + shopKey, "GASMUSTER_QUIET=none"}, settings...)
	if r != nil && setting(settings, "GASMUSTER_REDIS_URL") == "" {
		b.cmd.Env = append(b.cmd.Env, "GASMUSTER_REDIS_URL="+r.url())
	}
	if listen := setting(b.cmd.Env, "GASMUSTER_LISTEN"); listen != "" {
		b.url = "http://" + listen
	} else {
		port := testport.Free(t)
		b.url = localURL(port)
		b.cmd.Env = append(b.cmd.Env, listenOn(port))
	}
	if api != nil {
		b.cmd.Env = append(b.cmd.Env, "GASMUSTER_TELEGRAM_TOKEN="+api.Token, "GASMUSTER_TELEGRAM_API_URL="+api.URL())
	}
	b.begin(api)
	return b
}

func newBot(t *testing.T, url string, cmd *exec.Cmd) *bot {
	return &bot{t: t, url: url, cmd: cmd, log: &lockedBuffer{}, said: &lockedBuffer{}}
}

// begin starts the process and waits until it is ready.
func (b *bot) begin(api *standin.Server) {
	b.t.Helper()
	b.cmd.Stdout, b.cmd.Stderr = b.log, b.log
	if err := b.cmd.Start(); err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() {
		b.keepsSecrets(api)
		b.stop()
		b.keepsSecretsInLog(api)
		if b.t.Failed() {
			b.t.Logf("log of the program:\n%s", b.log)
		}
	})
	until(b.t, "the program is ready", func() bool { return b.ready() == http.StatusOK })
}

func localURL(port int) string { return fmt.Sprintf("http://127.0.0.1:%d", port) }

func listenOn(port int) string { return fmt.Sprintf("GASMUSTER_LISTEN=127.0.0.1:%d", port) }

func setting(env []string, name string) string {
	for _, e := range env {
		if value, ok := strings.CutPrefix(e, name+"="); ok {
			return value
		}
	}
	return ""
}

func webhook(b ...string) []string {
	return append(b, "GASMUSTER_TELEGRAM_MODE=webhook", "GASMUSTER_TELEGRAM_WEBHOOK_SECRET="+webhookSecret)
}

func (b *bot) ready() int {
	resp, err := http.Get(b.url + "/readyz")
	if err != nil {
		return 0
	}
	resp.Body.Close()
	return resp.StatusCode
}

// stop asks for an orderly stop and wants exit status 0.
func (b *bot) stop() {
	b.t.Helper()
	if b.done {
		return
	}
	b.done = true
	_ = b.cmd.Process.Signal(syscall.SIGTERM)
	timer := time.AfterFunc(2*time.Minute, func() { _ = b.cmd.Process.Kill() })
	defer timer.Stop()
	if err := b.cmd.Wait(); err != nil {
		b.t.Errorf("the program did not stop in order: %v", err)
	}
}

// kill ends the process as a crash would.
func (b *bot) kill() {
	b.done = true
	_ = b.cmd.Process.Kill()
	_ = b.cmd.Wait()
}

// call asks the shop's API and wants a status.
func (b *bot) call(method, path string, body any, want int) map[string]any {
	b.t.Helper()
	status, answer := b.ask(method, path, body)
	if status == http.StatusTooManyRequests && want != status { // a test that looks again and again
		until(b.t, "the shop's key may be used again", func() bool {
			status, answer = b.ask(method, path, body)
			return status != http.StatusTooManyRequests
		})
	}
	if status != want {
		b.t.Fatalf("%s %s: %d, want %d: %v", method, path, status, want, answer)
	}
	return answer
}

func (b *bot) ask(method, path string, body any) (int, map[string]any) {
	b.t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		b.t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(b.t.Context(), time.Minute)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, method, b.url+path, bytes.NewReader(raw))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+shopKey)
	req.Header.Set("Content-Type", "application/json")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer resp.Body.Close()
	var answer map[string]any
	got, _ := io.ReadAll(resp.Body)
	if resp.StatusCode >= 400 {
		_, _ = b.said.Write(got)
	}
	_ = json.Unmarshal(got, &answer)
	return resp.StatusCode, answer
}

// charter is a trip that leaves in three hours: one dive to 33.5 m.
func charter() map[string]any {
	return map[string]any{
		"name": "Saturday two-tank", "time_zone": noonZone(), "units": "m",
		"departs_at": time.Now().Add(3 * time.Hour).UTC().Format(time.RFC3339),
		"dives": []any{map[string]any{"site": "Anvil Ledge", "depth": 33.5, "bottom": 34, "minutes": 12,
			"water": "salt"}},
		"leaders": []any{map[string]any{"name": "Inês", "language": "en"}},
		"divers": []any{
			map[string]any{"name": "Tomasz", "card": "seen", "language": "en",
				"cylinders": []any{map[string]any{"asked": 36, "dive": 1}}},
			map[string]any{"name": "Marit", "card": "seen", "language": "en",
				"cylinders": []any{map[string]any{"asked": 31, "dive": 1}}},
		},
	}
}

// noonZone is a place where it is noon or a little later: quiet hours hold nothing
// back, whenever the tests run.
func noonZone() string {
	for _, name := range []string{"Pacific/Honolulu", "America/Phoenix", "America/Puerto_Rico", "Atlantic/Cape_Verde",
		"Africa/Maputo", "Indian/Maldives", "Asia/Manila"} {
		zone, err := time.LoadLocation(name)
		if err != nil {
			panic(err)
		}
		if hour := time.Now().In(zone).Hour(); hour >= 11 && hour < 14 {
			return name
		}
	}
	return "Pacific/Noumea"
}

// trip is a trip that was sent in, with the codes of its people by name.
type trip struct {
	id    string
	codes map[string]string
	pages map[string]string
	links map[string]string
}

func (b *bot) create(body map[string]any) trip {
	b.t.Helper()
	return tripOf(b.call(http.MethodPost, "/v1/trips", body, http.StatusCreated))
}

func tripOf(answer map[string]any) trip {
	tr := trip{id: answer["id"].(string), codes: map[string]string{}, pages: map[string]string{},
		links: map[string]string{}}
	for _, kind := range []string{"leaders", "divers"} {
		for _, p := range answer[kind].([]any) {
			person := p.(map[string]any)
			invite := person["invite"].(map[string]any)
			name := person["name"].(string)
			tr.codes[name] = invite["code"].(string)
			issued.add(tr.codes[name])
			tr.pages[name], _ = invite["chat_url"].(string)
			tr.links[name], _ = invite["telegram_url"].(string)
		}
	}
	return tr
}

func (b *bot) board(tr trip) map[string]any {
	b.t.Helper()
	return b.call(http.MethodGet, "/v1/trips/"+tr.id+"/board", nil, http.StatusOK)
}
