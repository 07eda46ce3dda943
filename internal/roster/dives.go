package roster

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// SetDived records that dive n was dived, and what it was, for a person or ("")
// for all. Only a leader's answer makes a dive dived. What somebody says of
// themself, a leader too, counts where it is deeper or longer. It returns false when
// nobody may.
func (d *Draft) SetDived(n int, dived Dived, now time.Time) bool {
	dive := d.Dive(n)
	if dive == nil || !d.mayEnter(dived) {
		return false
	}
	if dived.At.IsZero() {
		dived.At = now
	}
	if d.leads(dived.By) && !d.WasDived(n) {
		d.end(n, false, dived.By, now)
	}
	dive = d.EditDive(n)
	if len(dive.Dived) > 0 || dived.Person != "" || dived.Depth.Known() || dived.Minutes > 0 {
		dive.Dived = append(dive.Dived, dived)
	}
	d.act(now, dived.By, VerbDived, string(dived.Person), "", "dive", strconv.Itoa(n), "depth", depthText(dived.Depth),
		"minutes", number(dived.Minutes))
	return true
}

// mayEnter tells whether an entry of what was dived may be made: a leader's, or
// anybody's of themself.
func (d *Draft) mayEnter(dived Dived) bool {
	if dived.Person == dived.By {
		return d.Person(dived.By) != nil
	}
	return d.leads(dived.By) && (dived.Person == "" || d.Person(dived.Person) != nil)
}

// dived is what counts of dive n for a person: the plan, or the last that a leader
// said for all or for them. What is said for all after that, and what they said of
// themself, counts where it is deeper or longer. Where a leader said that it was not
// dived, it is what they said of themself since.
func (t *Trip) dived(n int, p PersonID) (gas.Depth, float64) {
	dive := t.Dives[n-1]
	all := Dived{Depth: dive.Depth, Minutes: dive.Minutes}
	var own, after, themself Dived // by a leader for this person, then for all; by the person
	for _, e := range dive.Dived {
		switch {
		case e.Person == "":
			all.Depth, all.Minutes = e.over(dive.Depth, dive.Minutes)
			after = all
		case e.Person != p:
		case e.By != p:
			own.Depth, own.Minutes = e.over(own.Depth, own.Minutes)
			after.without(e)
			themself.without(e)
		default:
			themself.atLeast(e)
		}
	}
	if t.NotDived(n) {
		return themself.over(dive.Depth, dive.Minutes)
	}
	own.Depth, own.Minutes = own.over(all.Depth, all.Minutes)
	own.atLeast(after)
	own.atLeast(themself)
	return own.Depth, own.Minutes
}

// divedAnyway tells whether a person says that they dived a dive which a leader called not dived.
func (t *Trip) divedAnyway(n int, p PersonID) bool {
	return t.NotDived(n) && slices.ContainsFunc(t.Dives[n-1].Dived, func(e Dived) bool {
		return e.Person == p && (e.Depth.Known() || e.Minutes > 0)
	})
}

// without drops what another entry says.
func (e *Dived) without(o Dived) {
	if o.Depth.Known() {
		e.Depth = gas.Depth{}
	}
	if o.Minutes > 0 {
		e.Minutes = 0
	}
}

// atLeast makes an entry as deep and as long as another.
func (e *Dived) atLeast(o Dived) {
	if o.Depth.Known() && o.Depth.DeeperThan(e.Depth) {
		e.Depth = o.Depth
	}
	e.Minutes = max(e.Minutes, o.Minutes)
}

// over is an entry with the plan's values for what it does not say.
func (e *Dived) over(depth gas.Depth, minutes float64) (gas.Depth, float64) {
	if e.Depth.Known() {
		depth = e.Depth
	}
	if e.Minutes > 0 {
		minutes = e.Minutes
	}
	return depth, minutes
}

