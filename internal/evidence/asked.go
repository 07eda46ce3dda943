package evidence

import (
	"math"

	"gasmuster/internal/gas"
)

// held tells whether a reading is held against the request: the diver's, whether
// it counts or not, as long as it is compared; but for one that nothing showed again, or of
// an analyser that was known to be off. No label, no dive and no time takes it away.
func (f *finder) held(it *item) bool {
	return it.compared && it.aside == 0 && !it.undone && !it.unshown && f.c.counts(it.r) &&
		!it.r.wasOff()
}

// Held are the values that are held against the request, to plan again for them.
func Held(h *History, c *Case) []gas.Percent {
	f := finder{h: h, c: c}
	f.replay()
	var e gas.Evidence
	f.judge(f.slips().open, &e)
	var held []gas.Percent
	for i := range f.items {
		if f.held(&f.items[i]) {
			held = append(held, f.items[i].r.Percent)
		}
	}
	return held
}

// holds tells whether a request held when a number was said, or since: one that
// was changed afterwards helps nobody.
func (a Asked) holds(r *Reading) bool { return a.Until == 0 || a.Until > r.Nth }

// planned is how near a reading lies to a value that was planned for again.
const planned = 0.5

// asked finds the largest distance from a request, and what requests weigh.
func (f *finder) asked(e *gas.Evidence) {
	witnessed := false
	for i := range f.items {
		it := &f.items[i]
		if f.held(it) {
			f.deviate(it.r, e)
		}
	}
	for i := range e.Counting {
		witnessed = witnessed || e.Counting[i].By == gas.Witnessed
	}
	e.LeanUnseen = len(e.Compared) > 0 && e.Rich < gas.EnrichedFrom && !witnessed
	for _, a := range f.c.Asked {
		if !a.Percent.Known() {
			continue
		}
		e.AirAsked = e.AirAsked || a.Percent < gas.EnrichedFrom
		if f.weighs(a) {
			e.RichestAsked = max(e.RichestAsked, a.Percent)
		}
	}
}

// weighs tells whether a request is that of now, or held since some number.
func (f *finder) weighs(a Asked) bool {
	if a.Until == 0 {
		return true
	}
	for i := range f.items {
		if a.holds(f.items[i].r) {
			return true
		}
	}
	return false
}

// deviate keeps the largest deviation; one that was planned for again gives way
// to one that was not.
func (f *finder) deviate(r *Reading, e *gas.Evidence) {
	for _, a := range f.c.Asked {
		if !a.Percent.Known() || !a.holds(r) {
			continue
		}
		d := gas.Deviation{Known: true, Off: float64(r.Percent - a.Percent), Asked: a.Percent, Replanned: f.replanned(r)}
		if heavier(d, e.Deviation, f.c.TellShop) {
			e.Deviation = d
		}
	}
}

func heavier(d, than gas.Deviation, tell float64) bool {
	if !than.Known {
		return true
	}
	asks := func(d gas.Deviation) bool { return !d.Replanned && over(math.Abs(d.Off), tell) }
	if asks(d) != asks(than) {
		return asks(d)
	}
	return math.Abs(d.Off) > math.Abs(than.Off)
}

func (f *finder) replanned(r *Reading) bool {
	for _, v := range f.c.Replan {
		if !over(math.Abs(float64(v-r.Percent)), planned) {
			return true
		}
	}
	return false
}
