package telegram

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/delivery"
	"gasmuster/internal/telegram/standin"
)

// Polling removes a webhook that an earlier run left, without dropping what waits.
func TestPollAfterWebhook(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if _, err := r.ch.api.call(t.Context(), "setWebhook", map[string]string{"url": "http://127.0.0.1:1/"}); err != nil {
		t.Fatal(err)
	}
	r.api.User(7001, "Tomasz", "pl").Start("code")
	r.run()
	r.heard(1)
	for _, e := range r.api.Calls("deleteWebhook") {
		if len(e.Params) != 0 {
			t.Errorf("deleteWebhook with %v", e.Params)
		}
	}
}

// Somebody sets a webhook while we poll: it is removed again after a pause.
func TestPollMeetsConflicts(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ctx := t.Context()
	p := &poller{c: r.ch, done: map[int64]bool{}}
	if _, err := r.ch.api.call(ctx, "setWebhook", map[string]string{"url": "http://127.0.0.1:1/"}); err != nil {
		t.Fatal(err)
	}
	if wait, err := p.round(ctx); err == nil || wait < conflict {
		t.Errorf("with a webhook: wait %v, %v; want a conflict and at least %v", wait, err, conflict)
	}
	if address, _ := r.api.Webhook(); address != "" {
		t.Error("the webhook is still set")
	}
	r.api.Fault(standin.Fault{Method: "getUpdates", Status: 409,
		Description: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"})
	if wait, err := p.round(ctx); err == nil || wait < conflict {
		t.Errorf("with a second poller: wait %v, %v; want a conflict and at least %v", wait, err, conflict)
	}
	r.api.User(7001, "Tomasz", "pl").Start("code")
	if _, err := p.round(ctx); err != nil {
		t.Errorf("after the conflicts: %v", err)
	}
}

// The offset stays at the first update that was not stored; later ones that
// were are not handled again.
func TestOffsetMovesOnlyPastWhatIsStored(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	ctx := t.Context()
	tomasz, marit := r.api.User(7001, "Tomasz", "pl"), r.api.User(7002, "Marit", "nb")
	tomasz.Start("")
	marit.Start("")
	tomasz.Send("31.4")
	marit.Send("36.0")
	down := true
	r.desk.answer = func(in delivery.Inbound) (*delivery.Reply, error) {
		if down && in.From == private(7001) {
			return nil, errStoreDown
		}
		return nil, nil
	}
	p := &poller{c: r.ch, done: map[int64]bool{}}
	first := r.api.NextUpdate() - 4
	for range 3 {
		if _, err := p.round(ctx); err == nil {
			t.Fatal("no error although something was not stored")
		}
		if p.offset != first {
			t.Fatalf("offset %d, want %d", p.offset, first)
		}
	}
	if got, want := r.desk.texts(), []string{"/start", "36.0"}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
	down = false
	if _, err := p.round(ctx); err != nil || p.offset != first+4 || len(p.done) != 0 {
		t.Errorf("offset %d, %d remembered, %v; want %d and none", p.offset, len(p.done), err, first+4)
	}
	if got, want := r.desk.texts(), []string{"/start", "36.0", "/start", "31.4"}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}
}

// After a quiet week the server may number afresh, below the last offset.
func TestNumbersStartAfresh(t *testing.T) {
	t.Parallel()
	r := newRig(t, func(r *rig) { r.cfg.PollTimeout = time.Second }).run()
	r.api.User(7001, "Tomasz", "pl").Start("")
	r.heard(1)
	if !r.api.Wait(func() bool {
		polls := r.api.Calls("getUpdates")
		return len(polls) > 2 && polls[len(polls)-1].Params["offset"] == "" && polls[len(polls)-2].Params["offset"] != ""
	}) {
		t.Fatal("the offset was never let go")
	}
	r.api.DeliverRaw(12, "chat 7001", []byte(fmt.Sprintf(textUpdate, 12)))
	if got := r.heard(2); got[1].Source != "tg:12" {
		t.Errorf("source %q, want tg:12", got[1].Source)
	}
}

// A batch is at most a hundred; whatever the order in which chats are handled,
// each chat's messages stay in their order.
func TestPollKeepsOrderPerChat(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	const people, each = 12, 25
	for id := int64(1); id <= people; id++ {
		r.api.User(id, "x", "").Start("")
	}
	for i := range each - 1 {
		for id := int64(1); id <= people; id++ {
			r.api.User(id, "x", "").Send(strconv.Itoa(i))
		}
	}
	r.run()
	r.heard(people * each)
	last := map[string]int{}
	for _, in := range r.desk.inbound() {
		i, err := strconv.Atoi(in.Text)
		if err != nil {
			i = -1
		}
		if had, ok := last[in.From.ID]; ok && i != had+1 {
			t.Errorf("chat %s: %d after %d", in.From.ID, i, had)
		}
		last[in.From.ID] = i
	}
}

// On the way out the server is told what was handled.
func TestStopConfirms(t *testing.T) {
	t.Parallel()
	r := newRig(t).run()
	r.api.User(7001, "Tomasz", "pl").Start("")
	if !r.api.Wait(func() bool { return len(r.desk.inbound()) == 1 }) {
		t.Fatal("nothing heard")
	}
	r.stop()
	if n := r.api.Pending(); n != 0 {
		t.Errorf("%d updates would come again", n)
	}
	if got := r.api.Calls("getUpdates"); !slices.ContainsFunc(got,
		func(e standin.Exchange) bool { return e.Params["timeout"] == "0" }) {
		t.Error("no last confirmation")
	}
	if strings.Contains(r.log.String(), "level=WARN") {
		t.Errorf("stopping is logged as trouble:\n%s", r.log)
	}
}

// An element without any id can't be confirmed; it must not stop the rest.
func TestPollElementWithoutID(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.api.DeliverRaw(1, "x", []byte(`{"message":{"text":"x"}}`))
	r.api.DeliverRaw(2, "x", []byte(`"nonsense"`))
	r.api.User(7001, "Tomasz", "pl").Start("")
	r.run()
	r.heard(1)
}

func TestSettings(t *testing.T) {
	t.Parallel()
	good := newRig(t, byWebhook).cfg
	for name, c := range map[string]struct {
		change func(*Config)
		want   string
	}{
		"no token":       {func(c *Config) { c.Token = "" }, "token"},
		"half a token":   {func(c *Config) { c.Token = "123456" }, "token"},
		"no host":        {func(c *Config) { c.APIURL = "http://" }, "address of the Bot API"},
		"file":           {func(c *Config) { c.APIURL = "file:///etc" }, "address of the Bot API"},
		"mode":           {func(c *Config) { c.Mode = "push" }, `"push": want poll or webhook`},
		"no secret":      {func(c *Config) { c.Secret = "" }, "webhook secret"},
		"odd secret":     {func(c *Config) { c.Secret = "a b" }, "webhook secret"},
		"long secret":    {func(c *Config) { c.Secret = strings.Repeat("a", 257) }, "webhook secret"},
		"no address":     {func(c *Config) { c.WebhookURL = "" }, "webhook address"},
		"no handler":     {func(c *Config) { c.Handler = nil }, "handler"},
		"several faults": {func(c *Config) { c.Token, c.Mode = "x", "y" }, "\n"},
	} {
		t.Run(name, func(t *testing.T) {
			cfg := good
			c.change(&cfg)
			if _, err := New(cfg); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want one that says %q", err, c.want)
			}
		})
	}
}
