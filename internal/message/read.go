package message

import (
	"encoding/json"
	"strconv"
	"strings"

	"gasmuster/internal/gas"
)

// UnmarshalJSON reads the stored form, since every message is read to be sent.
// What AppendJSON wrote is read without reflection, as far as it has no escaped
// characters and no picture; anything else by encoding/json.
func (m *Message) UnmarshalJSON(raw []byte) error {
	if quick, ok := readStored(raw); ok {
		*m = quick
		return nil
	}
	return json.Unmarshal(raw, (*plainly)(m))
}

// plainly is a message as encoding/json reads it.
type plainly Message

// readStored reads what AppendJSON wrote. It takes the fields in their order
// and is not strict: what it made of raw counts only if that is written as raw
// again, to the byte.
func readStored(raw []byte) (Message, bool) {
	r := reader{rest: string(raw)}
	m := r.message()
	if r.failed || r.rest != "" {
		return Message{}, false
	}
	return m, string(m.AppendJSON(make([]byte, 0, len(raw)))) == string(raw)
}

// reader goes through a stored message. Its texts are parts of one string. When
// it fails, nothing is left to be read.
type reader struct {
	rest   string
	failed bool
}

func (r *reader) fail() { r.rest, r.failed = "", true }

// has takes what comes next, if that is s.
func (r *reader) has(s string) bool {
	rest, ok := strings.CutPrefix(r.rest, s)
	if ok {
		r.rest = rest
	}
	return ok
}

func (r *reader) must(s string) {
	if !r.has(s) {
		r.fail()
	}
}

// field takes a field's name, written as `"name":`, if it comes next.
func (r *reader) field(name string) bool {
	rest, ok := strings.CutPrefix(strings.TrimPrefix(r.rest, ","), name)
	if ok {
		r.rest = rest
	}
	return ok
}

func (r *reader) message() (m Message) {
	r.must("{")
	if r.field(`"lines":`) && !r.has("null") {
		m.Lines = list(r, r.line)
	}
	if r.field(`"buttons":`) {
		m.Buttons = list(r, func() []Button {
			if r.has("null") {
				return nil
			}
			return list(r, r.button)
		})
	}
	if r.field(`"commands":`) {
		m.Commands = r.text()
	}
	r.must("}")
	return m
}

func (r *reader) button() (x Button) {
	r.must("{")
	if r.field(`"l":`) {
		x.Label = r.line()
	}
	if r.field(`"d":`) {
		x.Do = r.text()
	}
	if r.field(`"u":`) {
		x.URL = r.text()
	}
	r.must("}")
	return x
}

func (r *reader) line() (l Line) {
	r.must("{")
	if r.field(`"k":`) {
		l.Key = r.text()
	}
	if r.field(`"a":`) {
		l.Values = r.values()
	}
	if r.field(`"s":`) {
		l.Style = Style(r.text())
	}
	r.must("}")
	return l
}

func (r *reader) values() Values {
	vs := make(Values, 0, 4) // most lines have no more
	r.must("{")
	for !r.failed && !r.has("}") {
		r.has(",")
		name := r.text()
		r.must(":")
		if n := len(vs); n > 0 && vs[n-1].Name >= name {
			r.fail() // not in order
		}
		vs = append(vs, Named{name, r.value()})
	}
	return vs
}

func (r *reader) value() (v Value) {
	r.must("{")
	if r.field(`"k":`) {
		v.Kind = kindOf(r.text())
	}
	if r.field(`"n":`) {
		v.N = r.number()
	}
	if r.field(`"s":`) {
		v.S = r.text()
	}
	if r.field(`"u":"ft"`) {
		v.U = gas.Feet
	}
	if !r.has("}") {
		v.Rare = r.rare()
		r.must("}")
	}
	return v
}

func (r *reader) rare() *Rare {
	var x Rare
	if r.field(`"t":`) && x.T.UnmarshalText([]byte(r.text())) != nil {
		r.fail()
	}
	if r.field(`"l":`) {
		x.L = list(r, r.value)
	}
	if r.field(`"i":`) {
		l := r.line()
		x.Line = &l
	}
	return &x
}

// list reads an array; one fails when there is nothing for it to take.
func list[T any](r *reader, one func() T) []T {
	all := []T{}
	r.must("[")
	for !r.failed && !r.has("]") {
		r.has(",")
		all = append(all, one())
	}
	return all
}

// text reads a string without escaped characters.
func (r *reader) text() string {
	r.must(`"`)
	text, rest, closed := strings.Cut(r.rest, `"`)
	if !closed || strings.Contains(text, `\`) {
		r.fail()
		return ""
	}
	r.rest = rest
	return text
}

func (r *reader) number() float64 {
	end := strings.IndexAny(r.rest, ",}")
	n, err := strconv.ParseFloat(r.rest[:max(0, end)], 64)
	if err != nil {
		r.fail()
		return 0
	}
	r.rest = r.rest[end:]
	return n
}
