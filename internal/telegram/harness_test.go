package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/telegram/standin"
)

const (
	secret = "hook_secret-1"
	tripID = roster.TripID("abcdefgh23")
)

var errStoreDown = errors.New("store is down")

// desk is a handler that remembers what came in.
type desk struct {
	mu     sync.Mutex
	got    []delivery.Inbound
	answer func(in delivery.Inbound) (*delivery.Reply, error)
}

func (d *desk) Handle(_ context.Context, in delivery.Inbound) (*delivery.Reply, error) {
	d.mu.Lock()
	answer := d.answer
	d.mu.Unlock()
	var reply *delivery.Reply
	var err error
	if answer != nil {
		reply, err = answer(in)
	}
	if err == nil {
		d.mu.Lock()
		d.got = append(d.got, in)
		d.mu.Unlock()
	}
	return reply, err
}

func (d *desk) inbound() []delivery.Inbound {
	d.mu.Lock()
	defer d.mu.Unlock()
	return append([]delivery.Inbound{}, d.got...)
}

func (d *desk) texts() []string {
	var list []string
	for _, in := range d.inbound() {
		list = append(list, in.Text)
	}
	return list
}

// journal is a log that can be searched.
type journal struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (j *journal) Write(p []byte) (int, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.b.Write(p)
}

func (j *journal) String() string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.b.String()
}

// rig is a channel with its stand-in.
type rig struct {
	t    testing.TB
	api  *standin.Server
	desk *desk
	log  *journal
	ch   *Channel
	hook *httptest.Server
	cfg  Config
	stop func()

	answered sync.Map // by envelope id
}

type choice func(*rig)

func newRig(t testing.TB, choices ...choice) *rig {
	t.Helper()
	r := &rig{t: t, api: standin.New(t), desk: &desk{}, log: &journal{}}
	r.cfg = Config{Token: r.api.Token, APIURL: r.api.URL(), Handler: r.desk, Answer: r.answer, Renderer: message.New(),
		PollTimeout: 5 * time.Second, Retry: time.Millisecond,
		Log: slog.New(slog.NewTextHandler(r.log, &slog.HandlerOptions{Level: slog.LevelDebug, ReplaceAttr: withoutTime}))}
	for _, c := range choices {
		c(r)
	}
	ch, err := New(r.cfg)
	if err != nil {
		t.Fatal(err)
	}
	r.ch = ch
	ch.drawing = time.Minute
	if r.hook != nil {
		r.hook.Config.Handler = ch
		r.hook.Start()
	}
	return r
}

// answer is the door out of direct answers, without limits: each once.
func (r *rig) answer(e roster.Envelope) {
	if _, again := r.answered.LoadOrStore(e.ID, true); !again {
		r.ch.later.do(func() { r.ch.Send(context.Background(), e) })
	}
}

// byWebhook makes the channel get its updates by webhook.
func byWebhook(r *rig) {
	r.hook = httptest.NewUnstartedServer(nil)
	r.t.Cleanup(r.hook.Close)
	r.cfg.Mode, r.cfg.Secret = Webhook, secret
	r.cfg.WebhookURL = "http://" + r.hook.Listener.Addr().String()
}

// run starts the channel and waits until it is connected.
func (r *rig) run() *rig {
	r.t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = r.ch.Run(ctx)
	}()
	var once sync.Once
	r.stop = func() { once.Do(func() { cancel(); <-ended }) }
	r.t.Cleanup(r.stop)
	if !r.api.Wait(func() bool {
		return len(r.api.Calls("getUpdates")) > 0 || len(r.api.Calls("setWebhook")) > 0 ||
			len(r.api.Calls("deleteWebhook")) > 0
	}) {
		r.t.Fatal("channel did not connect")
	}
	return r
}

// heard waits until the desk has n inbound events.
func (r *rig) heard(n int) []delivery.Inbound {
	r.t.Helper()
	if !r.api.Wait(func() bool { return len(r.desk.inbound()) >= n && r.api.Pending() == 0 }) {
		r.t.Fatalf("heard %d inbound events, want %d; %d pending\nlog:\n%s", len(r.desk.inbound()), n, r.api.Pending(), r.log)
	}
	return r.desk.inbound()
}

// line is a line of a catalogue that shows any text.
func line(text string) message.Line {
	return message.Say("list.more", message.Args{"a": message.Code(text), "b": message.Code("end")})
}

func letter(to int64, lines ...message.Line) roster.Envelope {
	return envelope(chat{id: to}.address(), message.Message{Lines: lines})
}

func envelope(to roster.Address, m message.Message) roster.Envelope {
	raw, err := json.Marshal(m)
	if err != nil {
		panic(err)
	}
	return roster.Envelope{ID: "abcdefgh23:1:0", Trip: tripID, Person: "p1", Address: to, Language: "en", Payload: raw}
}

// noToken fails when the token, or its secret half, is anywhere in a text.
func noToken(t testing.TB, where, text, token string) {
	t.Helper()
	_, half, _ := strings.Cut(token, ":")
	for _, s := range []string{token, half} {
		if strings.Contains(text, s) {
			t.Errorf("%s holds the token:\n%s", where, text)
		}
	}
}

// withoutTime leaves out when a line was written: "12:16:32.412" holds what looks like a reading.
func withoutTime(_ []string, a slog.Attr) slog.Attr {
	if a.Key == slog.TimeKey {
		return slog.Attr{}
	}
	return a
}
