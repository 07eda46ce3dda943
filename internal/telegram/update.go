package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// allowedUpdates is what we want to hear. It is sent with every setWebhook and
// every getUpdates: the server keeps the last list it was given, and takes the
// library's "null" for "as before".
var allowedUpdates = []string{"message", "edited_message", "callback_query", "my_chat_member"}

// Accounts that stand for something else than one person.
const (
	anonymousAdmin = 1087968824 // a group's administrators who hide
	channelBot     = 136817688  // somebody who writes as a channel
	serviceAccount = 777000     // posts forwarded from a linked channel
)

// update is the part of an update that is read here. It is decoded on its own
// instead of with the library's types, which don't know forum topics and fail
// as a whole on one odd field in a part that nobody needs. The library's
// helpers are not used either: they slice texts by lengths found in the JSON
// and follow pointers that may be nil.
type update struct {
	ID       int64        `json:"update_id"`
	Message  *incoming    `json:"message"`
	Edited   *incoming    `json:"edited_message"`
	Callback *callback    `json:"callback_query"`
	Member   *memberShift `json:"my_chat_member"`
}

type incoming struct {
	ID          int64      `json:"message_id"`
	Thread      int64      `json:"message_thread_id"`
	IsTopic     bool       `json:"is_topic_message"`
	From        *sender    `json:"from"`
	Chat        chatInfo   `json:"chat"`
	Date        int64      `json:"date"`
	EditDate    int64      `json:"edit_date"`
	Text        string     `json:"text"`
	Caption     string     `json:"caption"`
	Photo       []photo    `json:"photo"` // the same in several sizes, the largest last
	ReplyTo     *repliedTo `json:"reply_to_message"`
	MigrateTo   int64      `json:"migrate_to_chat_id"`
	MigrateFrom int64      `json:"migrate_from_chat_id"`

	// Things that happen to a chat and that nobody said.
	NewMembers json.RawMessage `json:"new_chat_members"`
	LeftMember json.RawMessage `json:"left_chat_member"`
	Pinned     json.RawMessage `json:"pinned_message"`
	Timer      json.RawMessage `json:"message_auto_delete_timer_changed"`
}

type photo struct {
	ID string `json:"file_id"`
}

type repliedTo struct {
	From *sender `json:"from"`
}

type sender struct {
	ID       int64  `json:"id"`
	Bot      bool   `json:"is_bot"`
	Language string `json:"language_code"`
	First    string `json:"first_name"`
}

type chatInfo struct {
	ID   int64  `json:"id"`
	Type string `json:"type"`
}

type callback struct {
	ID      string    `json:"id"`
	From    *sender   `json:"from"`
	Message *incoming `json:"message"` // nil for buttons of inline messages; without date when too old
	Data    string    `json:"data"`
}

type memberShift struct {
	Chat chatInfo `json:"chat"`
	From *sender  `json:"from"`
	Date int64    `json:"date"`
	New  struct {
		Status string `json:"status"`
	} `json:"new_chat_member"`
}

var errNoID = errors.New("no update_id")

// decode reads one update. The id is returned even when the rest can't be
// read, so that a poisoned update can be stepped over; it is 0 when there is none.
func decode(raw []byte) (update, error) {
	var u update
	err := json.Unmarshal(raw, &u)
	if u.ID == 0 {
		var only struct {
			ID int64 `json:"update_id"`
		}
		_ = json.Unmarshal(raw, &only)
		u.ID = only.ID
	}
	switch {
	case err != nil:
		return u, whatFailed(err)
	case u.ID == 0:
		return u, errNoID
	}
	return u, nil
}

// whatFailed names the field that can't be read, never its value.
func whatFailed(err error) error {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return fmt.Errorf("field %q: want %s", kind.Field, kind.Type)
	}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Errorf("not JSON from byte %d on", syntax.Offset)
	}
	return errors.New("not an update")
}

// lane is what an update is ordered by: all that one chat says, in the order
// in which it said it.
func (u update) lane() int64 {
	switch {
	case u.Message != nil:
		return u.Message.Chat.ID
	case u.Edited != nil:
		return u.Edited.Chat.ID
	case u.Callback != nil && u.Callback.Message != nil:
		return u.Callback.Message.Chat.ID
	case u.Callback != nil && u.Callback.From != nil:
		return u.Callback.From.ID
	case u.Member != nil:
		return u.Member.Chat.ID
	}
	return 0
}

// account is whose an update is, 0 for nobody's.
func (u update) account() int64 {
	var s *sender
	switch {
	case u.Message != nil:
		s = u.Message.From
	case u.Edited != nil:
		s = u.Edited.From
	case u.Callback != nil:
		s = u.Callback.From
	}
	if s == nil {
		return 0
	}
	return s.ID
}

// group tells something said in a group chat.
func (u update) group() bool {
	return u.Message != nil && (u.Message.Chat.Type == "group" || u.Message.Chat.Type == "supergroup")
}

// inbound is what an update means to the service; false when it means nothing.
func (c *Channel) inbound(u update) (delivery.Inbound, bool) {
	in := delivery.Inbound{Source: fmt.Sprintf("tg:%d", u.ID)}
	switch {
	case u.Message != nil && (u.Message.MigrateTo != 0 || u.Message.MigrateFrom != 0):
		return c.migrated(in, u.Message)
	case u.Message != nil:
		in.Kind = conversation.Text
		return c.said(in, u.Message, u.Message.Date)
	case u.Edited != nil:
		in.Kind = conversation.Edited
		return c.said(in, u.Edited, u.Edited.EditDate)
	case u.Callback != nil:
		return c.pressed(in, u.Callback)
	case u.Member != nil:
		return c.member(in, u.Member)
	}
	return in, false
}

