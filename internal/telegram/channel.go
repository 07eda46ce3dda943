// Package telegram is the Telegram channel: updates in by webhook or polling,
// messages out. It talks to a Bot API server at a configurable address.
//
//	Bot API --webhook.go / poll.go--> update.go --Inbound--> delivery.Handler
//	delivery's postman --Envelope--> send.go --split.go, keyboard.go--> Bot API
//
// Both ways in acknowledge an update (with 200, or by the next offset) only
// after the handler returned nil. A handler that panics is the exception: the
// same update would panic for ever and block its chat, so it is logged and
// acknowledged, and the person is told that nothing was recorded.
//
// A newcomer finds: calls and their failures in api.go, wire.go and fault.go;
// what a failure means for a message in outcome.go; the command menus in
// menu.go; pictures in photo.go. The go-telegram-bot-api library is used in
// api.go and for its plain types only, so that another could take its place.
package telegram

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"sync"
	"sync/atomic"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Modes of getting updates.
const (
	Poll    = "poll"
	Webhook = "webhook"
)

// Config is what a Channel works with. Token, Handler, Answer and Renderer are needed.
type Config struct {
	Token  string
	APIURL string // default https://api.telegram.org
	Mode   string // Poll (default) or Webhook

	WebhookURL string // Webhook: the public address of the handler
	Secret     string // Webhook: 1 to 256 of A-Z a-z 0-9 _ -, checked on every update

	Handler  delivery.Handler
	Answer   func(roster.Envelope) // says something to somebody on no trip; it doesn't block
	Renderer *message.Renderer
	Links    *delivery.Linker // of invites that messages carry; nil: none are known
	// IsHost tells whether an account may start trips; nil: nobody may.
	IsHost func(context.Context, roster.Address) bool

	Now         func() time.Time // default time.Now
	Log         *slog.Logger     // default slog.Default()
	PollTimeout time.Duration    // how long the server holds a poll that has nothing; default 50 s
	Retry       time.Duration    // first wait after a failure of getting updates, doubles to 15 s; default 1 s
}

// Channel is the Telegram channel. It is safe for concurrent use.
type Channel struct {
	cfg    Config
	api    *api
	log    *slog.Logger
	render *message.Renderer
	secret [32]byte // SHA-256 of the webhook's secret

	throttle throttle
	progress progress
	menus    menus
	later    background
	flood    *flood
	unparsed atomic.Int64
	pause    func(context.Context, time.Duration) bool // rest, but in tests
	drawing  time.Duration                             // pictureTime, longer in tests on slow machines

	mu sync.Mutex
	me self
}

// self is what getMe said; zero until it did.
type self struct {
	id   int64
	name string
}

// DefaultAPIURL is the public Bot API server.
const DefaultAPIURL = "https://api.telegram.org"

