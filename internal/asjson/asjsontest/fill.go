// Package asjsontest fills values for tests that hold what is appended as JSON
// against encoding/json. It goes by types, so that a test finds a field that
// somebody added and didn't append.
package asjsontest

import (
	"math"
	"reflect"
	"time"

	"pgregory.net/rapid"
)

// nasty are texts that JSON, HTML or UTF-8 make something of.
var nasty = []string{"", "Inês", "気体", "<b>&\"'\\", "a\nb\x00\x7f", "\xff\xfe", "\u2028", "\u2029x", "\ufffd", "👩‍🚒", "\xed\xa0\x80"}

// Fill gives any value to everything that *v is made of. What holds more of its
// kind does so to a few levels. rules say more of some types: a slice, that its
// elements are the values that there are; a function from a type to itself, that
// it makes a proper value of any.
func Fill(t *rapid.T, v any, rules ...any) {
	f := filler{t, map[reflect.Type]reflect.Value{}, map[reflect.Type]reflect.Value{}}
	for _, rule := range rules {
		switch r := reflect.ValueOf(rule); r.Kind() {
		case reflect.Slice:
			f.only[r.Type().Elem()] = r
		case reflect.Func:
			f.proper[r.Type().In(0)] = r
		default:
			t.Fatalf("%s is no rule", r.Type())
		}
	}
	f.fill(reflect.ValueOf(v).Elem(), 0)
}

type filler struct {
	t            *rapid.T
	only, proper map[reflect.Type]reflect.Value
}

func (f filler) fill(v reflect.Value, depth int) {
	if proper, ok := f.proper[v.Type()]; ok {
		defer func() { v.Set(proper.Call([]reflect.Value{v})[0]) }()
	}
	if values, ok := f.only[v.Type()]; ok {
		v.Set(values.Index(rapid.IntRange(0, values.Len()-1).Draw(f.t, "which")))
		return
	}
	if v.Type() == reflect.TypeFor[time.Time]() {
		v.Set(reflect.ValueOf(moment(f.t)))
		return
	}
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(f.t, "bool"))
	case reflect.Int:
		v.SetInt(int64(rapid.Int32().Draw(f.t, "number")))
	case reflect.Uint8:
		v.SetUint(uint64(rapid.Uint8().Draw(f.t, "number")))
	case reflect.Float64:
		v.SetFloat(number(f.t))
	case reflect.String:
		v.SetString(rapid.OneOf(rapid.SampledFrom(nasty), rapid.String()).Draw(f.t, "text"))
	case reflect.Struct:
		for i := range v.NumField() {
			f.fill(v.Field(i), depth)
		}
	case reflect.Pointer:
		if f.some(depth) > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			f.fill(v.Elem(), depth+1)
		}
	case reflect.Slice:
		f.fillSlice(v, depth)
	case reflect.Map:
		f.fillMap(v, depth)
	default:
		f.t.Fatalf("no values for %s", v.Type())
	}
}

func (f filler) fillSlice(v reflect.Value, depth int) {
	n := f.some(depth)
	if n == 0 && rapid.Bool().Draw(f.t, "nil") {
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), n, n))
	for i := range n {
		f.fill(v.Index(i), depth+1)
	}
}

func (f filler) fillMap(v reflect.Value, depth int) {
	n := f.some(depth)
	if n == 0 && rapid.Bool().Draw(f.t, "nil") {
		return
	}
	v.Set(reflect.MakeMap(v.Type()))
	for range n {
		key, one := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		f.fill(key, depth)
		f.fill(one, depth+1)
		v.SetMapIndex(key, one)
	}
}

// some is how many of something there are, the fewer the deeper.
func (f filler) some(depth int) int { return rapid.IntRange(0, max(0, 3-depth/2)).Draw(f.t, "some") }

func number(t *rapid.T) float64 {
	special := rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 32, 32.4, 1e-7, 1e21, 1e22})
	return rapid.OneOf(special, rapid.Float64Range(-1e300, 1e300)).Draw(t, "number")
}

func moment(t *rapid.T) time.Time {
	at := time.Unix(rapid.Int64Range(-1e9, 1e10).Draw(t, "seconds"), rapid.Int64Range(0, 999_999_999).Draw(t, "ns"))
	zone := time.FixedZone("", 60*rapid.IntRange(-12*60, 14*60).Draw(t, "offset"))
	return rapid.SampledFrom([]time.Time{{}, at.UTC(), at.In(zone)}).Draw(t, "moment")
}
