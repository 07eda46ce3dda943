package delivery

import (
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Linker knows the addresses that people come in by. They are computed when
// they are shown, never stored: see Invites.
type Linker struct {
	Invites   Invites
	PublicURL string        // the pages' address, without a slash at its end
	BotName   func() string // the chat bot's user name, "" while there is none; may be nil
}

// Page is the address of a person's page.
func (l *Linker) Page(trip roster.TripID, p roster.PersonID, generation int) string {
	return l.PublicURL + "/c/" + l.Invites.Code(trip, p, generation)
}

// Chat is the address that takes a person into the chat, "" without a bot.
func (l *Linker) Chat(trip roster.TripID, p roster.PersonID, generation int) string {
	return l.deep(l.Invites.Code(trip, p, generation))
}

// deep is the address that takes a code into the chat, "" without a bot.
func (l *Linker) deep(code string) string {
	if l.BotName == nil || l.BotName() == "" {
		return ""
	}
	return "https://t.me/" + l.BotName() + "?start=" + code
}

// Open is the address of a trip's open invite.
func (l *Linker) Open(trip roster.TripID, generation int) string {
	return l.PublicURL + "/j/" + l.Invites.OpenCode(trip, generation)
}

// Host are the addresses of a host: a page, and the chat ("" without a bot).
func (l *Linker) Host(h roster.HostID, generation int) (page, chat string) {
	code := l.Invites.HostCode(h, generation)
	return l.PublicURL + "/h/" + code, l.deep(code)
}

// Fill writes the addresses into a message of a trip; a nil Linker knows none.
func (l *Linker) Fill(trip roster.TripID, m message.Message) message.Message {
	return message.Linked(m, func(kind message.Kind, p roster.PersonID, generation int) string {
		switch {
		case l == nil:
			return ""
		case kind == message.KindChat:
			return l.Chat(trip, p, generation)
		case kind == message.KindRecord:
			return l.Page(trip, p, generation) + "/record"
		case kind == message.KindMuster:
			return l.Page(trip, p, generation) + "/muster"
		case kind == message.KindOpen:
			return l.Open(trip, generation)
		case kind == message.KindOpenChat:
			return l.deep(l.Invites.OpenCode(trip, generation))
		}
		return l.Page(trip, p, generation)
	})
}
