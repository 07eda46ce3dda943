// Package asjson appends the words and numbers of JSON as encoding/json writes
// them, to the byte, and without reflection: for the few types that are written
// with every event. What is rare among them is left to encoding/json itself.
package asjson

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Field appends the name of an object's field, with a comma before it unless
// it is the first. name is a plain word.
func Field(b []byte, name string) []byte {
	if b[len(b)-1] != '{' {
		b = append(b, ',')
	}
	b = append(b, '"')
	b = append(b, name...)
	return append(b, '"', ':')
}

// Comma appends a comma before each element of an array but the first.
func Comma(b []byte, i int) []byte {
	if i == 0 {
		return b
	}
	return append(b, ',')
}

// String appends a string, with what HTML takes for markup escaped.
func String(b []byte, s string) []byte {
	if !plain(s) {
		return Any(b, s)
	}
	b = append(b, '"')
	b = append(b, s...)
	return append(b, '"')
}

// plain tells whether s stands in JSON as it is.
func plain(s string) bool {
	ascii := true
	for i := range len(s) {
		switch c := s[i]; {
		case c < ' ' || c == '"' || c == '\\' || c == '<' || c == '>' || c == '&':
			return false
		case c >= utf8.RuneSelf:
			ascii = false
		}
	}
	return ascii || (utf8.ValidString(s) && !strings.ContainsAny(s, "\u2028\u2029"))
}

// Float appends a number; it panics when f is infinite or none.
func Float(b []byte, f float64) []byte {
	if size := math.Abs(f); f != 0 && !(size >= 1e-6 && size < 1e21) {
		return Any(b, f) // with an exponent
	}
	return strconv.AppendFloat(b, f, 'f', -1, 64)
}

// Int appends a whole number.
func Int(b []byte, n int) []byte { return strconv.AppendInt(b, int64(n), 10) }

// Time appends an instant; it panics when the year has more than four digits.
func Time(b []byte, t time.Time) []byte {
	b, err := t.AppendText(append(b, '"'))
	if err != nil {
		panic(unwritable{err})
	}
	return append(b, '"')
}

// Any appends whatever encoding/json can write; it panics on what it can't.
func Any(b []byte, v any) []byte {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(unwritable{err})
	}
	return append(b, raw...)
}

// unwritable is what is panicked with.
type unwritable struct{ error }

// Catch is deferred by whoever returns an error instead of panicking on what
// can't be written. Any other panic goes on.
func Catch(err *error) {
	switch v := recover().(type) {
	case nil:
	case unwritable:
		*err = v.error
	default:
		panic(v)
	}
}
