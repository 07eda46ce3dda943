package evidence

import (
	"time"

	"gasmuster/internal/gas"
)

// Find tells what the history of a cylinder comes to in one case.
func Find(h *History, c *Case) gas.Evidence {
	f := finder{h: h, c: c}
	f.replay()
	var e gas.Evidence
	slips := f.slips()
	e.Slip = slips.worst
	f.judge(slips.open, &e)
	f.compared(&e)
	f.absent(&e)
	f.airPoint(&e)
	f.asked(&e)
	f.measured(&e)
	e.CO = f.monoxide()
	return e
}

// Once is the reading that a number only repeats, itself when it was said once.
func Once(h *History, c *Case, id string) string {
	f := finder{h: h, c: c}
	f.replay()
	for _, pair := range f.said {
		if pair[0].ID == id {
			return pair[1].ID
		}
	}
	return id
}

// finder is the cylinder while its history is told again.
type finder struct {
	h *History
	c *Case

	items    []item
	disputes []dispute
	settled  bool          // something was settled by a watched reading, and that stands
	said     [][2]*Reading // numbers that were said twice, with the one that they repeat
	dropped  bool          // readings were taken away by a fill
	lost     []*Reading    // slips that nothing had shown again when a fill took them away
	ends     []end         // fills that took away what was found before
}

// item is a reading of the present filling.
type item struct {
	r          *Reading
	compared   bool
	undone     bool
	ownFill    int        // the diver's own fill after it, in the order of saying; 0 for none
	aside      int        // the settling reading that set it aside, in the order of saying; 0 for none
	void       gas.Absent // AbsentRefilled or AbsentChanged when it counts no more
	relabelled bool       // void by what happened to, or a dive with, a cylinder that a label made the same since
	unshown    bool       // said for a slip and to be shown again
	eligible   bool       // counts, or would but for its age
	why        gas.Absent // why it does not count
}

// counts tells whether the reading counts, once it was judged.
func (it *item) counts() bool { return it.eligible && it.why == 0 }

// judge asks of each reading whether it counts.
func (f *finder) judge(open map[string]bool, e *gas.Evidence) {
	for i := range f.items {
		it := &f.items[i]
		it.unshown = open[it.r.ID]
		it.why, it.eligible = f.bars(it)
		if !it.eligible {
			continue
		}
		why, until, ok := f.c.when(it.r)
		f.dates(it.r, e)
		if !until.IsZero() && (e.Until.IsZero() || until.Before(e.Until)) {
			e.Until = until
		}
		if it.why = why; ok {
			e.Counting = append(e.Counting, f.value(it.r))
		}
	}
}

// bars is why a reading does not count, whatever its age.
func (f *finder) bars(it *item) (why gas.Absent, eligible bool) {
	r := it.r
	switch {
	case r.By == "" && r.Witness == "":
		return gas.AbsentShopOnly, false
	case !f.c.counts(r), f.elsewhere(r):
		return gas.AbsentElsewhere, false
	case it.undone:
		return gas.AbsentUndone, false
	case f.voidFor(it, r):
		return it.void, false
	case it.aside != 0 || !it.compared:
		return gas.AbsentUndone, false
	case f.c.usedAsKnown(r):
		return gas.AbsentDived, false
	case airPointOf(r).State == gas.AirPointOff:
		return gas.AbsentAirPoint, false
	case it.unshown:
		return gas.AbsentSlip, false
	case it.void != 0:
		it.relabelled = true
		return it.void, false
	case f.c.used(r):
		it.relabelled = true
		return gas.AbsentDived, false
	}
	return 0, true
}

// dates notes the age of the youngest reading that counts or would but for it: that
// at the planned start, and the limit once it was crossed after it, so that it does
// not run with the clock.
func (f *finder) dates(r *Reading, e *gas.Evidence) {
	age, limit := max(0, f.c.Start.Sub(r.Taken)).Hours(), f.c.limit().Hours()
	if f.c.at().Sub(r.Taken).Hours() > limit {
		age = max(age, limit)
	}
	if !e.Dated || age < e.Age {
		e.Dated, e.Age, e.Limit = true, age, limit
	}
}

// value is a reading as it counts.
func (f *finder) value(r *Reading) gas.Value {
	rich, lean, dry := span(r)
	v := gas.Value{ID: r.ID, Percent: r.Percent, Rich: rich, Lean: lean, Dry: dry, At: r.Taken, Analyser: r.Analyser,
		AirPoint: r.AirPoint, By: gas.ByDiver}
	switch {
	case r.watched(f.c.Diver):
		v.By = gas.Witnessed
	case r.By == "":
		v.By = gas.ByShop
	case r.By != f.c.Diver:
		v.By = gas.ByOther
	}
	return v
}

// nearest ranks why nothing counts: the reason of the reading that is nearest
// to counting is named.
var nearest = [...]gas.Absent{gas.AbsentBoatQuestion, gas.AbsentBoatReading, gas.AbsentStale, gas.AbsentSlip,
	gas.AbsentAirPoint,
	gas.AbsentDived, gas.AbsentChanged, gas.AbsentRefilled, gas.AbsentUndone, gas.AbsentElsewhere, gas.AbsentShopOnly}

// absent says why nothing counts.
func (f *finder) absent(e *gas.Evidence) {
	if e.Counts() {
		return
	}
	for _, why := range nearest {
		for i := range f.items {
			if f.items[i].why == why {
				e.Absent = why
				return
			}
		}
	}
	if f.dropped {
		e.Absent = gas.AbsentRefilled
	}
}

// at is the instant by which ages are judged: the later of start and now.
func (c *Case) at() time.Time {
	if c.Start.After(c.Now) {
		return c.Start
	}
	return c.Now
}
