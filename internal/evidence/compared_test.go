package evidence_test

import (
	"testing"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

func TestCompared(t *testing.T) {
	two := func(a, b gas.Percent, other string) func(*told) {
		return func(d *told) {
			d.own("r1", a, -90)
			d.own("r2", b, -80).Analyser = other
		}
	}
	both := []string{"r1", "r2"}
	run(t, []say{
		{name: "1.0 on one analyser", tell: two(32, 33, "a"), counting: both, more: unsettled(false)},
		{name: "1.1 on one analyser", tell: two(32, 33.1, "a"), counting: both, more: unsettled(true)},
		{name: "1.1 on one that was not named", tell: two(32, 33.1, ""), counting: both, more: unsettled(true)},
		{name: "2.0 on two analysers", tell: two(32, 34, "b"), counting: both, more: unsettled(false)},
		{name: "2.1 on two analysers", tell: two(32, 34.1, "b"), counting: both, more: unsettled(true)},
		{name: "against the shop's, 2.0", counting: []string{"r2"}, compared: both, more: unsettled(false),
			tell: func(d *told) {
				d.shop("r1", 34, -90)
				d.own("r2", 32, -80)
			}},
		{name: "against the shop's, 2.1", counting: []string{"r2"}, compared: both, more: unsettled(true),
			tell: func(d *told) {
				d.shop("r1", 34.1, -90)
				d.own("r2", 32, -80)
			}},
		{name: "with each, not only the last: down in steps of 0.8", counting: []string{"r1", "r2", "r3"},
			more: unsettled(true),
			tell: func(d *told) {
				d.own("r1", 34, -90)
				d.own("r2", 33.2, -80)
				d.own("r3", 32.4, -70)
			}},
		{name: "remarked is who lies farthest apart against their bound: 1.3 of 2.0, not 0.3 of 1.0",
			counting: []string{"r1", "r2", "r3"},
			tell: func(d *told) {
				d.own("r1", 35.8, -90)
				d.own("r2", 35.5, -80)
				d.own("r3", 34.5, -70).Analyser = "b"
			},
			more: func(t *testing.T, e gas.Evidence) {
				if a := e.Apart; a.Earlier != 35.8 || a.Later != 34.5 || a.Points < a.Note {
					t.Errorf("got %v and %v, %.1f points, want 35.8 and 34.5", a.Earlier, a.Later, a.Points)
				}
			}},
		{name: "with an undone one", counting: []string{"r2"}, compared: both, more: unsettled(true),
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.undo("r1", false, -80)
				d.own("r2", 32, -70)
			}},
		{name: "with a stale one", counting: []string{"r2"}, compared: both, more: unsettled(true),
			tell: func(d *told) {
				d.own("r1", 36, -30*60)
				d.own("r2", 32, -70)
			}},
		{name: "the same number in less than two minutes is said twice", counting: []string{"r1"}, tell: func(d *told) {
			d.own("r1", 32.1, -90)
			d.own("r2", 32.1, -88.5)
		}},
		{name: "two minutes later it is another", counting: both, tell: func(d *told) {
			d.own("r1", 32.1, -90)
			d.own("r2", 32.1, -88)
		}},
		{name: "a series of the shop set aside", counting: []string{"r2"}, more: unsettled(false),
			tell: func(d *told) {
				d.shop("r1", 35, -90).Aside = true
				d.own("r2", 32, -80)
			}},
	})
}

func TestTheRichestAndTheLeanestOfAllCompared(t *testing.T) {
	d := cylinder()
	d.shop("r1", 33.5, -100)
	d.own("r2", 32.6, -90)
	d.own("r3", 32, -80)
	if e := evidence.Find(&d.h, &d.c); e.Rich != 33.5 || e.Lean != 32 {
		t.Errorf("got %v and %v, want 33.5 and 32", e.Rich, e.Lean)
	}
}

