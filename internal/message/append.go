package message

import "gasmuster/internal/asjson"

// AppendJSON appends m as it is stored: byte for byte what encoding/json makes
// of it, at a fraction of the cost, since each event stores a message or more.
// A field that is added to these types is added here. It panics on a number
// that is none and on a year beyond 9999.
func (m Message) AppendJSON(b []byte) []byte {
	b = append(b, '{')
	b = appendLines(asjson.Field(b, "lines"), m.Lines)
	if len(m.Buttons) > 0 {
		b = appendButtons(asjson.Field(b, "buttons"), m.Buttons)
	}
	b = asjson.OptString(b, "commands", m.Commands)
	if m.Picture != nil {
		b = asjson.Any(asjson.Field(b, "picture"), m.Picture) // seldom
	}
	return append(b, '}')
}

func appendLines(b []byte, ls []Line) []byte {
	if ls == nil {
		return append(b, "null"...)
	}
	b = append(b, '[')
	for i, l := range ls {
		b = l.appendJSON(asjson.Comma(b, i))
	}
	return append(b, ']')
}

func appendButtons(b []byte, rows [][]Button) []byte {
	b = append(b, '[')
	for i, row := range rows {
		b = asjson.Comma(b, i)
		if row == nil {
			b = append(b, "null"...)
			continue
		}
		b = append(b, '[')
		for j, one := range row {
			b = one.appendJSON(asjson.Comma(b, j))
		}
		b = append(b, ']')
	}
	return append(b, ']')
}

func (x Button) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = x.Label.appendJSON(asjson.Field(b, "l"))
	b = asjson.String(asjson.Field(b, "d"), x.Do)
	b = asjson.OptString(b, "u", x.URL)
	return append(b, '}')
}

func (l Line) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.OptString(b, "k", l.Key)
	if len(l.Values) > 0 {
		b = l.Values.appendJSON(asjson.Field(b, "a"))
	}
	b = asjson.OptString(b, "s", l.Style)
	return append(b, '}')
}

func (vs Values) appendJSON(b []byte) []byte {
	b = append(b, '{')
	for i := range vs {
		b = append(asjson.String(asjson.Comma(b, i), vs[i].Name), ':')
		b = vs[i].appendJSON(b)
	}
	return append(b, '}')
}

func (v *Value) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "k"), v.Kind.String())
	b = asjson.OptFloat(b, "n", v.N)
	b = asjson.OptString(b, "s", v.S)
	if v.U != 0 {
		b = asjson.String(asjson.Field(b, "u"), v.U.String())
	}
	if v.Rare != nil {
		b = v.Rare.appendFields(b)
	}
	return append(b, '}')
}

func (r *Rare) appendFields(b []byte) []byte {
	b = asjson.OptTime(b, "t", r.T)
	if len(r.L) > 0 {
		b = append(asjson.Field(b, "l"), '[')
		for i := range r.L {
			b = r.L[i].appendJSON(asjson.Comma(b, i))
		}
		b = append(b, ']')
	}
	if r.Line != nil {
		b = r.Line.appendJSON(asjson.Field(b, "i"))
	}
	return b
}
