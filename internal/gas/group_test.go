package gas

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// onDive is a diver with one reading at a site of 30 m over a bottom of 45 m.
func onDive(o2 Percent, set Depth) *Verdict {
	p, d := plain()
	d.Cylinders[0].Readings = []Reading{read(o2)}
	d.Cylinders[0].Asked = 0
	d.Cylinders[0].Dive.Bottom = M(45)
	d.SetDepth = set
	v := Assess(p, d, start)
	return &v
}

func TestALimitThatAllShareIsSaidOnce(t *testing.T) {
	// MODs, rounded down: 28 40 m, 30 36 m, 32 33 m; the bottom is below all.
	a, b, c := onDive(28, Depth{}), onDive(30, Depth{}), onDive(32, Depth{})
	got := ShareLimits([]*Verdict{a, b, c})
	want := []GroupLimit{{Dive: 1, Rule: RuleBottom, MaxDepth: M(40)}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	for i, w := range []struct{ own, lifted Status }{{GoWithLimits, Go}, {GoWithLimits, GoWithLimits}, {GoWithLimits, GoWithLimits}} {
		v := []*Verdict{a, b, c}[i]
		if v.Status() != w.own || v.StatusLifted() != w.lifted {
			t.Errorf("diver %d: got %v, lifted %v; want %v, %v", i, v.Status(), v.StatusLifted(), w.own, w.lifted)
		}
	}
}

func TestTheSameGasForAllMakesEverybodyAGo(t *testing.T) {
	vs := []*Verdict{onDive(32, Depth{}), onDive(32.1, Depth{})}
	ShareLimits(vs)
	for i, v := range vs {
		if v.StatusLifted() != Go {
			t.Errorf("diver %d: got %v, want go", i, v.StatusLifted())
		}
	}
}

func TestOneWithoutALimitLeavesTheOthersTheirs(t *testing.T) {
	free := onDive(21, Depth{}) // MOD 56 m, below the bottom
	held := onDive(32, Depth{})
	if got := ShareLimits([]*Verdict{free, held}); got != nil {
		t.Errorf("got %v, want no group limit", got)
	}
	if free.StatusLifted() != Go || held.StatusLifted() != GoWithLimits {
		t.Errorf("got %v and %v, want go and limits", free.StatusLifted(), held.StatusLifted())
	}
}

func TestAStricterLimitOfOneCounts(t *testing.T) {
	group := onDive(32, Depth{})
	set := onDive(32, M(25))
	got := ShareLimits([]*Verdict{group, set})
	if diff := cmp.Diff([]GroupLimit{{Dive: 1, Rule: RuleBottom, MaxDepth: M(33)}}, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if group.StatusLifted() != Go || set.StatusLifted() != GoWithLimits {
		t.Errorf("got %v and %v, want go and limits", group.StatusLifted(), set.StatusLifted())
	}
}

func TestDiversWithoutAReadingDoNotHinderAGroupLimit(t *testing.T) {
	p, d := plain()
	d.Cylinders[0].Readings = nil
	d.Cylinders[0].Dive.Bottom = M(45)
	missing := Assess(p, d, start)
	with := onDive(32, Depth{})
	if got := ShareLimits([]*Verdict{&missing, with}); len(got) != 1 {
		t.Errorf("got %v, want the one of the diver who has read", got)
	}
	if missing.StatusLifted() != NoReading {
		t.Errorf("got %v, want no reading", missing.StatusLifted())
	}
}

func TestALiftedLimitIsNotLiftedForever(t *testing.T) {
	a, b := onDive(32, Depth{}), onDive(32, Depth{})
	ShareLimits([]*Verdict{a, b})
	ShareLimits([]*Verdict{a, onDive(21, Depth{})})
	if a.StatusLifted() != GoWithLimits {
		t.Errorf("got %v, want limits", a.StatusLifted())
	}
}

func TestOnlyLimitsAreLifted(t *testing.T) {
	// Somebody whose gas is too rich at the planned depth stays a no-go
	// whatever the group shares.
	a, b := onDive(36, Depth{}), onDive(36, Depth{})
	ShareLimits([]*Verdict{a, b})
	if a.StatusLifted() != NoGo {
		t.Errorf("got %v, want no-go", a.StatusLifted())
	}
}

func TestNobodySharesNothing(t *testing.T) {
	if got := ShareLimits(nil); got != nil {
		t.Errorf("got %v", got)
	}
}

// TestEachDiveHasItsOwnGroupLimit: what a diver carries on another dive neither
// makes a group limit nor hinders one.
func TestEachDiveHasItsOwnGroupLimit(t *testing.T) {
	diver := func(first, second Percent) *Verdict {
		p, d := plain()
		one, two := d.Cylinders[0], d.Cylinders[0]
		one.Asked, two.Asked = 0, 0
		one.Readings, one.Dive.Bottom = []Reading{read(first)}, M(45)
		two.Key, two.Readings = "c2", []Reading{read(second)}
		two.Dive.Number, two.Dive.Depth, two.Dive.Bottom = 2, M(18), M(30)
		d.Cylinders = []Cylinder{one, two}
		v := Assess(p, d, start)
		return &v
	}
	// MODs rounded down: 28 40 m, 32 33 m, 36 28 m. On dive 2 only 36 % is held.
	a, b := diver(28, 32), diver(32, 36)
	want := []GroupLimit{{Dive: 1, Rule: RuleBottom, MaxDepth: M(40)}}
	if diff := cmp.Diff(want, ShareLimits([]*Verdict{a, b})); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if a.StatusLifted() != Go || b.StatusLifted() != GoWithLimits {
		t.Errorf("got %v and %v, want go and limits", a.StatusLifted(), b.StatusLifted())
	}
	for _, f := range b.Findings {
		if f.Group {
			t.Errorf("lifted: %+v", f)
		}
	}
}
