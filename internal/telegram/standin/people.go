package standin

import (
	"fmt"
	"slices"
	"strings"
)

// User is a person with an account, acting on the private chat with the bot.
type User struct {
	ID       int64
	Name     string
	Language string

	s    *Server
	read int // messages of the private chat that Await has passed
}

// User makes an account known. Its chat with the bot exists once it pressed Start.
func (s *Server) User(id int64, name, language string) *User {
	s.mu.Lock()
	defer s.mu.Unlock()
	u := &User{ID: id, Name: name, Language: language, s: s}
	s.users[id] = u
	return u
}

// Start presses Start, with the parameter of a deep link or "".
func (u *User) Start(code string) int64 {
	u.s.t.Helper()
	u.s.mu.Lock()
	if u.s.chats[u.ID] == nil {
		u.s.chats[u.ID] = &chat{id: u.ID, kind: "private"}
	}
	u.s.chats[u.ID].started = true
	u.s.mu.Unlock()
	return u.Send(strings.TrimSpace("/start " + code))
}

// Send types a message and returns its id.
func (u *User) Send(text string) int64 {
	u.s.t.Helper()
	return u.SendAny(map[string]any{"text": text})
}

// SendAny sends a message with the given parts: a photo, a voice message, a
// caption, anything the API can say.
func (u *User) SendAny(parts map[string]any) int64 {
	u.s.t.Helper()
	u.s.mu.Lock()
	defer u.s.mu.Unlock()
	c := u.s.chats[u.ID]
	if c == nil || !c.started || c.blocked {
		u.s.t.Fatalf("standin: %s has not pressed Start, or has blocked the bot", u.Name)
	}
	return u.say(c, parts)
}

// say adds a message and queues its update; s.mu is held.
func (u *User) say(c *chat, parts map[string]any) int64 {
	text, _ := parts["text"].(string)
	m := &Message{Text: text}
	u.s.add(c, m, u.ID)
	u.s.queue("message", fmt.Sprint("chat ", c.id), u.message(c, m, parts))
	return m.ID
}

// message is a user's message as an update carries it.
func (u *User) message(c *chat, m *Message, parts map[string]any) map[string]any {
	w := map[string]any{"message_id": m.ID, "date": m.At.Unix(), "from": u.wire(), "chat": c.wire(u.s)}
	for k, v := range parts {
		w[k] = v
	}
	if strings.HasPrefix(m.Text, "/") {
		word, _, _ := strings.Cut(m.Text, " ")
		w["entities"] = []map[string]any{{"type": "bot_command", "offset": 0, "length": units(word)}}
	}
	return w
}

func (u *User) wire() map[string]any {
	w := map[string]any{"id": u.ID, "is_bot": false, "first_name": u.Name}
	if u.Language != "" {
		w["language_code"] = u.Language
	}
	return w
}

func (c *chat) wire(s *Server) map[string]any {
	w := map[string]any{"id": c.id, "type": c.kind}
	if c.kind == "private" {
		w["first_name"] = s.users[c.id].Name
	} else {
		w["title"] = c.title
	}
	return w
}

// Edit changes an earlier message of this user.
func (u *User) Edit(id int64, text string) {
	u.s.t.Helper()
	u.s.mu.Lock()
	defer u.s.mu.Unlock()
	c := u.s.chats[u.ID]
	m := c.find(id)
	if m == nil || m.From != u.ID {
		u.s.t.Fatalf("standin: %s has no message %d to edit", u.Name, id)
	}
	m.Text, m.Edited = text, u.s.opt.Now()
	w := u.message(c, m, map[string]any{"text": text})
	w["edit_date"] = m.Edited.Unix()
	u.s.queue("edited_message", fmt.Sprint("chat ", c.id), w)
}

// Block blocks the bot, Unblock lets it write again.
func (u *User) Block()   { u.member("member", "kicked") }
func (u *User) Unblock() { u.member("kicked", "member") }

func (u *User) member(was, is string) {
	u.s.mu.Lock()
	defer u.s.mu.Unlock()
	c := u.s.chats[u.ID]
	c.blocked = is == "kicked"
	bot := map[string]any{"id": u.s.BotID, "is_bot": true, "first_name": "Charter test bot", "username": u.s.opt.Name}
	u.s.queue("my_chat_member", fmt.Sprint("member ", u.ID),
		map[string]any{"chat": c.wire(u.s), "from": u.wire(), "date": u.s.opt.Now().Unix(),
			"old_chat_member": map[string]any{"user": bot, "status": was},
			"new_chat_member": map[string]any{"user": bot, "status": is}})
}

// Messages are the bot's messages in the private chat, oldest first.
func (u *User) Messages() []Message { return u.s.Messages(u.ID) }

// Messages are the bot's messages in a chat, oldest first.
func (s *Server) Messages(chat int64) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var list []Message
	if c := s.chats[chat]; c != nil {
		for _, m := range c.messages {
			if m.From == s.BotID {
				list = append(list, *m)
			}
		}
	}
	return list
}

// Await waits for the bot to write something that contains every part, and
// returns it. Messages before it count as read; a later Await looks behind it.
func (u *User) Await(parts ...string) *Received {
	u.s.t.Helper()
	var found *Received
	u.s.Wait(func() bool {
		list := u.Messages()
		for i := u.read; i < len(list); i++ {
			if hasAll(list[i].Text, parts) {
				u.read, found = i+1, &Received{Message: list[i], by: u}
				return true
			}
		}
		return false
	})
	if found == nil {
		u.s.t.Fatalf("standin: %s waited in vain for %q; unread: %s", u.Name, parts, unread(u.Messages()[u.read:]))
	}
	return found
}

// Plain is a text with ordinary spaces and hyphens: where a line may break is
// not what most tests ask.
func Plain(text string) string {
	return strings.NewReplacer("\u00a0", " ", "\u2011", "-").Replace(text)
}

func hasAll(text string, parts []string) bool {
	for _, p := range parts {
		if !strings.Contains(Plain(text), Plain(p)) {
			return false
		}
	}
	return true
}

func unread(list []Message) string {
	var b strings.Builder
	for _, m := range list {
		fmt.Fprintf(&b, "\n  %q %v", m.Text, m.Buttons)
	}
	return b.String()
}

// Received is a message of the bot as this user sees it.
type Received struct {
	Message
	by *User
}

// Press presses a button of this message, by its label or its data.
func (r *Received) Press(button string) *Press {
	r.by.s.t.Helper()
	return r.by.press(&r.Message, button)
}

// Press presses the newest button in the private chat with this label or data.
func (u *User) Press(button string) *Press {
	u.s.t.Helper()
	return u.PressIn(u.ID, button)
}

// PressIn presses the newest such button of a chat.
func (u *User) PressIn(chat int64, button string) *Press {
	u.s.t.Helper()
	list := u.s.Messages(chat)
	for _, m := range slices.Backward(list) {
		if _, ok := m.button(button); ok {
			return u.press(&m, button)
		}
	}
	u.s.t.Fatalf("standin: %s sees no button %q; messages: %s", u.Name, button, unread(list))
	return nil
}

func (m *Message) button(name string) (Button, bool) {
	for _, row := range m.Buttons {
		for _, b := range row {
			if Plain(b.Label) == Plain(name) || (b.Data != "" && b.Data == name) {
				return b, true
			}
		}
	}
	return Button{}, false
}
