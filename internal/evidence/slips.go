package evidence

import (
	"math"
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// 4. Slips. A number that was taken back as a slip is not compared. What was said
// instead counts only when it was shown again, if it takes a no-go back or lies
// more than half a point away. Until then a no-go stays.

const (
	favour   = 0.5             // points that a slip may be off without more
	shownOwn = 0.5             // how near the diver's own new reading has to lie
	shownBy  = 1.0             // how near a watched one
	pause    = 2 * time.Minute // before the diver's own new reading
)

// slipsFound is what all slips come to.
type slipsFound struct {
	worst gas.Slip
	open  map[string]bool // the numbers that have to be shown again
	was   []*Reading      // what was taken back instead of them
}

func (f *finder) slips() slipsFound {
	var found slipsFound
	for i := range f.items {
		s := f.items[i].r
		if !s.Slip || !f.items[i].undone {
			continue
		}
		slip, is := f.slip(s)
		if f.overBySettling(i, is) {
			continue
		}
		if slip.State > found.worst.State {
			found.worst = slip
		}
		if slip.State < gas.SlipOpen {
			continue
		}
		chain, _, _ := f.instead(s)
		found.was = append(found.was, chain...)
		if is != nil {
			if found.open == nil {
				found.open = map[string]bool{}
			}
			found.open[is.ID] = true
		}
	}
	return found
}

// unshown are the numbers that were taken back and that nothing showed again, also when the
// cylinder was filled since: on the dives after this one they still weigh.
func (h *History) unshown(place string) []*Reading {
	f := finder{h: h, c: &Case{Place: place}}
	f.replay()
	return append(f.lost, f.slips().was...)
}

// asideBefore tells whether a number was set aside before it was taken back.
func (f *finder) asideBefore(i int) bool {
	aside := f.items[i].aside
	return aside != 0 && aside < f.items[i].r.Undone.Nth
}

// overBySettling tells whether a settling reading ended a slip: it set aside what was said instead, or the slip while
// nothing was. One that is put right only after that asks anew, and so does what was said instead and is not older than
// the settling: it was not looked at then. Nor is over what was said instead first and stood then, and was put right
// since.
func (f *finder) overBySettling(i int, is *Reading) bool {
	if is != nil && f.setAside(is) {
		return true
	}
	aside, first := f.items[i].aside, is
	if chain, _, _ := f.instead(f.items[i].r); len(chain) > 1 {
		first = chain[1]
	}
	return aside != 0 && f.items[i].r.Undone.Nth < aside && (first == nil || first.Nth > aside)
}

// setAside tells whether a settling reading set a number aside: it stands for
// nothing any more.
func (f *finder) setAside(r *Reading) bool {
	return slices.ContainsFunc(f.items, func(it item) bool { return it.r == r && it.aside != 0 })
}

// slip follows one slip to what was said instead and asks whether that is shown.
func (f *finder) slip(s *Reading) (gas.Slip, *Reading) {
	slip := gas.Slip{State: gas.SlipSmall, Was: s.Percent}
	chain, is, over := f.instead(s)
	switch {
	case over:
		return slip, nil
	case is == nil:
		slip.State = f.unsaid(s)
		return slip, nil
	}
	slip.Is = is.Percent
	switch {
	case f.bySight(is), !f.asksFor(chain, is):
		return slip, is
	case f.shownAgain(is, math.MaxInt):
		slip.State = gas.SlipShown
	case s.Stops:
		slip.State = gas.SlipStops
	default:
		slip.State = gas.SlipOpen
	}
	return slip, is
}

// bySight tells whether a number needs nothing to show it again: somebody watched a new look at the analyser.
func (f *finder) bySight(r *Reading) bool { return f.h.seen(r) && r.Puts == "" }

// instead is the number that was said for a slip. A number that was a slip in its turn leaves the place to the
// next one; the chain is all of them. over tells that nothing has to be shown any more.
func (f *finder) instead(s *Reading) (chain []*Reading, is *Reading, over bool) {
	chain = []*Reading{s}
	for range f.items {
		is, over = f.next(chain)
		if over || is == nil || !is.Slip {
			break
		}
		chain = append(chain, is)
	}
	return chain, is, over
}

// next is what was said for the last slip of a chain: its correction, or after an undo the next number of its diver,
// or a watched one. A number that was taken back, and is no slip, stays compared. It left nothing to be shown if it
// lay near, was shown already or set aside; else the next number after that is the one.
func (f *finder) next(chain []*Reading) (is *Reading, over bool) {
	s := chain[len(chain)-1]
	after := s.Undone.Nth
	for i := range f.items {
		r, gone := f.items[i].r, f.items[i].undone && !f.items[i].r.Slip
		switch {
		case !r.corrects(s) && (r.Nth <= after || !f.mayFollow(s, r)):
		case !f.h.joined(s.Place, r.Place, r.Nth): // said of another cylinder, as far as was known
		case !gone:
			return r, false
		case !f.asksFor(chain, r), f.shownAgain(r, r.Undone.Nth), f.asideBefore(i):
			return nil, true
		default:
			after = max(after, r.Undone.Nth)
		}
	}
	return nil, false
}

// mayFollow tells whether a number may be the next one after an undo: a new look that somebody watched on an
// analyser that was not off, or a number of the diver of that place.
func (f *finder) mayFollow(s, r *Reading) bool {
	if r.Witness != "" {
		return f.bySight(r) && airPointOf(r).State != gas.AirPointOff
	}
	return r.own(s.Of)
}

// asksFor tells whether a number has to be shown again that was said at the end of a chain of slips, each said
// instead of the one before: nobody walks away from the first in small steps.
func (f *finder) asksFor(chain []*Reading, is *Reading) bool {
	for i, s := range chain {
		if f.asksMore(s, is) || i > 0 && f.asksMore(chain[0], s) {
			return true
		}
	}
	return false
}

// asksMore tells whether a number said for a slip has to be shown again. So has one that takes the place of such a
// number.
func (f *finder) asksMore(s, is *Reading) bool {
	return over(math.Abs(float64(s.Percent-is.Percent)), favour) || s.Stops
}

// corrects tells whether a number took a slip back by being said instead of it: both have one place in the order of
// saying. One that is said of a number after it was taken back only adds a reading.
func (r *Reading) corrects(s *Reading) bool { return r.Puts == s.ID && r.Nth == s.Undone.Nth }

// unsaid is the state of a slip for which nothing is said: as it was left.
func (f *finder) unsaid(s *Reading) gas.SlipState {
	switch {
	case s.Stops:
		return gas.SlipStops
	case s.Beside:
		return gas.SlipSmall
	}
	return gas.SlipOpen
}

// shownAgain tells whether a number was shown by a later reading, until some saying: a watched one
// near it, or a diver's own after two minutes. A reading that was taken back
// shows nothing.
func (f *finder) shownAgain(is *Reading, until int) bool {
	for i := range f.items {
		it := &f.items[i]
		r := it.r
		if r.Nth <= is.Nth || r.Nth > until || !f.h.joined(is.Place, r.Place, r.Nth) || it.undone || !it.compared ||
			r.Puts != "" || airPointOf(r).State == gas.AirPointOff {
			continue
		}
		if f.h.seen(r) && !over(apart(r, is), shownBy) {
			return true
		}
		if r.own(is.Of) && !over(apart(r, is), shownOwn) && r.Taken.Sub(is.Said) >= pause {
			return true
		}
	}
	return false
}
