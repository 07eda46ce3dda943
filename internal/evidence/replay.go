package evidence

import (
	"math"
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// event is one thing said of the cylinder, by its place in the history.
type event struct {
	nth  int
	kind eventKind
	at   int
}

type eventKind uint8

const (
	wasFilled eventKind = iota
	wasVoided
	wasUndone
	wasRead
)

// replay tells the history again, in the order of saying.
func (f *finder) replay() {
	var room [24]event
	f.items = make([]item, 0, len(f.h.Readings))
	for _, e := range f.events(room[:0]) {
		switch e.kind {
		case wasFilled:
			f.filled(&f.h.Fills[e.at])
		case wasVoided:
			f.voided()
		case wasUndone:
			f.undone(&f.h.Readings[e.at])
		case wasRead:
			f.read(&f.h.Readings[e.at])
		}
	}
}

func (f *finder) events(events []event) []event {
	sorted := true
	add := func(e event) {
		sorted = sorted && (len(events) == 0 || events[len(events)-1].nth <= e.nth)
		events = append(events, e)
	}
	for i := range f.h.Readings {
		add(event{f.h.Readings[i].Nth, wasRead, i})
	}
	for i := range f.h.Fills {
		add(event{f.h.Fills[i].Nth, wasFilled, i})
	}
	for i := range f.h.Voids {
		add(event{f.h.Voids[i].Nth, wasVoided, i})
	}
	for i := range f.h.Readings {
		if u := f.h.Readings[i].Undone; !u.IsZero() {
			add(event{u.Nth, wasUndone, i})
		}
	}
	if !sorted {
		slices.SortStableFunc(events, func(a, b event) int { return a.nth - b.nth })
	}
	return events
}

// read adds a reading. One of an earlier filling is of no use, one that was said
// twice is one.
func (f *finder) read(r *Reading) {
	void, own, gone := f.late(r)
	if gone {
		f.dropped = true
		return
	}
	if once := f.twice(r); once != nil {
		f.said = append(f.said, [2]*Reading{r, once})
		return
	}
	it := item{r: r, compared: !r.Aside && !r.Slip && r.Percent.Known(), void: void, ownFill: own}
	if it.compared {
		if void == 0 && f.settles(r) {
			f.endOwnFills(r)
			f.settle(r)
		}
		f.compare(r)
	}
	f.items = append(f.items, it)
}

// late tells what became of a number that was taken before something that is
// stored already: it belongs before it, and counts in no place. own is a fill that only its diver reported.
func (f *finder) late(r *Reading) (void gas.Absent, own int, gone bool) {
	if r.Taken.Before(r.Came.At) {
		void = gas.AbsentElsewhere
	}
	for i := range f.h.Voids {
		if v := &f.h.Voids[i]; v.Nth < r.Nth && r.Taken.Before(v.At) {
			void = gas.AbsentChanged
		}
	}
	for i := range f.h.Fills {
		if l := &f.h.Fills[i]; l.Nth < r.Nth && r.Taken.Before(l.At) {
			void = gas.AbsentRefilled
			switch joined := f.h.joined(l.Place, r.Place, r.Nth); {
			case joined && l.Own:
				own = l.Nth
			case joined:
				gone = true
			}
		}
	}
	return void, own, gone
}

// sayAgain is how soon the same number is the same reading said twice.
const sayAgain = 2 * time.Minute

// twice is the number that was just said already: by the same person on the same
// analyser, with nothing between; nil when there is none. What somebody watched is
// always one of its own.
func (f *finder) twice(r *Reading) *Reading {
	if r.Witness != "" || r.Puts != "" {
		return nil
	}
	for i := range f.items {
		it := &f.items[i]
		o := it.r
		if math.Abs(float64(o.Percent-r.Percent)) > point || o.By != r.By || o.Witness != "" || o.Analyser != r.Analyser {
			continue
		}
		aside := o.Aside && o.AsideAt.Nth < r.Nth
		if it.undone || f.voidFor(it, r) || !o.Percent.Known() || aside || r.Taken.Sub(o.Taken).Abs() >= sayAgain ||
			r.Since.after(o) || !f.h.known(o.Place, r) {
			continue
		}
		if o.Nth > r.Opened {
			return o
		}
	}
	return nil
}

// voidFor tells whether a reading counts no more because of what was known to be of its cylinder when that happened, or
// when another number was said: a label that makes two cylinders one later makes no new number of one said twice.
func (f *finder) voidFor(it *item, r *Reading) bool {
	o := it.r
	if it.void == 0 || o.Taken.Before(o.Came.At) {
		return it.void != 0
	}
	voids := func(m Moment, place string) bool {
		between := (o == r || m.Nth < r.Nth) && (m.Nth > o.Nth || o.Taken.Before(m.At))
		return between && f.h.joined(place, r.Place, max(m.Nth, r.Nth))
	}
	return slices.ContainsFunc(f.h.Voids, func(v Void) bool { return voids(v.Moment, v.Place) }) ||
		slices.ContainsFunc(f.h.Fills, func(l Fill) bool {
			return voids(l.Moment, l.Place) && !(l.Dated && l.At.Before(o.Taken))
		})
}

// undone takes a reading back. One that turned out to be a slip was never compared,
// and one that was taken back settled nothing.
func (f *finder) undone(r *Reading) {
	i := slices.IndexFunc(f.items, func(it item) bool { return it.r == r })
	if i < 0 {
		return
	}
	f.items[i].undone = true
}
