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
	if l.BotName == nil || l.BotName() == "" {
		return ""
	}
	return "https://t.me/" + l.BotName() + "?start=" + l.Invites.Code(trip, p, generation)
}

// Fill writes the addresses into a message of a trip; a nil Linker knows none.
func (l *Linker) Fill(trip roster.TripID, m message.Message) message.Message {
	return message.Linked(m, func(kind message.Kind, p roster.PersonID, generation int) string {
		switch {
		case l == nil:
			return ""
		case kind == message.KindChat:
			return l.Chat(trip, p, generation)
		}
		return l.Page(trip, p, generation)
	})
}
