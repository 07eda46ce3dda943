package standin

import (
	"encoding/json"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Limits of a text, as documented.
const (
	maxText    = 4096  // UTF-16 units after parsing
	maxRaw     = 32768 // bytes before parsing
	maxCaption = 1024  // UTF-16 units after parsing
)

// chat is one conversation: a private chat has the user's id.
type chat struct {
	id       int64
	kind     string // private, group, supergroup
	title    string
	started  bool // private: the user pressed Start
	blocked  bool // private: the user blocked the bot; group: the bot was removed
	threads  map[int64]bool
	moved    int64 // group: became this supergroup
	messages []*Message
}

// Message is a message in a chat.
type Message struct {
	ID       int64
	Chat     int64
	From     int64 // the bot's id or a user's
	Thread   int64
	Text     string // as people see it
	Raw      string // as sent
	Entities []Entity
	Buttons  [][]Button
	File     string
	Photo    *Photo // Text is its caption
	At       time.Time
	Edited   time.Time

	s *Server
}

// reachable says whether the bot may write to a chat.
func (s *Server) reachable(id int64) (*chat, *refusal) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.chats[id]
	switch {
	case c == nil:
		return nil, refuse(400, "chat not found")
	case c.moved != 0:
		return nil, &refusal{code: 400, text: "Bad Request: group chat was upgraded to a supergroup chat", migrateTo: c.moved}
	case c.kind == "private" && !c.started:
		return nil, refuse(403, "bot can't initiate conversation with a user")
	case c.kind == "private" && c.blocked:
		return nil, refuse(403, "bot was blocked by the user")
	case c.blocked:
		return nil, refuse(403, "bot was kicked from the %s chat", c.kind)
	}
	return c, nil
}

// addressed is what every sending method begins with: where to, and the message
// with its text or caption.
func (s *Server) addressed(c *call, text string, most int) (*chat, *Message, *refusal) {
	to, no := s.destination(c)
	if no != nil {
		return nil, nil, no
	}
	m, no := c.compose(c.params[text], most)
	return to, m, no
}

func (s *Server) sendMessage(c *call) (any, *refusal) {
	to, m, no := s.addressed(c, "text", maxText)
	if no != nil {
		return nil, no
	}
	if m.Text == "" {
		return nil, refuse(400, "message text is empty")
	}
	return s.post(to, m)
}

func (s *Server) sendFile(c *call) (any, *refusal) {
	to, m, no := s.addressed(c, "caption", maxCaption)
	if no != nil {
		return nil, no
	}
	for _, f := range c.files {
		m.File = f.name
		if len(f.data) == 0 {
			return nil, refuse(400, "file must be non-empty")
		}
	}
	return s.post(to, m)
}

func (s *Server) destination(c *call) (*chat, *refusal) {
	if _, err := strconv.ParseInt(c.params["chat_id"], 10, 64); err != nil {
		return nil, refuse(400, "chat not found")
	}
	to, no := s.reachable(c.number("chat_id"))
	if no != nil {
		return nil, no
	}
	if raw, ok := c.params["message_thread_id"]; ok {
		s.mu.Lock()
		known := to.threads[c.number("message_thread_id")]
		s.mu.Unlock()
		if !known || raw == "1" {
			return nil, refuse(400, "message thread not found")
		}
	}
	return to, nil
}

// compose checks text, markup and keyboard.
func (c *call) compose(raw string, limit int) (*Message, *refusal) {
	m := &Message{From: 0, Raw: raw, Text: raw, Thread: c.number("message_thread_id")}
	switch {
	case !utf8.ValidString(raw):
		return nil, refuse(400, "strings must be encoded in UTF-8")
	case len(raw) > maxRaw:
		return nil, refuse(400, "message is too long")
	}
	switch c.params["parse_mode"] {
	case "":
	case "HTML":
		text, entities, err := ParseHTML(raw)
		if err != nil {
			return nil, refuse(400, "can't parse entities: %v", err)
		}
		m.Text, m.Entities = text, entities
	default:
		return nil, refuse(400, "unsupported parse_mode")
	}
	switch n := units(m.Text); {
	case n > limit && limit == maxCaption:
		return nil, refuse(400, "message caption is too long")
	case n > limit:
		return nil, refuse(400, "message is too long")
	}
	m.Text = strings.TrimSpace(m.Text)
	if raw := c.params["link_preview_options"]; raw != "" && !json.Valid([]byte(raw)) {
		return nil, refuse(400, "can't parse link preview options JSON object")
	}
	var no *refusal
	m.Buttons, no = keyboard(c.params["reply_markup"])
	return m, no
}

// post puts the bot's message into a chat.
func (s *Server) post(to *chat, m *Message) (any, *refusal) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if wait := s.tooFast(to.id); wait > 0 {
		return nil, &refusal{code: 429, text: "Too Many Requests: retry after " + strconv.Itoa(wait), retryAfter: wait}
	}
	s.add(to, m, s.BotID)
	return m.wire(), nil
}

// tooFast counts the messages of one period and returns the seconds to wait.
func (s *Server) tooFast(id int64) int {
	now, sent := s.opt.Now(), s.sends[id]
	if s.opt.PerChat == 0 {
		return 0
	}
	for len(sent) > 0 && now.Sub(sent[0]) >= s.opt.Period {
		sent = sent[1:]
	}
	if len(sent) >= s.opt.PerChat {
		s.sends[id] = sent
		return int((s.opt.Period-now.Sub(sent[0]))/time.Second) + 1
	}
	s.sends[id] = append(sent, now)
	return 0
}

// add appends a message; s.mu is held.
func (s *Server) add(to *chat, m *Message, from int64) {
	s.messages++
	m.ID, m.Chat, m.From, m.At, m.s = s.messages, to.id, from, s.opt.Now(), s
	to.messages = append(to.messages, m)
	s.touch()
}

func (s *Server) editMessageText(c *call) (any, *refusal) {
	to, no := s.destination(c)
	if no != nil {
		return nil, no
	}
	changed, no := c.compose(c.params["text"], maxText)
	if no != nil {
		return nil, no
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	m := to.find(c.number("message_id"))
	switch {
	case m == nil:
		return nil, refuse(400, "message to edit not found")
	case m.From != s.BotID:
		return nil, refuse(400, "message can't be edited")
	case m.Text == changed.Text && sameButtons(m.Buttons, changed.Buttons):
		return nil, refuse(400, "message is not modified: specified new message content and reply markup are exactly the "+
			"same as a current content and reply markup of the message")
	}
	m.Text, m.Raw, m.Entities, m.Buttons, m.Edited = changed.Text, changed.Raw, changed.Entities, changed.Buttons,
		s.opt.Now()
	s.touch()
	return m.wire(), nil
}

func (c *chat) find(id int64) *Message {
	for _, m := range c.messages {
		if m.ID == id {
			return m
		}
	}
	return nil
}

func sameButtons(a, b [][]Button) bool {
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	return string(x) == string(y)
}

// wire is a message of the bot as the API returns it.
func (m *Message) wire() map[string]any {
	w := map[string]any{"message_id": m.ID, "date": m.At.Unix(),
		"chat": map[string]any{"id": m.Chat, "type": m.s.chats[m.Chat].kind},
		"from": map[string]any{"id": m.From, "is_bot": true, "first_name": "Charter test bot", "username": m.s.opt.Name}}
	if m.Photo != nil {
		w["caption"], w["photo"] = m.Text, []any{m.Photo.wire()}
	} else {
		w["text"] = m.Text
	}
	if m.Buttons != nil {
		w["reply_markup"] = map[string]any{"inline_keyboard": m.Buttons}
	}
	return w
}
