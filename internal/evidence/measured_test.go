package evidence_test

import (
	"testing"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

func TestMeasured(t *testing.T) {
	measured := func(want gas.MeasuredState) func(*testing.T, gas.Evidence) {
		return func(t *testing.T, e gas.Evidence) {
			if e.Measured.State != want {
				t.Errorf("got %d, want %d", e.Measured.State, want)
			}
		}
	}
	run(t, []say{
		{name: "36.1", tell: func(d *told) { d.own("r1", 36.1, -90) }, counting: []string{"r1"},
			more: measured(gas.MeasuredPlain)},
		{name: "36 as asked", tell: func(d *told) { d.own("r1", 36, -90) }, counting: []string{"r1"},
			more: measured(gas.MeasuredRound)},
		{name: "35 is whole and not as asked", tell: func(d *told) { d.own("r1", 35, -90) }, counting: []string{"r1"},
			more: measured(gas.MeasuredPlain)},
		{name: "the analyser showed it", tell: func(d *told) { d.own("r1", 36, -90).Shown = gas.ShownDecimals },
			counting: []string{"r1"},
			more:     measured(gas.MeasuredConfirmed)},
		{name: "no decimals", tell: func(d *told) { d.own("r1", 36, -90).Shown = gas.ShownNoDecimal },
			counting: []string{"r1"},
			more:     measured(gas.MeasuredWhole)},
		{name: "hurried", tell: func(d *told) { d.own("r1", 35.8, -90).Hurried = true }, counting: []string{"r1"},
			more: measured(gas.MeasuredHurried)},
		{name: "watched", tell: func(d *told) { d.watched("r1", 36, -90) }, counting: []string{"r1"},
			more: measured(gas.MeasuredPlain)},
		{name: "watched later", counting: []string{"r1", "r2"}, more: measured(gas.MeasuredPlain),
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.watched("r2", 35.9, -80)
			}},
		{name: "an own newer one does not answer for it", counting: []string{"r1", "r2"}, more: measured(gas.MeasuredRound),
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.own("r2", 35.9, -80)
			}},
		{name: "nor does the boat check", compared: []string{"r1"}, more: measured(gas.MeasuredRound),
			tell: func(d *told) {
				d.own("r1", 36, -200)
				d.open(-60)
			}},
		{name: "a request that was changed after it", counting: []string{"r1"}, more: measured(gas.MeasuredRound),
			tell: func(d *told) {
				d.own("r1", 36, -90)
				d.c.Asked = []evidence.Asked{{Percent: 36, Until: d.moment(-80).Nth}, {Percent: 32}}
			}},
		{name: "a request that was changed before it", counting: []string{"r1"}, more: measured(gas.MeasuredPlain),
			tell: func(d *told) {
				d.c.Asked = []evidence.Asked{{Percent: 36, Until: d.moment(-100).Nth}, {Percent: 32}}
				d.own("r1", 36, -90)
			}},
	})
}

func TestTheLargestDeviationCountsUntilPlannedForAgain(t *testing.T) {
	for _, c := range []struct {
		name   string
		tell   func(*told)
		off    float64
		asked  gas.Percent
		replan bool
	}{
		{"of two readings", func(d *told) { d.own("r1", 33.5, -90); d.own("r2", 34, -80) }, -2.5, 36, false},
		{"of two requests", func(d *told) {
			d.own("r1", 33.5, -90)
			d.c.Asked = []evidence.Asked{{Percent: 36, Until: d.moment(-80).Nth}, {Percent: 33}}
		}, -2.5, 36, false},
		{"planned again", func(d *told) { d.own("r1", 33.5, -90); d.c.Replan = []gas.Percent{33.5} }, -2.5, 36, true},
		{"planned again, and read 0.5 away", func(d *told) {
			d.own("r1", 33.5, -90)
			d.own("r2", 33, -80)
			d.c.Replan = []gas.Percent{33.5}
		}, -3, 36, true},
		{"planned again, and read 0.6 away", func(d *told) {
			d.own("r1", 33.5, -90)
			d.own("r2", 32.9, -80)
			d.c.Replan = []gas.Percent{33.5}
		}, -3.1, 36, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := cylinder()
			c.tell(d)
			got := evidence.Find(&d.h, &d.c).Deviation
			if off := got.Off - c.off; off > 1e-9 || off < -1e-9 || got.Asked != c.asked || got.Replanned != c.replan {
				t.Errorf("got %+v, want %v of %v, planned again %v", got, c.off, c.asked, c.replan)
			}
		})
	}
}
