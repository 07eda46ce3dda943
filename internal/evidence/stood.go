package evidence

import (
	"slices"

	"gasmuster/internal/gas"
)

// Breathed is the richest and the leanest that a cylinder may have been; zero for
// what is not known.
type Breathed struct {
	Rich, Lean gas.Percent
	// Counted: some reading counted, so that it is not widened by what was asked for.
	Counted bool
}

// Stood is a cylinder as it stood when a dive with it began, with the boat check
// of then; the case says what was answered and used then. A label that was put right
// since takes nothing away. What was said later of readings taken before, or of which
// cylinder it was, makes it only richer and leaner.
func Stood(h *History, c *Case, began Moment) Breathed {
	then := h.until(c.Place, began)
	at := *c
	at.Now = began.At
	at.Opened = slices.DeleteFunc(slices.Clone(c.Opened), began.Before)
	e := Find(&then, &at)
	b := Breathed{Rich: e.Rich, Lean: e.Lean, Counted: e.Counts()}
	b.readings(h.news(c.Place, began))
	return b
}

// Ever is all that was read of a cylinder until it left a place, and of readings taken
// before that were said later; set aside apart, and slips, unless nothing had shown again until
// some moment what was said instead.
func Ever(h *History, place string, left, until Moment) Breathed {
	var b Breathed
	b.readings(h.until(place, left).Readings)
	b.readings(h.late(place, left))
	then := h.until(place, until)
	for _, r := range then.unshown(place) {
		if r.moment().Before(left) && h.together(place, r.Place, left) {
			b.Include(r.Percent, r.Percent)
		}
	}
	return b
}

// readings widens by readings, slips and those set aside apart.
func (b *Breathed) readings(list []Reading) {
	for i := range list {
		if r := &list[i]; !r.Slip && !r.Aside {
			rich, lean, _ := span(r)
			b.Include(rich, lean)
		}
	}
}

// Include widens by two values, of which unknown ones count for nothing.
func (b *Breathed) Include(rich, lean gas.Percent) {
	if rich.Known() {
		b.Rich = max(b.Rich, rich)
	}
	if lean.Known() && (b.Lean == 0 || lean < b.Lean) {
		b.Lean = lean
	}
}

// saidAfter tells whether a reading was said after a moment.
func (r *Reading) saidAfter(m Moment) bool { return m.Before(Moment{At: r.Said, Nth: r.Nth}) }

// news are the readings that were taken before a moment, and said or known to be of
// the cylinder in a place only after it.
func (h *History) news(place string, at Moment) []Reading {
	return slices.DeleteFunc(slices.Clone(h.Readings), func(r Reading) bool {
		return r.Taken.After(at.At) || !r.saidAfter(at) && h.together(place, r.Place, at)
	})
}

// late are the readings that were taken before a moment and said after it.
func (h *History) late(place string, at Moment) []Reading {
	return slices.DeleteFunc(slices.Clone(h.Readings), func(r Reading) bool {
		return !r.saidAfter(at) || !r.moment().Before(at) || !h.together(place, r.Place, at)
	})
}

// together tells whether two places were known to have the same cylinder at a
// moment.
func (h *History) together(place, other string, at Moment) bool {
	return place == other || h.Joined == nil || !at.Before(h.Joined(place, other))
}

// until is the history of the cylinder in a place as it was at a moment.
func (h *History) until(place string, at Moment) History {
	then := *h
	then.Readings = nil
	for _, r := range h.Readings {
		if r.saidAfter(at) || !h.together(place, r.Place, at) {
			continue
		}
		if at.Before(r.Undone) {
			r.Undone, r.Slip = Moment{}, false
		}
		r.Aside = r.Aside && !at.Before(r.AsideAt)
		then.Readings = append(then.Readings, r)
	}
	then.Fills = slices.DeleteFunc(slices.Clone(h.Fills),
		func(f Fill) bool { return at.Before(f.Moment) || !h.together(place, f.Place, at) })
	then.Voids = slices.DeleteFunc(slices.Clone(h.Voids),
		func(v Void) bool { return at.Before(v.Moment) || !h.together(place, v.Place, at) })
	return then
}
