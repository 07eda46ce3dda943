package gas

import (
	"math"
	"testing"
)

func dive(o2 Percent, deep Depth) func(*Policy, *Diver, *Cylinder) {
	return func(_ *Policy, d *Diver, c *Cylinder) {
		c.Evidence, d.Dive.Depth, d.Dive.Place.Unit = Read(o2), deep, deep.Unit
	}
}

func depths(measured, limit Depth, more Finding) Finding {
	more.Measured, more.Limit = Of(measured.Value), Of(limit.Value)
	more.Margin, more.Unit = Of(limit.Value-measured.Value), limit.Unit.String()
	return more
}

// The expected depths and pressures are those of the trade's rule, worked by
// hand: 1.4 / 0.32 = 4.375 atm = 33.75 m, 111.375 ft.
var depthExamples = []example{
	{name: "32 at 30 m", set: dive(32, M(30)), want: depthFits,
		more: depths(M(30), M(33.75), Finding{PPO2: 1.28})},
	{name: "28 at 40 m is exactly at the limit and passes", set: dive(28, M(40)), want: depthFits,
		more: depths(M(40), M(40), Finding{PPO2: 1.4})},
	{name: "28 at 132 ft is exactly at the limit and passes", set: dive(28, Ft(132)), want: depthFits,
		more: depths(Ft(132), Ft(132), Finding{PPO2: 1.4})},
	{name: "35 at 30 m", set: dive(35, M(30)), want: depthFits,
		more: depths(M(30), M(30), Finding{PPO2: 1.4})},
	{name: "35.1 at 30 m", set: dive(35.1, M(30)), want: depthTooDeep,
		more: depths(M(30), M((1.4/0.351-1)*10), Finding{PPO2: 1.404, Mix: 35})},
	{name: "32 at 33 m is the label's depth", set: dive(32, M(33)), want: depthFits,
		more: depths(M(33), M(33.75), Finding{PPO2: 1.376})},
	{name: "32 at 33.5 m lies between label and MOD", set: dive(32, M(33.5)), want: depthLabel,
		more: depths(M(33.5), M(33), Finding{PPO2: 1.392, MaxDepth: M(33)})},
	{name: "36 at 33.5 m", set: dive(36, M(33.5)), want: depthTooDeep,
		more: depths(M(33.5), M((1.4/0.36-1)*10), Finding{PPO2: 1.566, Mix: 32})},
	{name: "36 at 110 ft", set: dive(36, Ft(110)), want: depthTooDeep,
		more: depths(Ft(110), Ft((1.4/0.36-1)*33), Finding{PPO2: 1.56, Mix: 32})},
	{name: "32 at 111 ft", set: dive(32, Ft(111)), want: depthFits,
		more: depths(Ft(111), Ft(111.375), Finding{PPO2: PPO2(0.32 * (1 + 111.0/33))})},
	{name: "air at 60 m, where no mix fits", set: dive(21, M(60)), want: depthNoMix,
		more: depths(M(60), M((1.4/0.21-1)*10), Finding{PPO2: 1.47})},
	{name: "the richer of two readings counts",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence = readings(32.6, 32)
			d.Dive.Depth = M(33)
		},
		want: depthTooDeep,
		more: depths(M(33), M((1.4/0.326-1)*10), Finding{PPO2: 1.4018, Mix: 32})},
	{name: "no decimals: half a point more",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence = undecided(32)
		},
		want: depthFits, more: depths(M(30), M((1.4/0.325-1)*10), Finding{PPO2: 1.3})},
	{name: "a leader's depth below the MOD is no plan: the planned depth is checked",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, d.Set.Depth = Read(36), M(28)
		},
		want: depthTooDeep, more: depths(M(30), M((1.4/0.36-1)*10), Finding{PPO2: 1.44, Mix: 35})},
	{name: "a plan in the other unit counts as its deeper whole",
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, d.Dive.Depth = Read(35), Ft(97) // 29.57 m
		},
		want: depthFits, more: depths(M(30), M(30), Finding{PPO2: 1.4})},
	{name: "fresh water", // 10.3 m to one atmosphere: 3.375 * 10.3 = 34.76
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, d.Dive.Depth, d.Dive.Place.Water = Read(32), M(34), Fresh
		},
		want: depthFits, more: depths(M(34), M(34.7625), Finding{PPO2: PPO2(0.32 * (1 + 34/10.3))})},
	{name: "at 1500 m", // ISO 2533: 0.8456 bar at the surface, so the MOD is deeper
		set: func(_ *Policy, d *Diver, c *Cylinder) {
			c.Evidence, d.Dive.Depth, d.Dive.Place.Altitude = Read(32), M(35), 1500
		},
		want: depthFits,
		more: depths(M(35), M((4.375-at1500)*10), Finding{PPO2: PPO2(0.32 * (at1500 + 3.5))})},
	{name: "no depth planned",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Depth = Depth{} },
		want: depthNoPlan},
	{name: "a depth that is no number",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Depth = M(math.NaN()) },
		want: depthNoPlan},
	{name: "an altitude that is no number",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { d.Dive.Place.Altitude = math.NaN() },
		want: depthNoPlan},
	{name: "a policy out of its bounds",
		set:  func(p *Policy, _ *Diver, _ *Cylinder) { p.PPO2 = 1.6 },
		want: depthNoPlan},
	{name: "nothing read",
		set:  func(_ *Policy, d *Diver, c *Cylinder) { c.Evidence = Evidence{} },
		want: depthNotRead},
}

// at1500 is the pressure of ISO 2533 at 1500 m in standard atmospheres.
var at1500 = math.Pow(1-2.25577e-5*1500, 5.25588)

// TestTheLabelIsShown holds what is shown against the verdict: the label and
// the limit are whole and rounded down.
func TestTheLabelIsShown(t *testing.T) {
	p, d := plain()
	d.Cylinders[0].Evidence = Read(32)
	d.Dive.Depth = M(33.5)
	v := Assess(p, d)
	n := v.Numbers[0]
	if n.Label != M(33) || n.MaxDepth != M(33) || v.Status() != GoWithLimits {
		t.Errorf("got label %v, limit %v, %v; want 33 m, 33 m, limits", n.Label, n.MaxDepth, v.Status())
	}
	if got := n.Label.LimitIn(Feet); got != Ft(108) {
		t.Errorf("in feet: got %v, want 108 ft", got)
	}
}
