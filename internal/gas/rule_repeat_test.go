package gas

import "testing"

// twoApart is a cylinder with two readings so far apart.
func twoApart(a, b Percent, unsettled bool) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		d.Dive.Minutes = 15
		c.Evidence = readings(a, b)
		c.Unsettled, c.Apart = unsettled, Apart{Known: true, Points: float64(max(a, b) - min(a, b)), Note: 0.5, Settle: 1,
			Earlier: a, Later: b}
	}
}

// Common practice, no source: half a point on one analyser is remarked, over
// one point has to be settled.
var repeatExamples = []example{
	{name: "one reading", want: repeatSingle},
	{name: "0.4 apart", set: twoApart(32, 32.4, false), want: repeatAgree, more: points(0.4, 1, 0.6, 32)},
	{name: "0.5 apart", set: twoApart(32, 32.5, false), want: repeatApart, more: points(0.5, 1, 0.5, 32)},
	{name: "unsettled, and the plan fits both", set: twoApart(32, 33.1, true), want: repeatBothFit,
		more: points(1.1, 1, -0.1, 32)},
	{name: "unsettled, and the richer is too rich", set: twoApart(32, 35.1, true), want: repeatUnsettled,
		more: points(3.1, 1, -2.1, 32)},
	{name: "unsettled, and the leaner is too short",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			twoApart(30.6, 32, true)(p, d, c)
			d.Dive.Minutes = 24
		},
		want: repeatUnsettled, more: points(1.4, 1, -0.4, 30.6)},
	{name: "unsettled, and the times are their computer's",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			twoApart(32, 33.1, true)(p, d, c)
			d.OwnComputer = true
		},
		want: repeatUnsettled, more: points(1.1, 1, -0.1, 32)},
	{name: "settled",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			twoApart(32, 32.2, false)(p, d, c)
			c.Settled = true
		},
		want: repeatSettled, more: points(0.2, 1, 0.8, 32)},
	{name: "settled, and what counts lies 0.6 apart",
		set: func(p *Policy, d *Diver, c *Cylinder) {
			twoApart(32, 32.6, false)(p, d, c)
			c.Settled = true
		},
		want: repeatApart, more: points(0.6, 1, 0.4, 32)},
	{name: "nothing read",
		set:  func(_ *Policy, _ *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: repeatNotRead},
}

// TestUnsettledHoldsForTheWholePlan: while a cylinder is unsettled the plan has to fit
// all that the diver has on this dive, the other cylinder too.
func TestUnsettledHoldsForTheWholePlan(t *testing.T) {
	for _, c := range []struct {
		name  string
		other Percent
		want  Severity
	}{
		{"the other is long enough", 32, Limits},
		{"the other costs the plan minutes", 25, Missing},
		{"the other was not read", 0, Limits},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, d := plain()
			twoApart(32, 33.1, true)(&p, &d, &d.Cylinders[0])
			d.Dive.Minutes = 22
			d.Cylinders = append(d.Cylinders, Cylinder{Key: "c2", Claims: 1, Evidence: Read(c.other)})
			if got := findingOf(t, Assess(p, d), RuleRepeat).Severity; got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}
