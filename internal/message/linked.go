package message

import (
	"slices"

	"gasmuster/internal/roster"
)

// PageLink is the address of a person's page as a value. Only whose it is and
// of which generation is stored with a message: the address opens a door, and
// Linked writes it in when the message is shown.
func PageLink(p roster.PersonID, generation int) Value {
	return Value{Kind: KindPage, S: string(p), N: float64(generation)}
}

// ChatLink is the address that takes a person into the chat.
func ChatLink(p roster.PersonID, generation int) Value {
	return Value{Kind: KindChat, S: string(p), N: float64(generation)}
}

// RecordLink is the address of the record of the trip, for a leader.
func RecordLink(p roster.PersonID, generation int) Value {
	return Value{Kind: KindRecord, S: string(p), N: float64(generation)}
}

// OpenLink is the address of the trip's open invite, OpenChatLink the one that
// opens it in the chat.
func OpenLink(generation int) Value { return Value{Kind: KindOpen, N: float64(generation)} }

// OpenChatLink is described at OpenLink.
func OpenChatLink(generation int) Value { return Value{Kind: KindOpenChat, N: float64(generation)} }

// MusterLink is the address of the muster sheet for a person of leader or crew.
func MusterLink(p roster.PersonID, generation int) Value {
	return Value{Kind: KindMuster, S: string(p), N: float64(generation)}
}

// links are the kinds of values that Linked writes addresses for.
var links = []Kind{KindPage, KindChat, KindRecord, KindOpen, KindOpenChat, KindMuster}

// Linked is a message with the addresses of its links. A link stands on a line
// of its own under the line that introduces it; where there is no address
// (address gave ""), both are left out.
func Linked(m Message, address func(kind Kind, p roster.PersonID, generation int) string) Message {
	if !slices.ContainsFunc(m.Lines, func(l Line) bool { return linkIn(l) != "" }) {
		return m
	}
	if v := m.Code; slices.Contains(links, v.Kind) {
		m.Code = Code(address(v.Kind, roster.PersonID(v.S), int(v.N)))
	}
	var lines []Line
	for _, l := range m.Lines {
		name := linkIn(l)
		if name == "" {
			lines = append(lines, l)
			continue
		}
		v, _ := l.Values.Of(name)
		url := address(v.Kind, roster.PersonID(v.S), int(v.N))
		if url == "" {
			lines = lines[:max(0, len(lines)-1)]
			continue
		}
		l.Values = Values{{name, Code(url)}}
		lines = append(lines, l)
	}
	m.Lines = lines
	return m
}

// linkIn is the name of a line's link, "" when it has none.
func linkIn(l Line) string {
	for _, v := range l.Values {
		if slices.Contains(links, v.Kind) {
			return v.Name
		}
	}
	return ""
}
