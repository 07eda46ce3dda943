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

// Linked is a message with the addresses of its links. A link stands on a line
// of its own under the line that introduces it; where there is no address
// (address gave ""), both are left out.
func Linked(m Message, address func(kind Kind, p roster.PersonID, generation int) string) Message {
	if !slices.ContainsFunc(m.Lines, func(l Line) bool { return linkIn(l) != "" }) {
		return m
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
		if v.Kind == KindPage || v.Kind == KindChat {
			return v.Name
		}
	}
	return ""
}
