package gas

import "testing"

// TestRichestFitting: 31 at 33.5 m, since a fill one point rich, 32, still
// fits and 33 does not.
func TestRichestFitting(t *testing.T) {
	for _, c := range []struct {
		name          string
		dive          Dive
		margin, atAll Percent
	}{
		{"33.5 m", Dive{Depth: M(33.5)}, 31, 32},
		{"110 ft", Dive{Depth: Ft(110), Place: Place{Unit: Feet}}, 31, 32},
		{"30 m", Dive{Depth: M(30)}, 34, 35},
		{"18 m: a fill at 41 is out of range", Dive{Depth: M(18)}, 39, 40},
		{"55 m: air fits, with no margin", Dive{Depth: M(55)}, 0, 21},
		{"60 m: not even air", Dive{Depth: M(60)}, 0, 0},
		{"no depth", Dive{}, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			margin, atAll := RichestFitting(anyDepth(), c.dive)
			if margin != c.margin || atAll != c.atAll {
				t.Errorf("got %v and %v, want %v and %v", margin, atAll, c.margin, c.atAll)
			}
		})
	}
}

// TestLeanestForTime: at 30 m, GF 85, the whole minutes are 15 for air, 21 for
// 29 %, 22 for 30 %, 24 for 32 % (air and 32 %: testdata/gas/SOURCES.md).
func TestLeanestForTime(t *testing.T) {
	at30 := Dive{Number: 1, Depth: M(30), Minutes: 22}
	first := Leg{Number: 1, Depth: M(30), Minutes: 22, Rich: 32, Lean: 32}
	for _, c := range []struct {
		name string
		d    Diver
		dive Dive
		want Percent
		ok   bool
	}{
		{"22 minutes at 30 m", Diver{}, at30, 30, true},
		{"15 minutes at 30 m, which air allows", Diver{}, Dive{Depth: M(30), Minutes: 15}, 21, true},
		{"40 minutes at 30 m, which nothing allows", Diver{}, Dive{Depth: M(30), Minutes: 40}, 0, true},
		{"22 minutes at 36 m, for which all that fits is too lean", Diver{}, Dive{Depth: M(36), Minutes: 22}, 0, true},
		{"no minutes", Diver{}, Dive{Depth: M(30)}, 0, false},
		{"no depth", Diver{}, Dive{Minutes: 22}, 0, false},
		{"dived yesterday", Diver{OwnComputer: true}, at30, 0, false},
		{"a first dive of unknown gas", Diver{Before: []Leg{{Number: 1, Depth: M(30), Minutes: 22}}},
			Dive{Number: 2, Depth: M(18), Minutes: 40, Interval: 60}, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, ok := LeanestForTime(DefaultPolicy(Metres), onDive(c.d, c.dive)); got != c.want || ok != c.ok {
				t.Errorf("got %v, %v; want %v, %v", got, ok, c.want, c.ok)
			}
		})
	}
	second := Dive{Number: 2, Depth: M(18), Minutes: 60, Interval: 60}
	alone, _ := LeanestForTime(DefaultPolicy(Metres), onDive(Diver{}, second))
	after, _ := LeanestForTime(DefaultPolicy(Metres), onDive(Diver{Before: []Leg{first}}, second))
	if after <= alone {
		t.Errorf("after a dive %v %%, alone %v %%", after, alone)
	}
}

func onDive(d Diver, dive Dive) Diver {
	d.Dive = dive
	return d
}

// anyDepth is the default policy without a deepest depth: the gas alone decides.
func anyDepth() Policy {
	p := DefaultPolicy(Metres)
	p.Deepest = Depth{}
	return p
}
