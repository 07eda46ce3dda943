package delivery

import (
	"strconv"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// envelopes addresses what a step wants said, behind what is to be sent already
// with the same commit. An envelope's id is <trip>:<version after the
// commit>:<index>, so that it is the same for every attempt to send it. A letter
// to somebody who never joined has no address and is dropped: the board and the
// shop list those people as not reached.
func envelopes(out []roster.Envelope, t *roster.Trip, ev conversation.Event,
	letters []conversation.Letter) []roster.Envelope {
	for _, l := range letters {
		to := letterTo(t, ev, l)
		if len(to) == 0 {
			continue
		}
		e := roster.Envelope{
			Trip: t.ID, Person: l.Person, Level: l.Level, Safety: l.Safety, Expires: l.Expires,
			Units: t.Units.String(), Payload: mustJSON(l.Message),
		}
		if l.Outsider != (roster.Address{}) {
			e.Language = l.Language
		}
		if p := t.Person(l.Person); p != nil && !l.Group {
			e.Language = p.Language
			if p.Units != "" {
				e.Units = p.Units
			}
		}
		if l.Group {
			e.Language = leaderLanguage(t)
		}
		for _, a := range to {
			copied := e
			copied.Address = a
			if ev.Kind == conversation.Forget && a.Channel == Web { // pages stay
				copied.Payload = mustJSON(message.Redact(l.Message, ev.Erasing))
			}
			copied.ID = string(t.ID) + ":" + strconv.FormatInt(t.Version+1, 10) + ":" + strconv.Itoa(len(out))
			out = append(out, copied)
		}
	}
	return out
}

// leaderLanguage is what a group chat is written to in: who speaks what there
// isn't known, its trip's first leader is.
func leaderLanguage(t *roster.Trip) string {
	for _, p := range t.People {
		if p.Leader && p.Left.IsZero() {
			return p.Language
		}
	}
	return ""
}

// letterTo is where a letter goes: an answer to where the person wrote from,
// other news to the address that rings, with a copy on the person's page.
func letterTo(t *roster.Trip, ev conversation.Event, l conversation.Letter) []roster.Address {
	switch {
	case l.Group:
		return groupAddress(t, ev)
	case l.Outsider != (roster.Address{}):
		return []roster.Address{l.Outsider}
	}
	p := t.Person(l.Person)
	if p == nil || len(p.Addresses) == 0 {
		return nil
	}
	if l.Person == ev.Person && hasAddress(p, ev.Address) {
		return []roster.Address{ev.Address}
	}
	ring, page := ringing(p), pageOf(p)
	if page == nil || ring == *page {
		return []roster.Address{ring}
	}
	return []roster.Address{ring, *page}
}

func groupAddress(t *roster.Trip, ev conversation.Event) []roster.Address {
	switch {
	case ev.Kind == conversation.GroupText:
		return []roster.Address{ev.Address}
	case t.GroupChat != (roster.Address{}):
		return []roster.Address{t.GroupChat}
	}
	return nil
}

// ringing is the newest address that notifies, or the page when there is no other.
func ringing(p *roster.Person) roster.Address {
	for i := len(p.Addresses) - 1; i >= 0; i-- {
		if p.Addresses[i].Channel != Web {
			return p.Addresses[i]
		}
	}
	return p.Addresses[len(p.Addresses)-1]
}

func pageOf(p *roster.Person) *roster.Address {
	for i := range p.Addresses {
		if p.Addresses[i].Channel == Web {
			return &p.Addresses[i]
		}
	}
	return nil
}

func hasAddress(p *roster.Person, a roster.Address) bool {
	for _, have := range p.Addresses {
		if have == a {
			return true
		}
	}
	return false
}
