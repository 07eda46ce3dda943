package standin

import (
	"fmt"
	"strings"
)

// Group is a group chat that the bot is a member of.
type Group struct {
	ID int64
	s  *Server
}

// Group makes a group chat; id is negative.
func (s *Server) Group(id int64, title string) *Group {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.chats[id] = &chat{id: id, kind: "group", title: title, threads: map[int64]bool{}}
	return &Group{id, s}
}

// Topic opens a forum topic, which only supergroups have.
func (g *Group) Topic(thread int64) {
	g.with(func(c *chat) { c.kind, c.threads[thread] = "supergroup", true })
}

// CloseTopic deletes a forum topic.
func (g *Group) CloseTopic(thread int64) { g.with(func(c *chat) { delete(c.threads, thread) }) }

// Kick removes the bot.
func (g *Group) Kick() { g.with(func(c *chat) { c.blocked = true }) }

func (g *Group) with(do func(*chat)) {
	g.s.mu.Lock()
	defer g.s.mu.Unlock()
	do(g.s.chats[g.ID])
}

// Send types a message into the group. The bot hears it as its privacy mode
// allows: a command, an answer to the bot, or everything.
func (g *Group) Send(by *User, text string) int64 { return g.SendAny(by, map[string]any{"text": text}) }

// SendAny sends a message with the given parts into the group.
func (g *Group) SendAny(by *User, parts map[string]any) int64 {
	g.s.mu.Lock()
	defer g.s.mu.Unlock()
	if g.s.chats[by.ID] == nil {
		g.s.chats[by.ID] = &chat{id: by.ID, kind: "private"} // known, never started
	}
	c := g.s.chats[g.ID]
	text, _ := parts["text"].(string)
	_, answers := parts["reply_to_message"]
	if !g.s.opt.CanRead && !strings.HasPrefix(text, "/") && !answers {
		m := &Message{Text: text}
		g.s.add(c, m, by.ID)
		return m.ID
	}
	return by.say(c, parts)
}

// Messages are the bot's messages in the group.
func (g *Group) Messages() []Message { return g.s.Messages(g.ID) }

// Await waits for a message of the bot in the group that contains every part.
func (g *Group) Await(parts ...string) Message {
	g.s.t.Helper()
	var found *Message
	g.s.Wait(func() bool {
		for _, m := range g.Messages() {
			if hasAll(m.Text, parts) {
				found = &m
				return true
			}
		}
		return false
	})
	if found == nil {
		g.s.t.Fatalf("standin: the group waited in vain for %q; messages: %s", parts, unread(g.Messages()))
	}
	return *found
}

// Upgrade makes the group a supergroup with another id: the old id answers
// with 400 and where to go. told says whether the bot hears it by service
// messages as well.
func (g *Group) Upgrade(id int64, told bool) *Group {
	g.s.mu.Lock()
	defer g.s.mu.Unlock()
	old := g.s.chats[g.ID]
	now := &chat{id: id, kind: "supergroup", title: old.title, threads: map[int64]bool{}}
	g.s.chats[id] = now
	if told {
		service := func(c *chat, key string, to int64) {
			g.s.messages++
			g.s.queue("message", fmt.Sprint("chat ", c.id),
				map[string]any{"message_id": g.s.messages, "date": g.s.opt.Now().Unix(),
					"chat": c.wire(g.s), "from": map[string]any{"id": 1087968824, "is_bot": true, "first_name": "Group"}, key: to})
		}
		service(old, "migrate_to_chat_id", id)
		service(now, "migrate_from_chat_id", g.ID)
	}
	old.moved = id
	return &Group{id, g.s}
}