// person tells whether an account is one person who can act.
func (s *sender) person() bool {
	return s != nil && s.ID > 0 && !s.Bot && s.ID != anonymousAdmin && s.ID != channelBot && s.ID != serviceAccount
}

func private(user int64) roster.Address { return chat{id: user}.address() }

// said is a new or an edited message.
func (c *Channel) said(in delivery.Inbound, m *incoming, date int64) (delivery.Inbound, bool) {
	if !m.From.person() || m.service() {
		return in, false
	}
	in.From, in.Language, in.Name = private(m.From.ID), m.From.Language, m.From.First
	in.Ref = fmt.Sprintf("tg:%d:%d", m.Chat.ID, m.ID)
	in.At = c.moment(date)
	in.Text = m.Text
	if in.Text == "" {
		in.Text = m.Caption // of a photo, a voice message, a file
	}
	if n := len(m.Photo); n > 0 && in.Kind == conversation.Text && m.Chat.Type == "private" {
		in.Photo = m.Photo[n-1].ID
	}
	switch m.Chat.Type {
	case "private":
		// A photo without a word is answered with what was expected; an edit
		// without a word is a live location on its way, or the like.
		return in, in.Kind == conversation.Text || in.Text != ""
	case "group", "supergroup":
		in.Group = m.where().address()
		return in, in.Kind == conversation.Text && c.meant(m, in.Text)
	}
	return in, false // a channel
}

// service tells messages that report something about the chat.
func (m *incoming) service() bool {
	return m.NewMembers != nil || m.LeftMember != nil || m.Pinned != nil || m.Timer != nil
}

// where is the chat, and its topic when it has topics. A thread number alone
// is only a chain of answers.
func (m *incoming) where() chat {
	w := chat{id: m.Chat.ID}
	if m.IsTopic {
		w.thread = m.Thread
	}
	return w
}

// meant tells whether something said in a group was said to the bot: a command
// that is not another bot's, an answer to the bot, or its name.
func (c *Channel) meant(m *incoming, text string) bool {
	name := strings.ToLower(c.Username())
	if strings.HasPrefix(text, "/") {
		word, _, _ := strings.Cut(strings.ToLower(firstWord(text)), " ")
		_, to, addressed := strings.Cut(word, "@")
		return !addressed || (name != "" && to == name)
	}
	if m.ReplyTo != nil && m.ReplyTo.From != nil && m.ReplyTo.From.ID != 0 && m.ReplyTo.From.ID == c.botID() {
		return true
	}
	return name != "" && strings.Contains(strings.ToLower(text), "@"+name)
}

func firstWord(text string) string {
	if words := strings.Fields(text); len(words) > 0 {
		return words[0]
	}
	return ""
}

// pressed is a button. What it carries came over the wire and can be anything:
// it is taken apart here and judged by the conversation.
func (c *Channel) pressed(in delivery.Inbound, b *callback) (delivery.Inbound, bool) {
	if !b.From.person() {
		return in, false
	}
	in.Kind = conversation.Button
	in.From, in.Language, in.Name = private(b.From.ID), b.From.Language, b.From.First
	in.At = c.now()
	if m := b.Message; m != nil {
		in.Ref = fmt.Sprintf("tg:%d:%d", m.Chat.ID, m.ID)
		if m.Chat.Type != "private" {
			in.Group = m.where().address()
		}
	}
	in.Trip, in.Do = readData(b.Data)
	return in, true
}

// member is the bot blocked or let in again, by a person or by a group.
func (c *Channel) member(in delivery.Inbound, m *memberShift) (delivery.Inbound, bool) {
	in.At = c.moment(m.Date)
	in.From = chat{id: m.Chat.ID}.address()
	in.Kind = conversation.Found
	private := m.Chat.Type == "private"
	switch m.New.Status {
	case "kicked", "left":
		in.Kind, in.Reason = conversation.Lost, ReasonRemoved
		if private {
			in.Reason = ReasonBlocked
		}
	case "member", "administrator", "creator":
	default: // "restricted" may still write or not: the next message tells
		return in, false
	}
	return in, m.Chat.ID != 0 && m.Chat.Type != "channel"
}

// migrated is a group that became a supergroup, told in the old chat or in
// the new one, in either order.
func (c *Channel) migrated(in delivery.Inbound, m *incoming) (delivery.Inbound, bool) {
	in.Kind = conversation.Moved
	in.At = c.moment(m.Date)
	from, to := m.Chat.ID, m.MigrateTo
	if to == 0 {
		from, to = m.MigrateFrom, m.Chat.ID
	}
	in.From, in.Group = chat{id: from}.address(), chat{id: to}.address()
	return in, from != 0 && to != 0
}

// moment is a date of the API. A date that can't be is that of now.
func (c *Channel) moment(unix int64) time.Time {
	now := c.now()
	t := time.Unix(unix, 0).UTC()
	if unix <= 0 || t.After(now.Add(time.Hour)) {
		return now
	}
	return t
}
