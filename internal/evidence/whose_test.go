package evidence_test

import (
	"testing"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

func TestWhose(t *testing.T) {
	run(t, []say{
		{name: "nothing read", tell: func(*told) {}, more: absent(gas.AbsentUnread)},
		{name: "the diver's own", tell: func(d *told) { d.own("r1", 32.1, -90) }, counting: []string{"r1"}},
		{name: "watched", tell: func(d *told) { d.watched("r1", 32.1, -90) }, counting: []string{"r1"}},
		{name: "the diver's own, watched by whom a leader named",
			tell: func(d *told) { d.own("r1", 32.1, -90).Witness = "marit" }, counting: []string{"r1"}},
		{name: "the shop's alone", tell: func(d *told) { d.shop("r1", 32.1, -90) }, compared: []string{"r1"},
			more: absent(gas.AbsentShopOnly)},
		{name: "the shop's makes no stale one fresh",
			tell: func(d *told) {
				d.own("r1", 32.1, -25*60)
				d.shop("r2", 32.1, -90)
			},
			compared: []string{"r1", "r2"}, more: absent(gas.AbsentStale)},
		{name: "another diver's", tell: func(d *told) { d.own("r1", 32.1, -90).By = "marit" }, compared: []string{"r1"},
			more: absent(gas.AbsentElsewhere)},
		{name: "another holder's counts for nobody else", compared: []string{"r1"}, more: absent(gas.AbsentElsewhere),
			tell: func(d *told) {
				d.h.Holders = append(d.h.Holders, evidence.Holder{Diver: "marit", Place: "c1"})
				d.own("r1", 32.1, -90).By = "marit"
			}},
	})
}

func TestAWitnessWhoHasTheCylinderSettlesNothing(t *testing.T) {
	run(t, []say{{name: "settles nothing", counting: []string{"r1", "r2", "r3"}, more: unsettled(true),
		tell: func(d *told) {
			d.h.Holders = append(d.h.Holders, evidence.Holder{Diver: "ines", Place: "c1"})
			d.own("r1", 32, -90)
			d.own("r2", 33.2, -80)
			d.watched("r3", 32.1, -70)
		}}})
}

func TestPlaces(t *testing.T) {
	joined := func(m evidence.Moment) func(string, string) evidence.Moment {
		return func(string, string) evidence.Moment { return m }
	}
	run(t, []say{
		{name: "read in another place, known to be one", counting: []string{"r1"},
			tell: func(d *told) {
				d.h.Joined = joined(evidence.Moment{})
				d.own("r1", 32.1, -90).Place = "c2"
			}},
		{name: "a label that comes back: compared, and none counts", compared: []string{"r1"},
			more: absent(gas.AbsentElsewhere),
			tell: func(d *told) {
				d.own("r1", 36.2, -90).Place = "c0"
				d.h.Joined = joined(d.moment(-80))
			}},
		{name: "and analysed again", counting: []string{"r2"}, compared: []string{"r1", "r2"}, more: unsettled(true),
			tell: func(d *told) {
				d.own("r1", 36.2, -90).Place = "c0"
				d.h.Joined = joined(d.moment(-80))
				d.own("r2", 32.1, -70)
			}},
		{name: "a fill of the other place before they were one takes nothing away", compared: []string{"r1"},
			more: absent(gas.AbsentRefilled),
			tell: func(d *told) {
				d.own("r1", 36.2, -90)
				d.h.Fills = append(d.h.Fills, evidence.Fill{Moment: d.moment(-80), Place: "c0"})
				d.h.Joined = joined(d.moment(-70))
			}},
		{name: "brought here without a leader's word", compared: []string{"r1"}, more: absent(gas.AbsentElsewhere),
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.c.Since = d.moment(-80)
			}},
	})
}
