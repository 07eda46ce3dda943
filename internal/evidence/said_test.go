package evidence_test

import (
	"testing"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// What is found of readings that were taken back, set aside or of another place.
func TestWhatLaterWordsChange(t *testing.T) {
	run(t, []say{
		{name: "a corrected number that was watched waits like any", compared: []string{"r2"}, more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.watched("r1", 36.2, -90)
				d.correct("r1", "r2", 34.2, -89)
			}},
		{name: "what a settling set aside has nothing to show any more", counting: []string{"r1", "r4"},
			more: slip(gas.SlipNone),
			tell: func(d *told) {
				d.own("r1", 25.4, -90)
				d.own("r2", 25.8, -80)
				d.correct("r2", "r3", 27.3, -79)
				d.watched("r4", 25.3, -60)
			}},
		{name: "a slip never disagreed: the watched one disagrees itself", counting: []string{"r1", "r3"},
			compared: []string{"r1", "r3", "r4"},
			more:     unsettled(true), tell: func(d *told) {
				d.own("r1", 27.6, -90)
				d.own("r2", 21.9, -80)
				d.watched("r3", 21.1, -70)
				d.correct("r2", "r4", 22.7, -69)
			}},
		{name: "a settling that was taken back settled nothing", counting: []string{"r1", "r2"},
			compared: []string{"r1", "r2", "r3"},
			more:     unsettled(true), tell: func(d *told) {
				d.own("r1", 32, -90)
				d.own("r2", 33.2, -80)
				d.watched("r3", 32.1, -70)
				d.undo("r3", false, -60)
			}},
		{name: "the next number after an undo is its diver's, whoever said the slip", compared: []string{"r2"},
			more: slip(gas.SlipOpen),
			tell: func(d *told) {
				d.watched("r1", 27.6, -90)
				d.undo("r1", true, -89)
				d.own("r2", 28.3, -85)
			}},
		{name: "what was said instead was taken back: the next after that", compared: []string{"r2", "r3"},
			counting: []string{"r3"},
			more:     slip(gas.SlipOpen), tell: func(d *told) {
				d.own("r1", 36.3, -90)
				d.correct("r1", "r2", 35.2, -87)
				d.own("r3", 35.4, -86)
				d.undo("r2", false, -80)
			}},
		{name: "what somebody else said beside it is not what was said instead", compared: []string{"r2", "r3"},
			counting: []string{"r2"},
			more:     slip(gas.SlipOpen), tell: func(d *told) {
				d.own("r1", 35.8, -90)
				d.watched("r2", 36.1, -89).Puts = "r1"
				d.correct("r1", "r3", 38.0, -88)
				d.reading("r3").Percent = 36.5
			}},
		{name: "a correction that was taken back unshown: the next number is the one", compared: []string{"r2", "r3"},
			more: slip(gas.SlipOpen), tell: func(d *told) {
				d.own("r1", 35.2, -90)
				d.correct("r1", "r2", 36.3, -87)
				d.undo("r2", false, -80)
				d.own("r3", 36.3, -60)
			}},
		{name: "a small correction that was taken back, and the next number", compared: []string{"r2", "r3"},
			counting: []string{"r3"},
			more:     slip(gas.SlipSmall), tell: func(d *told) {
				d.own("r1", 33.7, -90)
				d.correct("r1", "r2", 34.1, -89)
				d.undo("r2", false, -60)
				d.own("r3", 34.4, -50)
			}},
		{name: "a small correction that was taken back leaves nothing to show", compared: []string{"r2"},
			more: slip(gas.SlipSmall),
			tell: func(d *told) {
				d.own("r1", 32.4, -90)
				d.correct("r1", "r2", 32.1, -89)
				d.undo("r2", false, -80)
			}},
		{name: "a number behind an open slip is not asked about", compared: []string{"r2"},
			more: func(t *testing.T, e gas.Evidence) {
				t.Helper()
				if e.Measured.State != gas.MeasuredPlain {
					t.Errorf("asked: %+v", e.Measured)
				}
			},
			tell: func(d *told) {
				d.own("r1", 34.2, -90)
				d.correct("r1", "r2", 36, -89)
			}},
		{name: "the diver's own fill ends with a watched reading of after it", compared: []string{"r1", "r2"},
			more: absent(gas.AbsentRefilled),
			tell: func(d *told) {
				d.own("r1", 32.3, -90)
				d.fill(true, -60)
				late := d.watched("r2", 31.9, -40)
				late.Taken = at(-70)
			}},
		{name: "a watched reading of somebody else's place counts there alone", compared: []string{"r1"},
			more: absent(gas.AbsentElsewhere),
			tell: func(d *told) { d.watched("r1", 32.1, -90).Of = "marit" }},
		{name: "a number that the diver said of somebody else's place", compared: []string{"r1"},
			more: absent(gas.AbsentElsewhere),
			tell: func(d *told) { d.own("r1", 32.1, -90).Of = "marit" }},
		{name: "a number that was said twice by when it was taken", counting: []string{"r1", "r2"},
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.own("r2", 32.1, -89).Taken = at(-93)
			}},
	})
}

