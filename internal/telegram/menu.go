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
	case "diver", "leader":
		return conversation.Commands(role == "leader"), true
	}
	return nil, false
}

// maxMenus bounds how many chats' menus are remembered.
const maxMenus = 10000

// menus remembers which chat was given which menu, so that it is not set again
// with every message that asks for it.
type menus struct {
	mu  sync.Mutex
	set map[int64]string
}

func (m *menus) news(chat int64, menu string) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.set == nil || len(m.set) >= maxMenus {
		m.set = map[int64]string{}
	}
	if m.set[chat] == menu {
		return false
	}
	m.set[chat] = menu
	return true
}

func (m *menus) failed(chat int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.set, chat)
}

// offerMenu gives a private chat the menu of a role, in the background.
func (c *Channel) offerMenu(to chat, role, language string) {
	names, ok := menuOf(role)
	if !ok || to.id < 0 || !c.menus.news(to.id, role+" "+language) {
		return
	}
	c.later.do(func() {
		ctx, cancel := context.WithTimeout(context.Background(), callTimeout)
		defer cancel()
		scope := map[string]any{"type": "chat", "chat_id": to.id}
		if err := c.setMenu(ctx, scope, names, language, ""); err != nil {
			c.menus.failed(to.id)
			c.complain("set the command menu of a chat", err)
		}
	})
}

// setDefaultMenu is the menu of everybody else, in every language there is.
func (c *Channel) setDefaultMenu(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, callTimeout)
	defer cancel()
	codes := []string{""} // for everybody
	for _, tag := range c.render.Languages() {
		if base, _ := tag.Base(); len(base.String()) == 2 && base.String() != "en" {
			codes = append(codes, base.String())
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
