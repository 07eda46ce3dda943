package evidence_test

import (
	"testing"
	"time"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

func TestWhen(t *testing.T) {
	run(t, []say{
		{name: "24 hours at the planned start", tell: func(d *told) { d.own("r1", 32.1, -24*60) }, counting: []string{"r1"}},
		{name: "a minute more", tell: func(d *told) { d.own("r1", 32.1, -24*60-1) }, compared: []string{"r1"},
			more: absent(gas.AbsentStale)},
		{name: "27 hours at a late sign-off", compared: []string{"r1"}, more: absent(gas.AbsentStale),
			tell: func(d *told) {
				d.own("r1", 32.1, -23*60)
				d.c.Now = at(4 * 60)
			}},
		{name: "taken back", compared: []string{"r1"}, more: absent(gas.AbsentUndone),
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.undo("r1", false, -80)
			}},
		{name: "not sure", compared: []string{"r1"}, more: absent(gas.AbsentChanged),
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.void(-60)
			}},
		{name: "not sure, and read again", counting: []string{"r2"}, compared: []string{"r1", "r2"},
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.void(-60)
				d.own("r2", 32.2, -50)
			}},
		{name: "sent before a stored 'changed'", compared: []string{"r1"}, more: absent(gas.AbsentChanged),
			tell: func(d *told) {
				d.void(-60)
				d.own("r1", 32.1, -50).Taken = at(-61)
			}},
		{name: "breathed on a dive since", compared: []string{"r1"}, more: absent(gas.AbsentDived),
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.c.Used = evidence.Moment{At: at(-80), Nth: 9}
			}},
		{name: "read after the dive", counting: []string{"r1"},
			tell: func(d *told) {
				d.c.Used = evidence.Moment{At: at(-91), Nth: 9}
				d.own("r1", 32.1, -90)
			}},
	})
}

func TestTheBoatCheck(t *testing.T) {
	run(t, []say{
		{name: "taken since", counting: []string{"r1"},
			tell: func(d *told) {
				d.open(-60)
				d.own("r1", 32.1, -50)
			}},
		{name: "30 minutes before the first opening", counting: []string{"r1"},
			tell: func(d *told) {
				d.own("r1", 32.1, -90)
				d.open(-60)
			}},
		{name: "31 minutes before", compared: []string{"r1"}, more: absent(gas.AbsentBoatQuestion),
			tell: func(d *told) {
				d.own("r1", 32.1, -91)
				d.open(-60)
			}},
		{name: "stayed with me", counting: []string{"r1"},
			tell: func(d *told) {
				d.own("r1", 32.1, -200)
				d.open(-60)
				d.kept(-50)
			}},
		{name: "answered before it opened", compared: []string{"r1"}, more: absent(gas.AbsentBoatQuestion),
			tell: func(d *told) {
				d.own("r1", 32.1, -200)
				d.kept(-70)
				d.open(-60)
			}},
		{name: "stayed with me, but over four hours old at the start", compared: []string{"r1"},
			more: absent(gas.AbsentBoatReading),
			tell: func(d *told) {
				d.own("r1", 32.1, -241)
				d.open(-60)
				d.kept(-50)
			}},
		{name: "the answer over four hours old", compared: []string{"r1"}, more: absent(gas.AbsentBoatReading),
			tell: func(d *told) {
				d.own("r1", 32.1, -110)
				d.open(-60)
				d.kept(-50)
				d.c.Now = at(3*60 + 11)
			}},
		{name: "the answer does not help where all are analysed again", compared: []string{"r1"},
			more: absent(gas.AbsentBoatReading),
			tell: func(d *told) {
				d.c.All = true
				d.own("r1", 32.1, -200)
				d.open(-60)
				d.kept(-50)
			}},
		{name: "opened again: what came before is old", compared: []string{"r1"}, more: absent(gas.AbsentBoatQuestion),
			tell: func(d *told) {
				d.open(-60)
				d.own("r1", 32.1, -50)
				d.open(-40)
			}},
		{name: "opening makes nothing fresh", compared: []string{"r1"}, more: absent(gas.AbsentStale),
			tell: func(d *told) {
				d.c.FreshFor = time.Hour
				d.open(-70)
				d.own("r1", 32.1, -65)
			}},
	})
}

// Time passing makes nothing better, and Until says until when it holds.
func TestUntil(t *testing.T) {
	d := cylinder()
	d.own("r1", 32.1, -200)
	d.open(-60)
	d.kept(-50)
	e := evidence.Find(&d.h, &d.c)
	if want := at(40); !e.Until.Equal(want) { // four hours after the reading
		t.Errorf("got %v, want %v", e.Until, want)
	}
	d.c.Now = e.Until
	if e := evidence.Find(&d.h, &d.c); !e.Counts() {
		t.Error("it holds no longer at the instant")
	}
	d.c.Now = e.Until.Add(time.Second)
	if e := evidence.Find(&d.h, &d.c); e.Counts() {
		t.Error("it holds after the instant")
	}
}
