// Package standin is a Bot API server for tests, written from the public
// description of the API. It listens on 127.0.0.1, enforces the documented
// limits and is stricter than the real one: unknown methods, unknown
// parameters and markup that a lenient parser would let through are refused,
// so that a slip fails a test instead of a day at sea.
//
//	s := standin.New(t)                     // s.URL() is the API URL, s.Token the token
//	tomasz := s.User(7001, "Tomasz", "pl")
//	tomasz.Start(code)                      // presses Start, which opens the chat
//	tomasz.Send("32.4")
//	tomasz.Await("32.4 %").Press("Undo")
//
// Updates go out by webhook (in order per queue, again until a 2xx) or are
// fetched by getUpdates. Faults are scripted with Server.Fault. Everything
// that was asked of the server is kept in a transcript, which a failing test
// prints.
package standin

import (
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"
)

// Options of a server; the zero value suits tests.
type Options struct {
	Token    string           // default: an invented one
	Name     string           // the bot's username, default "charter_test_bot"
	Now      func() time.Time // default time.Now
	Retry    time.Duration    // first wait before a webhook is tried again; doubles; default 5 ms
	RetryMax time.Duration    // longest wait between two tries, caps Retry-After too; default 100 ms
	Patience time.Duration    // how long Await waits; default a minute
	PerChat  int              // messages a chat takes in PerChatIn before 429; 0 for no limit
	Period   time.Duration    // of PerChat, default 1 s
	CanRead  bool             // the bot sees every group message (privacy mode off)
}

func (o *Options) defaults() {
	if o.Token == "" {
		o.Token = "4242424242:AAinvented-token-of-the-stand-in_01"
	}
	if o.Name == "" {
		o.Name = "charter_test_bot"
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	for _, d := range []struct {
		v   *time.Duration
		def time.Duration
	}{{&o.Retry, 5 * time.Millisecond}, {&o.RetryMax, 100 * time.Millisecond},
		{&o.Patience, time.Minute}, {&o.Period, time.Second}} {
		if *d.v == 0 {
			*d.v = d.def
		}
	}
}

// Server is one running stand-in with one bot.
type Server struct {
	Token string
	BotID int64

	t    testing.TB
	opt  Options
	http *httptest.Server
	stop chan struct{}
	work sync.WaitGroup

	mu         sync.Mutex
	changed    chan struct{} // closed and replaced at every change
	users      map[int64]*User
	chats      map[int64]*chat
	messages   int64
	update     int64
	callbacks  map[string]*Press
	commands   map[string][]Command
	hook       webhook
	pending    []*pending
	lanes      map[string]bool
	polls      int
	twice      int
	faults     []*Fault
	transcript []Exchange
	sends      map[int64][]time.Time
}

// New starts a server that ends with the test.
func New(t testing.TB, opts ...Options) *Server {
	t.Helper()
	var o Options
	if len(opts) > 0 {
		o = opts[0]
	}
	o.defaults()
	s := &Server{Token: o.Token, BotID: 4242424242, t: t, opt: o,
		stop: make(chan struct{}), changed: make(chan struct{}),
		users: map[int64]*User{}, chats: map[int64]*chat{}, callbacks: map[string]*Press{},
		commands: map[string][]Command{}, lanes: map[string]bool{}, sends: map[int64][]time.Time{},
		messages: 100, update: 700100}
	s.hook.allowed = defaultKinds
	s.http = httptest.NewServer(http.HandlerFunc(s.serve))
	t.Cleanup(func() {
		s.Close()
		if t.Failed() {
			t.Logf("Bot API stand-in transcript:\n%s", s.Dump())
		}
	})
	return s
}

// URL is the address of the API: what api.telegram.org is to the real one.
func (s *Server) URL() string { return s.http.URL }

// Name is the bot's username.
func (s *Server) Name() string { return s.opt.Name }

// Close stops the server and its deliveries. It may be called twice.
func (s *Server) Close() {
	s.mu.Lock()
	select {
	case <-s.stop:
		s.mu.Unlock()
		return
	default:
		close(s.stop)
	}
	s.mu.Unlock()
	s.http.CloseClientConnections()
	s.http.Close()
	s.work.Wait()
}

// touch wakes everybody who waits for a change; s.mu is held.
func (s *Server) touch() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// Wait blocks until ok is true, looking again after every change, and tells
// whether it came true within the server's patience.
func (s *Server) Wait(ok func() bool) bool {
	limit := time.NewTimer(s.opt.Patience)
	defer limit.Stop()
	for {
		s.mu.Lock()
		changed := s.changed
		s.mu.Unlock()
		if ok() {
			return true
		}
		select {
		case <-changed:
		case <-s.stop:
			return ok()
		case <-limit.C:
			return ok()
		}
	}
}

// Now is the server's clock.
func (s *Server) Now() time.Time { return s.opt.Now() }
