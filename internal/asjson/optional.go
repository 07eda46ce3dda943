package asjson

import "time"

// Fields that are left out when there is nothing to say, as encoding/json leaves
// out those of these kinds that are tagged omitempty or omitzero.

// OptString appends a field with a string, unless that is empty.
func OptString[S ~string](b []byte, name string, s S) []byte {
	if s == "" {
		return b
	}
	return String(Field(b, name), string(s))
}

// OptFloat appends a field with a number, unless that is 0 or -0; it panics when
// f is infinite or none.
func OptFloat[F ~float64](b []byte, name string, f F) []byte {
	if f == 0 {
		return b
	}
	return Float(Field(b, name), float64(f))
}

// OptInt appends a field with a whole number, unless that is 0.
func OptInt(b []byte, name string, n int) []byte {
	if n == 0 {
		return b
	}
	return Int(Field(b, name), n)
}

// OptTime appends a field with an instant, unless that is the zero one in any
// zone; it panics when the year has more than four digits.
func OptTime(b []byte, name string, t time.Time) []byte {
	if t.IsZero() {
		return b
	}
	return Time(Field(b, name), t)
}

// OptTrue appends a field that says so, unless it is not so.
func OptTrue(b []byte, name string, is bool) []byte {
	if !is {
		return b
	}
	return append(Field(b, name), "true"...)
}