// end keeps a leader's word whether a dive was dived, and its board as it was.
func (d *Draft) end(n int, not bool, by PersonID, now time.Time) {
	began := earlier(d.begins(n), now)
	o := &Outcome{Moment: d.moment(now), By: by, NotDived: not, Began: began,
		Ended: earlier(began.Add(d.Dives[n-1].lasts()), now),
		Start: d.agedBy(n), FreshFor: d.Policy.FreshFor, BoatCheck: d.Policy.BoatCheck}
	for _, p := range d.People {
		if out := p.OutOf(n); out != nil && !out.At.After(began) {
			o.Out = append(o.Out, p.ID)
		}
	}
	d.Course.drop(d, n)
	if !not {
		b := d.Board(n, began)
		if s := d.Signature(n); s != nil && d.Standing(s, s.At).State == StandsStanding {
			b = s.Board.Board // also one that would have lapsed: this answer lets it stand
		}
		course := d.EditCourse()
		course.Kept = append(course.Kept, KeptBoard{Dive: n, Board: seal(b.frozen())})
	}
	d.EditDive(n).Outcome = o
}

// begins is when dive n is taken to have begun: as planned, or when it was signed if that was later. A boat that is
// late signs late.
func (d *Draft) begins(n int) time.Time {
	begins := d.Starts(n)
	if s := d.Signature(n); s != nil {
		begins = later(begins, s.At)
	}
	return begins
}

// drop removes a kept board.
func (c *Course) drop(d *Draft, n int) {
	if slices.ContainsFunc(c.Kept, func(k KeptBoard) bool { return k.Dive == n }) {
		course := d.EditCourse()
		course.Kept = slices.DeleteFunc(course.Kept, func(k KeptBoard) bool { return k.Dive == n })
	}
}

// SetNotDived is a leader's word that dive n was not dived at all: what was entered
// of it goes.
func (d *Draft) SetNotDived(n int, by PersonID, now time.Time) bool {
	dive := d.Dive(n)
	if dive == nil || !d.leads(by) || d.NotDived(n) && len(dive.Dived) == 0 {
		return false
	}
	if !d.NotDived(n) {
		d.end(n, true, by, now)
	}
	d.EditDive(n).Dived = nil
	d.act(now, by, VerbNotDived, "", "", "dive", strconv.Itoa(n))
	return true
}

// TakeBackDived takes back whether dive n was dived, with all that leaders entered
// of it. What people said of themselves stays: they may have said it before, too.
func (d *Draft) TakeBackDived(n int, by PersonID, now time.Time) bool {
	if dive := d.Dive(n); dive == nil || dive.Outcome == nil || !d.leads(by) {
		return false
	}
	d.Course.drop(d, n)
	dive := d.EditDive(n)
	dive.Outcome = nil
	dive.Dived = slices.DeleteFunc(slices.Clone(dive.Dived), func(e Dived) bool { return e.Person != e.By })
	if len(dive.Dived) == 0 {
		dive.Dived = nil
	}
	d.act(now, by, VerbDivedBack, "", "", "dive", strconv.Itoa(n))
	return true
}

// SetUp records when the last diver was up from dive n, which was dived, by a leader.
// It is after the departure and after the dive before, and it has passed.
func (d *Draft) SetUp(n int, up time.Time, by PersonID, now time.Time) bool {
	if !d.WasDived(n) || !d.leads(by) || up.After(now) || up.Before(d.Departs) || up.Before(d.UpAt(n-1)) {
		return false
	}
	if d.UpAt(n).Equal(up) {
		return true
	}
	dive := d.EditDive(n)
	o := *dive.Outcome
	o.Up, dive.Outcome = up.UTC(), &o
	d.act(now, by, VerbUp, "", "", "dive", strconv.Itoa(n), "up", timeText(up))
	return true
}

// DivedBy is what a person dived on dive n, as it counts; false while the plan is
// assumed.
func (t *Trip) DivedBy(n int, p PersonID) (Dived, bool) {
	d := t.Dive(n)
	if d == nil {
		return Dived{}, false
	}
	for _, e := range slices.Backward(d.Dived) {
		if e.Person == "" || e.Person == p {
			e.Depth, e.Minutes = t.dived(n, p)
			return e, true
		}
	}
	return Dived{}, false
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
