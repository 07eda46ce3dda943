package telegram

import (
	"context"
	"strings"
	"sync"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
)

// The command menus: what everybody sees, and by role what a person on a trip
// sees. A menu only shows: who may do what is judged by the conversation. What
// a command is called is the catalogue's ("menu.<command>").
var defaultMenu = []string{"trip", "help", "forget"}

func menuOf(role string) ([]string, bool) {
	switch role {
	case "diver", "crew", "leader":
		return conversation.Commands(role), true
	case "host":
		return defaultMenu, true
	}
	return nil, false
}

// maxMenus bounds how many chats' menus are remembered.
const maxMenus = 10000

// menus remembers which chat was given which menu, so that it is not set again
// with every message that asks for it, and which chats still wait for theirs.
type menus struct {
	mu     sync.Mutex
	set    map[int64]string
	failed map[int64]string // the role of a menu that could not be set
}

// news tells whether a chat is to get the menu of a role in a language. With
// role "" it is the one that an earlier message could not set, if any.
func (m *menus) news(chat int64, role, language string) (string, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.set == nil || len(m.set) >= maxMenus {
		m.set, m.failed = map[int64]string{}, map[int64]string{}
	}
	if role == "" {
		role = m.failed[chat]
	}
	if role == "" || m.set[chat] == role+" "+language {
		return "", false
	}
	m.set[chat] = role + " " + language
	delete(m.failed, chat)
	return role, true
}

func (m *menus) retry(chat int64, role string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.set, chat)
	m.failed[chat] = role
}

// offerMenu gives a private chat the menu of a role, in the background. When
// that fails, the next message to the chat tries again, whatever it is.
func (c *Channel) offerMenu(to chat, role, language string) {
	if to.id < 0 {
		return
	}
	role, news := c.menus.news(to.id, role, language)
	names, ok := menuOf(role)
	if !news || !ok {
		return
	}
	room := c.later.do(func() {
		ctx, cancel := context.WithTimeout(context.Background(), callTimeout)
		defer cancel()
		if c.cfg.IsHost != nil && c.cfg.IsHost(ctx, to.address()) {
			names = append([]string{"newtrip"}, names...)
		}
		scope := map[string]any{"type": "chat", "chat_id": to.id}
		if err := c.setMenu(ctx, scope, names, language, ""); err != nil {
			c.menus.retry(to.id, role)
			c.complain("set the command menu of a chat", err)
		}
	})
	if !room {
		c.menus.retry(to.id, role)
	}
}

// setDefaultMenu is the menu of everybody else, in every language there is.
func (c *Channel) setDefaultMenu(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	codes := []string{""} // for everybody
	for _, tag := range message.Languages() {
		if tag != "en" && len(tag) == 2 { // Telegram takes two letters
			codes = append(codes, tag)
		}
	}
	for _, code := range codes {
		if err := c.setMenu(ctx, map[string]any{"type": "default"}, defaultMenu, code, code); err != nil {
			c.complain("set the default command menu", err)
			return
		}
	}
}

// setMenu sets one menu. Its answer is a Boolean, which the library's Send
// would take for a failure.
func (c *Channel) setMenu(ctx context.Context, scope map[string]any, names []string, language, code string) error {
	list := make([]tgbotapi.BotCommand, len(names))
	for i, name := range names {
		text := c.render.Line(message.Say("menu."+name, nil), message.Reader{Language: language})
		list[i] = tgbotapi.BotCommand{Command: name, Description: cutUnits(strings.TrimSpace(text), 256)}
	}
	params := tgbotapi.Params{"commands": asJSON(list), "scope": asJSON(scope)}
	params.AddNonEmpty("language_code", code)
	_, err := c.api.call(ctx, "setMyCommands", params)
	return err
}

// cutUnits cuts a text to at most so many UTF-16 units.
func cutUnits(s string, most int) string {
	n := 0
	for i, r := range s {
		n += units(string(r))
		if n > most {
			return s[:i]
		}
	}
	return s
}
