package message

import (
	"slices"

	"gasmuster/internal/roster"
)

// Redact is m without the name that r takes out: in names, in what was typed
// and quoted, and in commands that carry it. Everything else stays, so that the
// message reads as it did.
func Redact(m Message, r roster.Redaction) Message {
	out := m
	out.Lines = redactLines(m.Lines, r)
	out.Buttons = nil
	for _, row := range m.Buttons {
		var buttons []Button
		for _, b := range row {
			b.Label = redactLine(b.Label, r)
			buttons = append(buttons, b)
		}
		out.Buttons = append(out.Buttons, buttons)
	}
	if m.Picture != nil {
		p := *m.Picture
		p.Title, p.Rows = redactLine(p.Title, r), nil
		for _, row := range m.Picture.Rows {
			row.Name, row.Cylinder = redactValue(row.Name, r), redactLine(row.Cylinder, r)
			p.Rows = append(p.Rows, row)
		}
		out.Picture = &p
	}
	return out
}

func redactLines(lines []Line, r roster.Redaction) []Line {
	var out []Line
	for _, l := range lines {
		out = append(out, redactLine(l, r))
	}
	return out
}

func redactLine(l Line, r roster.Redaction) Line {
	l.Values = slices.Clone(l.Values)
	for i := range l.Values {
		l.Values[i].Value = redactValue(l.Values[i].Value, r)
	}
	return l
}

func redactValue(v Value, r roster.Redaction) Value {
	switch v.Kind {
	case KindName, KindText, KindCode:
		was := v.S
		v.S = r.Text(was)
		if v.Kind == KindName && v.S == roster.ErasedName && was != v.S {
			return Of(Say("leader.erased", nil)) // in the reader's language
		}
	case KindList:
		var all []Value
		for _, one := range v.rare().L {
			all = append(all, redactValue(one, r))
		}
		return List(all...)
	case KindLine:
		if l := v.rare().Line; l != nil {
			return Of(redactLine(*l, r))
		}
	}
	return v
}