// A witness who had no part in the cylinder then has settled, whatever becomes of it.
func TestAWitnessWhoGetsTheCylinderLater(t *testing.T) {
	d := cylinder()
	d.own("r1", 32, -90)
	d.own("r2", 33.2, -80)
	d.watched("r3", 32.1, -70)
	d.h.Holders = append(d.h.Holders, evidence.Holder{Diver: "ines", Place: "c9"})
	since := d.moment(-60)
	d.h.Joined = func(string, string) evidence.Moment { return since }
	if e := evidence.Find(&d.h, &d.c); e.Unsettled {
		t.Error("unsettled again")
	}
	since = evidence.Moment{}
	if e := evidence.Find(&d.h, &d.c); !e.Unsettled {
		t.Error("settled by somebody who has the cylinder")
	}
}

// What holds until when: also why nothing counts.
func TestUntilWhenTheReasonHolds(t *testing.T) {
	d := cylinder()
	d.own("r1", 32.1, -200)
	d.open(-60)
	e := evidence.Find(&d.h, &d.c)
	if e.Absent != gas.AbsentBoatQuestion || !e.Until.Equal(at(40)) {
		t.Errorf("got %d until %v, want the boat question until four hours after it was taken", e.Absent, e.Until)
	}
	d.c.Now = e.Until.Add(time.Second)
	if e := evidence.Find(&d.h, &d.c); e.Absent != gas.AbsentBoatReading || e.Age != e.Limit {
		t.Errorf("got %d, %v h of %v; want to be analysed again, and an age that does not run on", e.Absent, e.Age, e.Limit)
	}
}

// A cylinder as it stood when its dive began.
func TestStood(t *testing.T) {
	for _, c := range []struct {
		name       string
		tell       func(*told)
		rich, lean gas.Percent
		counted    bool
	}{
		{"unread", func(*told) {}, 0, 0, false},
		{"read", func(d *told) { d.own("r1", 32.1, -30) }, 32.1, 32.1, true},
		{"read after it, taken before", func(d *told) { d.own("r1", 35.2, 60).Taken = at(-20) }, 35.2, 35.2, false},
		{"read after it", func(d *told) { d.own("r1", 35.2, 60) }, 0, 0, false},
		{"on the boat, not answered", func(d *told) {
			d.own("r1", 32.1, -100)
			d.open(-60)
		}, 32.1, 32.1, false},
		{"a check that was opened after it", func(d *told) {
			d.own("r1", 32.1, -100)
			d.open(60)
		}, 32.1, 32.1, true},
		{"taken back after it", func(d *told) {
			d.own("r1", 32.1, -30)
			d.undo("r1", true, 30)
		}, 32.1, 32.1, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := cylinder()
			c.tell(d)
			b := evidence.Stood(&d.h, &d.c, evidence.Moment{At: at(0), Nth: 1 << 20})
			if b.Rich != c.rich || b.Lean != c.lean || b.Counted != c.counted {
				t.Errorf("got %+v, want %v, %v, counted %v", b, c.rich, c.lean, c.counted)
			}
		})
	}
}

// Once names the number that another repeats.
func TestOnce(t *testing.T) {
	d := cylinder()
	d.own("r1", 32.1, -90)
	d.own("r2", 32.1, -89)
	d.own("r3", 32.1, -80)
	for id, want := range map[string]string{"r1": "r1", "r2": "r1", "r3": "r3"} {
		if got := evidence.Once(&d.h, &d.c, id); got != want {
			t.Errorf("%s: got %s, want %s", id, got, want)
		}
	}
}

// A fill ends the carbon monoxide of the cylinder that was filled: a label that comes
// to be the same later takes nothing away.
func TestCarbonMonoxideOfAnotherPlace(t *testing.T) {
	for _, c := range []struct {
		name   string
		joined int
		known  bool
	}{{"known to be one when it was filled", 0, false}, {"only afterwards", 99, true}} {
		d := cylinder()
		d.h.COs = append(d.h.COs, evidence.Monoxide{Moment: d.moment(-90), Place: "c1", PPM: 11})
		d.h.Fills = append(d.h.Fills, evidence.Fill{Moment: d.moment(-60), Place: "c2"})
		d.h.Joined = func(string, string) evidence.Moment { return evidence.Moment{At: at(-30), Nth: c.joined} }
		if e := evidence.Find(&d.h, &d.c); e.CO.Known != c.known {
			t.Errorf("%s: got %+v", c.name, e.CO)
		}
	}
}

// What was set aside or taken back after a dive weighs on it as it did.
func TestStoodBeforeASeriesWasSetAside(t *testing.T) {
	d := cylinder()
	d.own("r1", 36.7, -90)
	r := d.shop("r2", 35.7, -80)
	r.Aside, r.AsideAt = true, d.moment(60)
	if b := evidence.Stood(&d.h, &d.c, evidence.Moment{At: at(0), Nth: 1 << 20}); b.Lean != 35.7 {
		t.Errorf("got %+v, want the shop's 35.7 for time", b)
	}
	if e := evidence.Find(&d.h, &d.c); e.Lean != 36.7 {
		t.Errorf("now: got %v", e.Lean)
	}
	if _, leaner := evidence.ShopOff(&d.h, &d.c); len(leaner) != 1 {
		t.Errorf("of this filling: %+v", leaner)
	}
}
