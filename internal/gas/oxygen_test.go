package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestOxygenLimits checks each row of testdata/gas/oxygen_limits.csv (NOAA
// Diving Manual, 4th ed.): the limit's minutes are 100 %.
func TestOxygenLimits(t *testing.T) {
	for _, row := range table(t, "oxygen_limits.csv") {
		p := num(t, row["ppo2_atm"])
		if got := constant(p, num(t, row["single_min"])).CNS; math.Abs(got-100) > 1e-9 {
			t.Errorf("single at %v: got %v %%, want 100", p, got)
		}
		if got := constant(p, num(t, row["day_min"])).CNS24; math.Abs(got-100) > 1e-9 {
			t.Errorf("24 h at %v: got %v %%, want 100", p, got)
		}
	}
	if got := constant(0.5, 1000); got != (Oxygen{}) {
		t.Errorf("at 0.5: got %+v, want nothing", got)
	}
	// Halfway between 1.4 (150 and 180 min) and 1.5 (120 and 180).
	if got := constant(1.45, 135); math.Abs(got.CNS-100) > 1e-9 || math.Abs(got.CNS24-75) > 1e-9 {
		t.Errorf("at 1.45: got %+v, want 100 and 75", got)
	}
}

// TestOTU: the unit is a minute at 1 atm by definition; 1.4 atm is 1.63 units
// a minute in the usual tables (Hamilton, Kenyon, Peterson; value from memory).
func TestOTU(t *testing.T) {
	if got := constant(1, 60).OTU; math.Abs(got-60) > 1e-9 {
		t.Errorf("an hour at 1.0: got %v, want 60", got)
	}
	if got := constant(1.4, 1).OTU; math.Abs(got-1.63) > 0.005 {
		t.Errorf("a minute at 1.4: got %v, want 1.63", got)
	}
}

// summed adds up small steps of the constant exposure.
func summed(p Place, o2 Percent, m, minutes float64) Oxygen {
	var sum Oxygen
	steps := func(from, to, minutes float64) {
		const n = 20000
		for i := range n {
			at := from + (to-from)*(float64(i)+0.5)/n
			sum = sum.plus(constant(float64(p.PPO2(o2, M(at))), minutes/n))
		}
	}
	steps(0, m, m/18)
	steps(m, m, minutes-m/18)
	steps(m, 0, m/9)
	return sum
}

func TestOxygenOfADiveAgainstSmallSteps(t *testing.T) {
	for _, c := range []struct {
		name       string
		p          Place
		o2         Percent
		m, minutes float64
	}{
		{"32 at 30 m", Place{}, 32, 30, 22},
		{"36 at 28 m", Place{}, 36, 28, 40},
		{"40 at 30 m, the end of the table", Place{}, 40, 30, 20},
		{"air at 18 m", Place{}, 21, 18, 40},
		{"32 in a lake at 1500 m", Place{Water: Fresh, Altitude: 1500}, 32, 25, 30},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, ok := c.p.OxygenOf(c.o2, M(c.m), c.minutes)
			want := summed(c.p, c.o2, c.m, c.minutes)
			if !ok || math.Abs(got.CNS-want.CNS) > 1e-3 || math.Abs(got.CNS24-want.CNS24) > 1e-3 ||
				math.Abs(got.OTU-want.OTU) > 1e-3 {
				t.Errorf("got %+v, want %+v", got, want)
			}
		})
	}
}

func TestOxygenAboveTheTableIsRefused(t *testing.T) {
	for _, c := range []struct {
		name    string
		o2      Percent
		d       Depth
		minutes float64
	}{
		{"1.6032 atm", 32, M(40.1), 20}, {"no gas", 0, M(30), 20}, {"no depth", 32, Depth{}, 20},
		{"no minutes", 32, M(30), 0}, {"minutes that are none", 32, M(30), math.NaN()}, {"for ever", 32, M(30), math.Inf(1)},
	} {
		if got, ok := (Place{}).OxygenOf(c.o2, c.d, c.minutes); ok || got != (Oxygen{}) {
			t.Errorf("%s: got %+v", c.name, got)
		}
	}
	if _, ok := (Place{}).OxygenOf(32, M(40), 20); !ok {
		t.Error("exactly 1.6 was refused")
	}
}

func TestOxygenIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Place{Water: rapid.SampledFrom([]Water{Salt, Fresh}).Draw(t, "water"),
			Altitude: rapid.Float64Range(0, 3000).Draw(t, "altitude")}
		m := rapid.Float64Range(1, 28).Draw(t, "depth")
		lean := Percent(rapid.Float64Range(16, 40).Draw(t, "lean"))
		rich := Percent(rapid.Float64Range(float64(lean), 40).Draw(t, "rich"))
		short := rapid.Float64Range(m/18, 200).Draw(t, "short")
		long := rapid.Float64Range(short, 200).Draw(t, "long")
		a, _ := p.OxygenOf(lean, M(m), short)
		for _, b := range []Oxygen{first(p.OxygenOf(rich, M(m), short)), first(p.OxygenOf(lean, M(m), long))} {
			if b.CNS < a.CNS-1e-9 || b.CNS24 < a.CNS24-1e-9 || b.OTU < a.OTU-1e-9 || math.IsNaN(b.CNS+b.CNS24+b.OTU) {
				t.Fatalf("%+v, then %+v", a, b)
			}
		}
		if a.CNS24 > a.CNS+1e-9 {
			t.Fatalf("the 24-hour limits are stricter: %+v", a)
		}
	})
}

func first(o Oxygen, _ bool) Oxygen { return o }
