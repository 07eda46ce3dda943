package telegram

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"strconv"
	"strings"
	"sync"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// Reasons why a chat can never be written to, for the leader and the log.
const (
	ReasonBlocked     = "blocked"     // the person blocked the bot
	ReasonNotStarted  = "not-started" // the person never pressed Start
	ReasonDeactivated = "deactivated" // the account is gone
	ReasonRemoved     = "removed"     // the bot was removed from the group, or may not write there
	ReasonNoChat      = "no-chat"     // there is no such chat
	ReasonRefused     = "refused"     // the message was refused for another reason; see the log
)

// waitLong is the wait when the token was refused: an operator has to act. Where
// the server asks for no wait the postman knows how long.
const waitLong = time.Minute

// judge says what a failed send means for the envelope.
//
//	no connection, nothing written    later: it surely was not sent
//	written, no or half an answer     unsure: it may have arrived
//	a page that isn't the API's       unsure
//	5xx                               failed: it hardly arrived
//	429                               later, or paused when several chats get it
//	401, 404                          paused: wrong or revoked token, wrong address
//	403, 400 chat not found           never
//	400 with a new chat id            moved
//	other 4xx                         never: it would be refused every time
func (c *Channel) judge(to chat, err error) delivery.Outcome {
	var f *fault
	if !errors.As(err, &f) {
		return delivery.Outcome{Result: delivery.Later}
	}
	switch {
	case f.code == 429 || f.status == 429:
		return c.throttle.outcome(to.id, max(f.retryAfter, time.Second), c.now())
	case f.migrateTo != 0:
		moved := chat{id: f.migrateTo}
		return delivery.Outcome{Result: delivery.Later, Moved: moved.address()}
	case f.code == 0:
		return unanswered(f)
	case f.code >= 500:
		return delivery.Outcome{Result: delivery.Failed, After: f.retryAfter}
	case f.code == 401 || f.code == 404:
		return delivery.Outcome{Result: delivery.Paused, After: waitLong}
	case f.code == 403:
		return never(forbidden(f))
	case f.says("chat not found", "peer_id_invalid", "user not found", "chat_id is empty"):
		return never(ReasonNoChat)
	case f.says("not enough rights", "have no rights", "chat_write_forbidden", "need administrator rights"):
		return never(ReasonRemoved)
	}
	return never(ReasonRefused)
}

// unanswered is the outcome when the API said nothing itself.
func unanswered(f *fault) delivery.Outcome {
	if f.status >= 500 {
		return delivery.Outcome{Result: delivery.Failed, After: f.retryAfter}
	}
	if f.maybeDone || f.status != 0 {
		return delivery.Outcome{Result: delivery.Unsure, After: f.retryAfter}
	}
	return delivery.Outcome{Result: delivery.Later}
}

func never(reason string) delivery.Outcome {
	return delivery.Outcome{Result: delivery.Never, Reason: reason}
}

func forbidden(f *fault) string {
	switch {
	case f.says("blocked by the user"):
		return ReasonBlocked
	case f.says("deactivated"):
		return ReasonDeactivated
	case f.says("initiate conversation"):
		return ReasonNotStarted
	}
	return ReasonRemoved // kicked, not a member, the group was deleted, may not write
}

// chat is where a message goes: a chat and, in a forum, one of its topics.
type chat struct {
	id     int64
	thread int64
}

// channelName is this channel's name in addresses.
const channelName = "telegram"

// address writes a chat as "<chat id>" or "<chat id>/<topic>".
func (c chat) address() roster.Address {
	id := strconv.FormatInt(c.id, 10)
	if c.thread != 0 {
		id += "/" + strconv.FormatInt(c.thread, 10)
	}
	return roster.Address{Channel: channelName, ID: id}
}

// hash stands for a chat in the log, where nobody's id belongs.
func (c chat) hash() string {
	sum := sha256.Sum256([]byte(c.address().ID))
	return hex.EncodeToString(sum[:6])
}

// parseChat reads what address wrote.
func parseChat(a roster.Address) (chat, bool) {
	id, thread, _ := strings.Cut(a.ID, "/")
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil || n == 0 || a.Channel != channelName {
		return chat{}, false
	}
	t, err := strconv.ParseInt(thread, 10, 64)
	return chat{n, t}, thread == "" || err == nil
}

// throttle tells a chat that gets too much from a bot that sends too much:
// the API refuses both with the same words, so refusals on several chats
// within a short while count as the bot's.
type throttle struct {
	mu      sync.Mutex
	refused map[int64]time.Time
}

const (
	throttleWindow = 5 * time.Second
	throttleChats  = 3 // that many different chats: the whole bot pauses
)

func (t *throttle) outcome(chat int64, wait time.Duration, now time.Time) delivery.Outcome {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.refused == nil {
		t.refused = map[int64]time.Time{}
	}
	for id, at := range t.refused {
		if now.Sub(at).Abs() > throttleWindow {
			delete(t.refused, id)
		}
	}
	t.refused[chat] = now
	if len(t.refused) >= throttleChats {
		return delivery.Outcome{Result: delivery.Paused, After: wait}
	}
	return delivery.Outcome{Result: delivery.Later, After: wait}
}
