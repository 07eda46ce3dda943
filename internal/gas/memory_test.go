package gas

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// leaves calls visit for every value below v that holds no further ones.
func leaves(path string, v reflect.Value, visit func(path string, v reflect.Value)) {
	switch {
	case v.Type() == reflect.TypeFor[time.Time]():
		visit(path, v)
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			leaves(path+"."+v.Type().Field(i).Name, v.Field(i), visit)
		}
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			leaves(fmt.Sprintf("%s[%d]", path, i), v.Index(i), visit)
		}
	default:
		visit(path, v)
	}
}

// change gives a leaf another value.
func change(t *testing.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(v.String() + "x")
	case reflect.Float64:
		v.SetFloat(v.Float() + 0.25)
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Uint8:
		v.SetUint(v.Uint() ^ 1)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Struct:
		v.Set(reflect.ValueOf(v.Interface().(time.Time).Add(time.Second)))
	default:
		t.Fatalf("no other value for a %s", v.Type())
	}
}

// whole is a diver with something in every slice.
func whole() Diver {
	d := twoDives(0)
	past := twoDives(1).Cylinders[0]
	past.Dive.Number = 0
	d.Past = []Cylinder{past}
	return d
}

// TestEveryFieldOfADiverCounts: two divers that differ anywhere are told apart.
func TestEveryFieldOfADiverCounts(t *testing.T) {
	n := 0
	d := whole()
	leaves("Diver", reflect.ValueOf(&d).Elem(), func(path string, v reflect.Value) {
		n++
		was := reflect.New(v.Type()).Elem()
		was.Set(v)
		change(t, v)
		if e := whole(); d.same(&e) || e.same(&d) {
			t.Errorf("%s was changed, and the divers count as the same", path)
		}
		v.Set(was)
	})
	if e := whole(); !d.same(&e) {
		t.Error("two equal divers count as different")
	}
	if n < 100 {
		t.Fatalf("only %d fields were looked at", n)
	}
	e := whole()
	e.Cylinders[0].Readings = e.Cylinders[0].Readings[:1]
	if d.same(&e) {
		t.Error("a reading less counts as the same")
	}
}

// TestMemoryIsNeverWrong: whatever is changed, a memory says what a check
// afresh says, and says it again.
func TestMemoryIsNeverWrong(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var m Memory
		var got Verdict
		p, d, now := DefaultPolicy(), whole(), start.Add(-time.Hour)
		for range rapid.IntRange(1, 8).Draw(rt, "changes") {
			var all []reflect.Value
			for _, root := range []any{&p, &d, &now} {
				leaves("", reflect.ValueOf(root).Elem(), func(_ string, v reflect.Value) { all = append(all, v) })
			}
			change(t, all[rapid.IntRange(0, len(all)-1).Draw(rt, "what")])
			if rapid.Bool().Draw(rt, "undated") {
				d.Cylinders[0].Dive.Start = time.Time{}
			}
			if !m.Same(p, d, now) { // whose lists are written to in the next round
				got = Assess(p, d, now)
			}
			if diff := cmp.Diff(Assess(p, d, now), got); diff != "" {
				rt.Fatalf("from memory (-want +got):\n%s", diff)
			}
			if !m.Same(p, d, now) {
				rt.Fatal("asked twice the same, and it counts as something else")
			}
		}
	})
}

// TestWithAStartTheTimeOfTheCheckDoesNotCount holds Dated to what it says.
func TestWithAStartTheTimeOfTheCheckDoesNotCount(t *testing.T) {
	d := whole()
	if !d.Dated() {
		t.Fatal("every dive has a start, and the diver is not dated")
	}
	want := Assess(DefaultPolicy(), d, start)
	for _, off := range []time.Duration{-48 * time.Hour, -time.Minute, time.Hour, 1000 * time.Hour} {
		if diff := cmp.Diff(want, Assess(DefaultPolicy(), d, start.Add(off))); diff != "" {
			t.Errorf("checked %v later (-want +got):\n%s", off, diff)
		}
	}
	d.Cylinders[1].Dive.Start = time.Time{}
	if d.Dated() {
		t.Error("a dive has no start, and the diver is dated")
	}
}