func TestSettling(t *testing.T) {
	dispute := func(d *told) {
		d.own("r1", 36.2, -100)
		d.own("r2", 32, -95)
	}
	run(t, []say{
		{name: "a watched reading on a calibrated analyser", counting: []string{"r2", "r3"}, more: unsettled(false),
			tell: func(d *told) {
				dispute(d)
				d.watched("r3", 32.9, -90)
			}},
		{name: "1.0 from it still counts", counting: []string{"r2", "r3"},
			tell: func(d *told) {
				dispute(d)
				d.watched("r3", 33, -90)
			}},
		{name: "not calibrated", counting: []string{"r1", "r2", "r3"}, more: unsettled(true),
			tell: func(d *told) {
				dispute(d)
				d.watched("r3", 32.1, -90).AirPoint = 0
			}},
		{name: "a failing air point", counting: []string{"r1", "r2"}, compared: []string{"r1", "r2", "r3"},
			more: unsettled(true),
			tell: func(d *told) {
				dispute(d)
				d.watched("r3", 32.1, -90).AirPoint = 20.1
			}},
		{name: "nobody watched", counting: []string{"r1", "r2", "r3"}, more: unsettled(true),
			tell: func(d *told) {
				dispute(d)
				d.own("r3", 32.1, -90).AirPoint = 20.9
			}},
		{name: "not the one that made it unsettled", counting: []string{"r1", "r2"}, more: unsettled(true),
			tell: func(d *told) {
				d.own("r1", 36.2, -100)
				d.watched("r2", 32, -95)
			}},
		{name: "a corrected number settles nothing", counting: []string{"r1", "r2", "r3"}, more: unsettled(true),
			tell: func(d *told) {
				dispute(d)
				d.watched("r3", 32.1, -90).Puts = "r2"
			}},
		{name: "undone again: unsettled again", counting: []string{"r1", "r2"}, compared: []string{"r1", "r2", "r3"},
			more: unsettled(true),
			tell: func(d *told) {
				dispute(d)
				d.watched("r3", 32.1, -90)
				d.undo("r3", false, -80)
			}},
		{name: "undo of one never ends it", counting: []string{"r2"}, compared: []string{"r1", "r2"}, more: unsettled(true),
			tell: func(d *told) {
				dispute(d)
				d.undo("r1", false, -80)
			}},
		{name: "a fill by somebody else does", more: absent(gas.AbsentRefilled),
			tell: func(d *told) {
				dispute(d)
				d.fill(false, -80)
			}},
	})
}

func TestFills(t *testing.T) {
	run(t, []say{
		{name: "by the shop", counting: []string{"r2"},
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.fill(false, -80)
				d.own("r2", 32, -70)
			}},
		{name: "sent before it, and heard after", counting: nil, more: absent(gas.AbsentRefilled),
			tell: func(d *told) {
				d.fill(false, -80)
				d.own("r1", 32, -70).Taken = at(-81)
			}},
		{name: "only by its diver: compared until a watched reading", counting: []string{"r2"},
			compared: []string{"r1", "r2"}, more: unsettled(true),
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.fill(true, -80)
				d.own("r2", 32, -70)
			}},
		{name: "and then watched", counting: []string{"r2"}, more: unsettled(false),
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.fill(true, -80)
				d.watched("r2", 32, -70)
			}},
		{name: "the clock was set back before it", more: absent(gas.AbsentRefilled),
			tell: func(d *told) {
				d.own("r1", 36, -60)
				d.fill(false, -80)
			}},
		{name: "entered later with its time: a reading taken after it stays", counting: []string{"r1"},
			tell: func(d *told) {
				d.own("r1", 32, -60)
				d.fill(false, -80)
				d.h.Fills[0].Dated = true
			}},
	})
}

func TestCarbonMonoxideIsTheHighestSinceTheFill(t *testing.T) {
	d := cylinder()
	co := func(ppm float64, m float64) {
		d.h.COs = append(d.h.COs, evidence.Monoxide{Moment: d.moment(m), Place: "c1", PPM: ppm})
	}
	for _, step := range []struct {
		name string
		tell func()
		want gas.Amount
	}{
		{"not measured", func() {}, gas.Amount{}},
		{"8", func() { co(8, -90) }, gas.Of(8)},
		{"a lower one later", func() { co(2, -80) }, gas.Of(8)},
		{"the diver's own fill", func() { d.fill(true, -70) }, gas.Of(8)},
		{"a fill by the shop", func() { d.fill(false, -60) }, gas.Amount{}},
		{"1 after it", func() { co(1, -50) }, gas.Of(1)},
	} {
		step.tell()
		if e := evidence.Find(&d.h, &d.c); e.CO != step.want {
			t.Errorf("%s: got %v, want %v", step.name, e.CO, step.want)
		}
	}
}
