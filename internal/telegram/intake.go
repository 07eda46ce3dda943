package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

const callTimeout = 15 * time.Second

var errNotConnected = errors.New("the bot's name is not known yet")

func unmarshal(raw json.RawMessage, v any) error { return json.Unmarshal(raw, v) }

// take handles one update as it came. An error means that it was not stored
// and has to come again; everything else is acknowledged.
func (c *Channel) take(ctx context.Context, raw []byte) error {
	u, err := decode(raw)
	if err != nil {
		c.log.Error("update dropped: it can't be read", "update", u.ID, "error", err)
		return nil
	}
	return c.handle(ctx, u)
}

// handle gives an update to the handler, answers a pressed button whatever
// came of it, and says what the handler wants said directly.
func (c *Channel) handle(ctx context.Context, u update) error {
	if u.group() && c.Username() == "" {
		return errNotConnected // nobody can tell yet what is meant for the bot: it comes again
	}
	in, means := c.inbound(u)
	if !means {
		if u.Callback != nil {
			c.answerCallback(u.Callback.ID, "")
		}
		c.log.Debug("update means nothing here", "update", u.ID)
		return nil
	}
	by := u.account()
	counts := by != 0 && saying[in.Kind]
	if over, say := c.flood.over(by, c.now()); counts && over {
		c.tooFast(u, in, say)
		return nil
	}
	reply, err := c.guarded(ctx, u, in)
	if counts && err == nil {
		c.flood.took(by, c.now())
	}
	if u.Callback != nil {
		c.answerCallback(u.Callback.ID, c.note(in, err))
	}
	if err != nil {
		c.log.Warn("update not stored", "update", u.ID, "kind", in.Kind, "error", err)
		return err
	}
	if reply != nil {
		c.reply(in, *reply)
	}
	return nil
}

// tooFast tells somebody who writes without end that nothing more is recorded
// for a minute. The update is acknowledged: it would only come again.
func (c *Channel) tooFast(u update, in delivery.Inbound, say bool) {
	m := message.Message{Lines: []message.Line{message.Loud("channel.too-fast", nil)}}
	if u.Callback != nil {
		c.answerCallback(u.Callback.ID, cutUnits(c.render.Text(m, message.Reader{Language: in.Language}, message.Plain), 200))
	}
	c.log.Warn("update dropped: too many from one account", "update", u.ID)
	if say {
		c.reply(in, delivery.Reply{Message: m, Language: in.Language})
	}
}

// guarded calls the handler. A panic becomes an acknowledged update, since it
// would come again for ever, and words for the person: nothing was recorded.
func (c *Channel) guarded(ctx context.Context, u update, in delivery.Inbound) (reply *delivery.Reply, err error) {
	defer func() {
		if v := recover(); v != nil {
			c.log.Error("update dropped: the handler panicked", "update", u.ID, "kind", in.Kind,
				"type", fmt.Sprintf("%T", v), "stack", string(debug.Stack()))
			reply, err = &delivery.Reply{Message: delivery.NotRecorded(), Language: in.Language}, nil
		}
	}()
	return c.cfg.Handler.Handle(ctx, in)
}

// note is what a pressed button shows for a moment when it was not recorded:
// the server delivers it again, but only for a couple of minutes.
func (c *Channel) note(in delivery.Inbound, err error) string {
	if err == nil {
		return ""
	}
	return cutUnits(c.render.Text(delivery.NotRecorded(), message.Reader{Language: in.Language}, message.Plain), 200)
}

// answerCallback ends the waiting mark on a button. A press that is too old
// can't be answered any more; that is no failure.
func (c *Channel) answerCallback(id, text string) {
	if id == "" {
		return
	}
	params := tgbotapi.Params{"callback_query_id": id}
	params.AddNonEmpty("text", text)
	c.later.do(func() {
		ctx, cancel := context.WithTimeout(context.Background(), callTimeout)
		defer cancel()
		if _, err := c.api.call(ctx, "answerCallbackQuery", params); err != nil {
			c.log.Debug("button not answered", "error", err)
		}
	})
}

// reply says something to somebody who is on no trip, through the door out.
func (c *Channel) reply(in delivery.Inbound, r delivery.Reply) {
	to := in.From
	if in.Group != (roster.Address{}) {
		to = in.Group
	}
	raw, err := json.Marshal(r.Message)
	if err != nil {
		return
	}
	c.cfg.Answer(roster.Envelope{ID: "reply:" + in.Source, Trip: in.Trip, Address: to, Level: r.Level(),
		Language: r.Language, Payload: raw})
}

// background runs small calls that nobody waits for, a bounded number at a
// time; do tells whether there was room for one more.
type background struct {
	mu   sync.Mutex
	busy int
	idle chan struct{} // closed when busy falls to 0; nil while idle
}

const backgroundCalls = 64

func (b *background) do(call func()) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.busy == backgroundCalls {
		return false
	}
	if b.busy == 0 {
		b.idle = make(chan struct{})
	}
	b.busy++
	go func() {
		defer b.done()
		call()
	}()
	return true
}

func (b *background) done() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.busy--
	if b.busy == 0 {
		close(b.idle)
	}
}

// wait returns when nothing that was begun before is still running. More may
// be begun meanwhile: a webhook takes updates until the HTTP server stops.
func (b *background) wait() {
	b.mu.Lock()
	idle, busy := b.idle, b.busy
	b.mu.Unlock()
	if busy > 0 {
		<-idle
	}
}
