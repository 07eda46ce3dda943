package asjson

import (
	"encoding/json"
	"math"
	"testing"
	"time"
)

// same holds what was appended against encoding/json.
func same(t *testing.T, v any, got []byte) {
	t.Helper()
	want, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != "x"+string(want) {
		t.Errorf("%#v: got %s, want x%s", v, got, want)
	}
}

func before() []byte { return []byte("x") }

func FuzzString(f *testing.F) {
	for _, s := range []string{"", "plain", "Inês", "気体", "a\"b\\c", "<b>&amp;</b>", "\x00\x1f\x7f\b\f\n\r\t", "\xff\xfe", "a\xc3", "\u2028 \u2029",
		"\ufffd", "👩‍🚒", "\xed\xa0\x80"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { same(t, s, String(before(), s)) })
}

func FuzzFloat(f *testing.F) {
	for _, n := range []float64{0, math.Copysign(0, -1), 1, -1, 32.4, 0.1 + 0.2, 1e-6, 9.99e-7, 1e20, 1e21, -1e21, 1e-300, math.MaxFloat64, math.SmallestNonzeroFloat64} {
		f.Add(n)
	}
	f.Fuzz(func(t *testing.T, n float64) {
		if math.IsNaN(n) || math.IsInf(n, 0) {
			t.Skip("no number of JSON")
		}
		same(t, n, Float(before(), n))
	})
}

func FuzzTime(f *testing.F) {
	for _, s := range []int64{0, -62135596800, 253402300799, 1810369800} {
		f.Add(s, int64(0), 0)
		f.Add(s, int64(123456789), 5*3600+1800)
		f.Add(s, int64(500), -90*60)
	}
	f.Fuzz(func(t *testing.T, s, ns int64, offset int) {
		at := time.Unix(s, ns).In(time.FixedZone("", offset))
		if _, err := json.Marshal(at); err != nil {
			mustPanic(t, func() { Time(before(), at) })
			return
		}
		same(t, at, Time(before(), at))
	})
}

func TestNoNumber(t *testing.T) {
	for _, n := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		mustPanic(t, func() { Float(before(), n) })
	}
}

func mustPanic(t *testing.T, f func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Error("something was written")
		}
	}()
	f()
}

// What can't be written is an error to who asks for one, and nothing else is.
func TestCatch(t *testing.T) {
	caught := func(f func()) (err error) {
		defer Catch(&err)
		f()
		return nil
	}
	if err := caught(func() { Float(before(), 1) }); err != nil {
		t.Errorf("got %v for a number", err)
	}
	for name, f := range map[string]func(){
		"no number": func() { Float(before(), math.NaN()) },
		"a year":    func() { Time(before(), time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)) },
		"a channel": func() { Any(before(), make(chan int)) },
	} {
		if caught(f) == nil {
			t.Errorf("no error for %s", name)
		}
	}
	mustPanic(t, func() { _ = caught(func() { panic("something else") }) })
}

func TestObject(t *testing.T) {
	b := Field(before(), "a")[1:] // a field after something
	if string(b) != `,"a":` {
		t.Errorf("%s", b)
	}
	b = []byte("{")
	for i, name := range []string{"a", "b"} {
		b = append(Field(b, name), '[')
		for n := range i + 1 {
			b = Float(Comma(b, n), float64(n))
		}
		b = append(b, ']')
	}
	if got := string(b) + "}"; got != `{"a":[0],"b":[0,1]}` {
		t.Error(got)
	}
}
