package reminders

import (
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// leaderNudge is what Trip.Reminded holds of a nudge that a leader sent by
// hand: who was just asked by their leader is not asked by the clock.
const leaderNudge = "leader-nudge:"

// judge decides what is due at one instant.
type judge struct {
	t      *roster.Trip
	now    time.Time
	boards map[int]roster.Board // of the dives that were looked at
	sent   map[string]bool      // what this very look says
	plan   map[roster.PersonID]bool
}

func newJudge(t *roster.Trip, now time.Time) *judge {
	return &judge{t: t, now: now, boards: map[int]roster.Board{}, sent: map[string]bool{},
		plan: map[roster.PersonID]bool{}}
}

// board is the board of one dive at this instant.
func (j *judge) board(dive int) *roster.Board {
	b, ok := j.boards[dive]
	if !ok {
		b = j.t.Board(dive, j.now)
		j.boards[dive] = b
	}
	return &b
}

// dives are those that a message is about: the one that it names between dives
// and in a boat check, else all that are still to be cleared.
func (j *judge) dives(d Due) []int {
	if d.Kind == SecondDive || d.Kind == BoatCheck || d.Kind == BoatBehind {
		return []int{d.Dive}
	}
	var dives []int
	for n := 1; n <= len(j.t.Dives); n++ {
		if open(j.t, n, j.now) {
			dives = append(dives, n)
		}
	}
	return dives
}

func (j *judge) decide(d Due) Decision {
	action, wait, reason := j.outcome(d)
	if action == Send {
		j.sent[d.said] = true
		if d.Kind == Evening {
			j.plan[d.Person] = true
		}
	}
	return Decision{Due: d, Action: action, Wait: wait, Reason: reason}
}

func (j *judge) outcome(d Due) (Action, time.Time, Reason) {
	if reason, moot := j.moot(d); moot {
		return Drop, time.Time{}, reason
	}
	if wait, reason, held := held(j.t, d, j.now); held {
		return Hold, wait, reason
	}
	if j.saidBefore(d) {
		return Drop, time.Time{}, SaidBefore
	}
	if reason, moot := j.needless(d); moot {
		return Drop, time.Time{}, reason
	}
	return Send, time.Time{}, j.why(d)
}

// moot says why a message makes no sense any more, whoever owes what.
func (j *judge) moot(d Due) (Reason, bool) {
	switch {
	case j.t.Over(j.now):
		return TripOver, true
	case d.Dive > 0 && !open(j.t, d.Dive, j.now):
		return SignedOff, true
	case !d.Until.IsZero() && !j.now.Before(d.Until):
		return TooLate, true
	}
	return j.absent(d)
}

// absent says why a person is not to be written to.
func (j *judge) absent(d Due) (Reason, bool) {
	if d.Person == "" || d.Person == Group {
		return "", false
	}
	p := j.t.Person(d.Person)
	patient := d.Kind == Evening // waits for those who may still come
	switch {
	case p == nil || p.Erased || !p.Left.IsZero():
		return HasLeft, true
	case sitsOut(j.t, p) && !(p.Leader && leaders(d.Kind)):
		return SitsOut, true
	case p.Joined.IsZero() && !patient:
		return NotJoined, true
	case p.Unreachable != "" && !patient:
		return CantReach, true
	}
	return "", false
}

// sitsOut tells whether a person sits out every dive.
func sitsOut(t *roster.Trip, p *roster.Person) bool {
	for n := range t.Dives {
		if p.OutOf(n+1) == nil {
			return false
		}
	}
	return len(t.Dives) > 0
}

// leaders tells whether a kind also tells leaders about others: they hear it
// whether they dive or not.
func leaders(k Kind) bool {
	return k == Evening || k == Escalate || k == BoatBehind
}

// held says until when a message waits: for the end of quiet hours, or for
// somebody who has not joined yet.
func held(t *roster.Trip, d Due, now time.Time) (time.Time, Reason, bool) {
	if d.Kind == Evening && now.Before(d.Until) {
		if p := t.Person(d.Person); p != nil && p.Left.IsZero() && !sitsOut(t, p) && !p.Erased {
			if p.Joined.IsZero() {
				return d.Until, NotJoined, true
			}
			if p.Unreachable != "" {
				return d.Until, CantReach, true
			}
		}
	}
	loud := t.Departs.Add(-loudBefore)
	if d.Kind != Evening && d.Kind != Ready || d.announced || !now.Before(loud) {
		return time.Time{}, "", false // everything else comes later, or follows what a leader just did
	}
	end, quiet := quietUntil(t.Quiet, location(t.Zone), now)
	if !quiet {
		return time.Time{}, "", false
	}
	if end.After(loud) {
		end = loud
	}
	return end, QuietHours, true
}

// saidBefore tells whether the same was said already: before the departure
// was moved, by hand, or in this very look.
func (j *judge) saidBefore(d Due) bool {
	switch d.Kind {
	case Evening:
		if last, ok := j.t.Reminded["said:announced:"+string(d.Person)]; ok && !d.announced &&
			j.within(last, announcesApart) {
			return true
		}
		return j.plan[d.Person] || !d.announced && j.said(d)
	}
	if d.nudges() {
		return j.plan[d.Person] || j.sent[d.said] || j.within(Nudged(j.t, d.Person), NudgesApart)
	}
	return d.said != "" && j.within(j.t.Reminded[d.said], NudgesApart)
}

func (j *judge) said(d Due) bool {
	_, ok := j.t.Reminded[d.said]
	return j.sent[d.said] || ok
}

// within tells whether something was less than so long ago. What lies ahead was
// noted before the clock was set back; how far ahead is the best that is known.
func (j *judge) within(last time.Time, d time.Duration) bool { return j.now.Sub(last).Abs() < d }

// needless says why nobody needs the message: nothing is owed.
func (j *judge) needless(d Due) (Reason, bool) {
	switch d.Kind {
	case Evening, Turn:
		return "", false
	case Escalate, BoatBehind:
		return AllIn, !j.anybodyOwes(d)
	}
	if d.Person == Group {
		return AllIn, !j.anybodyOwes(d)
	}
	switch {
	case j.owes(d):
		return "", false
	case !j.diving(d):
		return NotDiving, true
	}
	return Answered, true
}

// clearances are those of a person on the dives that a message is about.
func (j *judge) clearances(d Due) []*roster.Clearance {
	var found []*roster.Clearance
	for _, n := range j.dives(d) {
		if c := j.board(n).Of(d.Person); c != nil && c.Active {
			found = append(found, c)
		}
	}
	return found
}

// diving tells whether the person counts on a dive that the message is about.
func (j *judge) diving(d Due) bool { return len(j.clearances(d)) > 0 }

// owes tells whether a person owes something that an analyser or an answer
// settles.
func (j *judge) owes(d Due) bool {
	for _, c := range j.clearances(d) {
		if !c.Left && slices.ContainsFunc(c.Owes, roster.Owed.Reminds) {
			return true
		}
	}
	return false
}

// anybodyOwes tells whether there is something for leaders and group to hear
// of: any active person who owes something for the dive that the message names,
// also those who left or can't be written to.
func (j *judge) anybodyOwes(d Due) bool {
	return slices.ContainsFunc(j.board(d.Dive).People,
		func(c roster.Clearance) bool { return c.Active && len(c.Owes) > 0 })
}

func (j *judge) why(d Due) Reason {
	switch {
	case d.Kind == Turn:
		return TurnOver
	case d.Kind == Evening:
		return Everybody
	case d.Person != Group && d.Kind != Escalate && d.Kind != BoatBehind && j.owes(d):
		return Owes
	}
	return OthersOwe
}
