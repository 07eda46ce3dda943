package gas

import (
	"math"
	"testing"
)

// Product rules: the shallowest of all, in whole units; the five depths that
// the trade takes as equal by name (common practice, no source).
func TestMax(t *testing.T) {
	for _, c := range []struct {
		name                        string
		unit                        Unit
		mod, qualification, deepest Depth
		limits                      []Depth
		want                        Depth
	}{
		{"the label", Metres, M(33.75), M(40), M(40), nil, M(33)},
		{"the qualification", Metres, M(33.75), M(30), M(40), nil, M(30)},
		{"100 ft is 30 m by name", Metres, M(33.75), Ft(100), M(40), nil, M(30)},
		{"99 ft is 30 m, the shallower side", Metres, M(33.75), Ft(99), M(40), nil, M(30)},
		{"98 ft is 29 m", Metres, M(33.75), Ft(98), M(40), nil, M(29)},
		{"40 m is 130 ft by name", Feet, Depth{}, M(40), Ft(130), nil, Ft(130)},
		{"39 m is 127 ft", Feet, Depth{}, M(39), Ft(130), nil, Ft(127)},
		{"a MOD of 40 m is 131 ft, never a name", Feet, M(40), Depth{}, Ft(190), nil, Ft(131)},
		{"a leader's limit", Metres, M(33.75), M(30), M(40), []Depth{{}, M(24.9)}, M(24)},
		{"the policy's deepest", Metres, M(56.6), Depth{}, M(40), nil, M(40)},
		{"no numbers", Metres, Depth{}, M(math.Inf(1)), Depth{}, []Depth{M(math.NaN()), M(-1)}, Depth{}},
		{"nothing known", Metres, Depth{}, Depth{}, Depth{}, nil, Depth{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Max(c.unit, c.mod, c.qualification, c.deepest, c.limits...); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func TestTheMaxIsOverAllCylinders(t *testing.T) {
	p, d := plain()
	second := d.Cylinders[0]
	second.Key, second.Evidence = "c2", Read(36)
	d.Cylinders = append(d.Cylinders, second)
	if got, want := Assess(p, d).Max, M(28); got != want { // 1.4 / 0.36 = 3.889 atm
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestMinutesOfWhoDivedBefore: "the times here say too much", so that none of them
// is named; a leader's minutes are, and what breaks even these times is found.
func TestMinutesOfWhoDivedBefore(t *testing.T) {
	for _, c := range []struct {
		name    string
		set     float64
		before  bool
		minutes float64
		want    Status
	}{
		{"not dived before", 0, false, 24, GoWithLimits},
		{"dived before", 0, true, 0, GoWithLimits},
		{"dived before, 20 minutes set", 20, true, 20, GoWithLimits},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, d := plain()
			d.Cylinders[0].Evidence, d.Dive.Minutes, d.OwnComputer, d.Set.Minutes = Read(32), 25, c.before, c.set
			v := Assess(p, d)
			if v.MaxMinutes != c.minutes || v.Status() != c.want || v.SeverityOf(RuleNoStop) != Limits {
				t.Errorf("got %v min, %v, no-stop %v; want %v min, %v", v.MaxMinutes, v.Status(), v.SeverityOf(RuleNoStop),
					c.minutes, c.want)
			}
			if n := v.Numbers[0]; (n.NoStop == NoStop{}) != c.before || (n.MaxMinutes == 0) != c.before {
				t.Errorf("got no-stop %+v, %v min", n.NoStop, n.MaxMinutes)
			}
		})
	}
}
