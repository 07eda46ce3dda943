package standin

import (
	"fmt"
	"slices"
)

// Press is one button press.
type Press struct {
	ID string

	s       *Server
	by      int64
	answers []string
	expired bool
}

func (u *User) press(m *Message, button string) *Press {
	u.s.t.Helper()
	b, ok := m.button(button)
	if !ok || b.Data == "" {
		u.s.t.Fatalf("standin: %q is no button to press in %q %v", button, m.Text, m.Buttons)
	}
	return u.PressData(m, b.Data)
}

// PressData presses with any data, as a forged client can.
func (u *User) PressData(m *Message, data string) *Press {
	u.s.mu.Lock()
	defer u.s.mu.Unlock()
	p := &Press{ID: fmt.Sprintf("cb%d", len(u.s.callbacks)+1), s: u.s, by: u.ID}
	u.s.callbacks[p.ID] = p
	w := m.wire()
	w["chat"] = u.s.chats[m.Chat].wire(u.s)
	u.s.queue("callback_query", fmt.Sprint("user ", u.ID), map[string]any{"id": p.ID, "from": u.wire(),
		"message": w, "chat_instance": "1", "data": data})
	return p
}

// Answered waits until the bot answered this press and tells whether it did.
func (p *Press) Answered() bool {
	return p.s.Wait(func() bool { p.s.mu.Lock(); defer p.s.mu.Unlock(); return len(p.answers) > 0 })
}

// Expire makes the press too old to be answered.
func (p *Press) Expire() { p.s.mu.Lock(); p.expired = true; p.s.mu.Unlock() }

// ExpirePresses makes every press of this user too old to be answered.
func (u *User) ExpirePresses() {
	u.s.mu.Lock()
	defer u.s.mu.Unlock()
	for _, p := range u.s.callbacks {
		if p.by == u.ID {
			p.expired = true
		}
	}
}

// Unanswered lists presses that the bot never answered.
func (s *Server) Unanswered() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var ids []string
	for id, p := range s.callbacks {
		if len(p.answers) == 0 && !p.expired {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}