// New checks the settings and makes a Channel. It asks nobody: see Run.
func New(cfg Config) (*Channel, error) {
	if cfg.APIURL == "" {
		cfg.APIURL = DefaultAPIURL
	}
	if cfg.Mode == "" {
		cfg.Mode = Poll
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Log == nil {
		cfg.Log = slog.Default()
	}
	if cfg.PollTimeout <= 0 {
		cfg.PollTimeout = 50 * time.Second
	}
	if cfg.Retry <= 0 {
		cfg.Retry = time.Second
	}
	quietLibrary()
	a, err := newAPI(cfg.Token, cfg.APIURL)
	if err := errors.Join(err, cfg.check()); err != nil {
		return nil, err
	}
	return &Channel{cfg: cfg, api: a, log: cfg.Log.With("channel", channelName), render: cfg.Renderer,
		secret: digest(cfg.Secret), pause: rest, drawing: pictureTime, flood: newFlood()}, nil
}

func (cfg *Config) check() error {
	var errs []error
	if cfg.Handler == nil || cfg.Answer == nil || cfg.Renderer == nil {
		errs = append(errs, errors.New("channel telegram: handler, answer and renderer are needed"))
	}
	switch cfg.Mode {
	case Poll:
	case Webhook:
		if !isSecret(cfg.Secret) {
			errs = append(errs, errors.New("webhook secret of Telegram: want 1 to 256 letters, digits, _ and -"))
		}
		if u, err := url.Parse(cfg.WebhookURL); err != nil || u.Host == "" || (u.Scheme != "https" && u.Scheme != "http") {
			errs = append(errs, fmt.Errorf("webhook address of Telegram %q: want https:// and a host", cfg.WebhookURL))
		}
	default:
		errs = append(errs, fmt.Errorf("mode of Telegram %q: want %s or %s", cfg.Mode, Poll, Webhook))
	}
	return errors.Join(errs...)
}

func isSecret(s string) bool {
	for _, r := range s {
		if !isTokenRune(r) {
			return false
		}
	}
	return len(s) >= 1 && len(s) <= 256
}

func (c *Channel) now() time.Time { return c.cfg.Now() }

// Run connects and gets updates until ctx ends. While Telegram can't be
// reached it tries again and again; nothing else of the service waits for it.
// It returns when everything it started has ended.
func (c *Channel) Run(ctx context.Context) error {
	defer c.later.wait()
	if !c.untilDone(ctx, "connect", c.connect) {
		return nil
	}
	c.setDefaultMenu(ctx)
	if c.cfg.Mode == Webhook {
		if c.untilDone(ctx, "set webhook", c.setWebhook) {
			c.watchWebhook(ctx)
		}
		return nil
	}
	if c.untilDone(ctx, "remove webhook", c.deleteWebhook) {
		c.poll(ctx)
	}
	return nil
}

// untilDone repeats a step until it succeeds; false when ctx ended first.
func (c *Channel) untilDone(ctx context.Context, what string, step func(context.Context) error) bool {
	for failed := 0; ; failed++ {
		err := step(ctx)
		if err == nil {
			return true
		}
		if ctx.Err() != nil {
			return false
		}
		c.complain(what, err)
		if !rest(ctx, c.backOff(failed, err)) {
			return false
		}
	}
}

// longestBackOff is short enough that people are heard soon after an outage.
const longestBackOff = 15 * time.Second

// backOff doubles from Retry; a longer wish of the server is obeyed.
func (c *Channel) backOff(failed int, err error) time.Duration {
	wait := min(c.cfg.Retry<<min(failed, 10), longestBackOff)
	var f *fault
	if errors.As(err, &f) {
		wait = max(wait, f.retryAfter)
	}
	return wait
}

func rest(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return true
	}
}

// complain logs a failed call, loudly when only an operator can mend it.
func (c *Channel) complain(what string, err error) {
	var f *fault
	if errors.As(err, &f) && (f.code == 401 || f.code == 404) {
		c.log.Error("Telegram refuses the bot's token or the API address is wrong: nothing is sent or received until "+
			"that is mended",
			"step", what, "error", err)
		return
	}
	c.log.Warn("Telegram call failed", "step", what, "error", err)
}

// connect learns who the bot is.
func (c *Channel) connect(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	raw, err := c.api.call(ctx, "getMe", nil)
	if err != nil {
		return err
	}
	var me struct {
		ID       int64  `json:"id"`
		Username string `json:"username"`
		Groups   bool   `json:"can_join_groups"`
		ReadAll  bool   `json:"can_read_all_group_messages"`
	}
	if err := unmarshal(raw, &me); err != nil || me.Username == "" {
		return fmt.Errorf("getMe: an answer without the bot's name: %w", errors.Join(err, errors.New("no username")))
	}
	c.mu.Lock()
	c.me = self{me.ID, me.Username}
	c.mu.Unlock()
	c.log.Info("Telegram connected", "bot", me.Username, "mode", c.cfg.Mode, "groups", me.Groups,
		"reads_all_group_messages", me.ReadAll)
	return nil
}

// Username is the bot's, "" until Telegram was reached.
func (c *Channel) Username() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.me.name
}

func (c *Channel) botID() int64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.me.id
}

// DeepLink opens the chat with the bot and hands it an invite's code; "" until
// Telegram was reached, and for codes that don't fit into a link.
func (c *Channel) DeepLink(code string) string {
	name := c.Username()
	if name == "" || len(code) > 64 || !isSecret(code) {
		return ""
	}
	return "https://t.me/" + name + "?start=" + code
}
