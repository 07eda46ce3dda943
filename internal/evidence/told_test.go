package evidence_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/evidence"
	"gasmuster/internal/gas"
)

// start is the planned start of the dive; minutes in these tests count from
// there. All expectations are product rules.
var start = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)

func at(m float64) time.Time { return start.Add(time.Duration(m * float64(time.Minute))) }

// told is a cylinder of Tomasz in place c1, told step by step.
type told struct {
	h     evidence.History
	c     evidence.Case
	nth   int
	stops gas.Percent
}

func cylinder() *told {
	return &told{h: evidence.History{Holders: []evidence.Holder{{Diver: "tomasz", Place: "c1"}}},
		c: evidence.Case{Diver: "tomasz", Place: "c1", FreshFor: 24 * time.Hour, Start: start, Now: at(-60),
			Asked: []evidence.Asked{{Percent: 36}}, TellShop: 2}}
}

func (d *told) moment(m float64) evidence.Moment {
	d.nth++
	return evidence.Moment{At: at(m), Nth: d.nth}
}

// own is a reading of Tomasz himself on an analyser.
func (d *told) own(id string, p gas.Percent, m float64) *evidence.Reading {
	return d.add(evidence.Reading{ID: id, Percent: p, By: "tomasz", Analyser: "a"}, m)
}

// watched is one that Inês watched on a calibrated analyser.
func (d *told) watched(id string, p gas.Percent, m float64) *evidence.Reading {
	return d.add(evidence.Reading{ID: id, Percent: p, By: "ines", Witness: "ines", Analyser: "a", AirPoint: 20.9}, m)
}

func (d *told) shop(id string, p gas.Percent, m float64) *evidence.Reading {
	return d.add(evidence.Reading{ID: id, Percent: p}, m)
}

func (d *told) add(r evidence.Reading, m float64) *evidence.Reading {
	r.Nth, r.Said, r.Taken = d.moment(m).Nth, at(m), at(m)
	if r.Place == "" {
		r.Place = "c1"
	}
	r.Of, r.Asked = "tomasz", d.c.Asked
	if n := len(d.c.Opened); n > 0 {
		r.Opened = d.c.Opened[n-1].Nth
	}
	d.h.Readings = append(d.h.Readings, r)
	return &d.h.Readings[len(d.h.Readings)-1]
}

// undo takes a reading back, as a slip or not.
func (d *told) undo(id string, slip bool, m float64) {
	r := d.reading(id)
	r.Undone, r.Slip, r.Stops = d.moment(m), slip, d.stops > 0 && r.Percent >= d.stops
}

// correct is "no, 31.4" of a reading.
func (d *told) correct(of, id string, p gas.Percent, m float64) {
	d.undo(of, true, m)
	old := d.reading(of)
	old.Stops = old.Stops && p < d.stops
	r := *old
	r.Undone, r.Slip, r.Stops = evidence.Moment{}, false, false
	r.ID, r.Percent, r.Puts = id, p, of
	taken := r.Taken
	d.add(r, m)
	d.reading(id).Taken = taken
	d.reading(of).Undone.Nth = d.reading(id).Nth
}

func (d *told) reading(id string) *evidence.Reading {
	for i := range d.h.Readings {
		if d.h.Readings[i].ID == id {
			return &d.h.Readings[i]
		}
	}
	panic("no reading " + id)
}

func (d *told) fill(own bool, m float64) {
	d.h.Fills = append(d.h.Fills, evidence.Fill{Moment: d.moment(m), Place: "c1", Own: own})
}

func (d *told) void(m float64) {
	d.h.Voids = append(d.h.Voids, evidence.Void{Moment: d.moment(m), Place: "c1"})
}

func (d *told) open(m float64) { d.c.Opened = append(d.c.Opened, d.moment(m)) }
func (d *told) kept(m float64) { d.c.Kept = d.moment(m) }

// stopsFrom makes every value from p up a no-go.
func (d *told) stopsFrom(p gas.Percent) { d.stops = p }

func ids(values []gas.Value) []string {
	var ids []string
	for _, v := range values {
		ids = append(ids, v.ID)
	}
	return ids
}

// say is one case: what was told, and what it comes to.
type say struct {
	name     string
	tell     func(*told)
	counting []string
	compared []string // nil is the same as counting
	more     func(*testing.T, gas.Evidence)
}

func run(t *testing.T, cases []say) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			d := cylinder()
			c.tell(d)
			e := evidence.Find(&d.h, &d.c)
			if diff := cmp.Diff(c.counting, ids(e.Counting)); diff != "" {
				t.Errorf("counting (-want +got)\n%s", diff)
			}
			compared := c.compared
			if compared == nil {
				compared = c.counting
			}
			if diff := cmp.Diff(compared, ids(e.Compared)); diff != "" {
				t.Errorf("compared (-want +got)\n%s", diff)
			}
			if c.more != nil {
				c.more(t, e)
			}
		})
	}
}

func absent(want gas.Absent) func(*testing.T, gas.Evidence) {
	return func(t *testing.T, e gas.Evidence) {
		t.Helper()
		if e.Absent != want || e.Counts() {
			t.Errorf("got absent %d, counts %v, want absent %d", e.Absent, e.Counts(), want)
		}
	}
}

func unsettled(want bool) func(*testing.T, gas.Evidence) {
	return func(t *testing.T, e gas.Evidence) {
		t.Helper()
		if e.Unsettled != want {
			t.Errorf("unsettled: got %v, want %v", e.Unsettled, want)
		}
	}
}

func slip(want gas.SlipState) func(*testing.T, gas.Evidence) {
	return func(t *testing.T, e gas.Evidence) {
		t.Helper()
		if e.Slip.State != want {
			t.Errorf("slip: got %d (was %v, is %v), want %d", e.Slip.State, e.Slip.Was, e.Slip.Is, want)
		}
	}
}
