package reminders

import (
	"time"

	"gasmuster/internal/roster"
)

// leaderNudge is what Trip.Reminded holds of a nudge that a leader sent by
// hand: who was just asked by their leader is not asked by the clock.
const leaderNudge = "leader-nudge:"

// judge decides what is due at one instant.
type judge struct {
	t     *roster.Trip
	now   time.Time
	board roster.Board
	sent  map[string]bool // what this very look says
	plan  map[roster.PersonID]bool
}

func newJudge(t *roster.Trip, now time.Time) *judge {
	return &judge{t: t, now: now, board: t.Board(now), sent: map[string]bool{}, plan: map[roster.PersonID]bool{}}
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
	case d.Dive > 0 && d.Dive < j.t.CurrentDive():
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
	case p.Out != nil && !(p.Leader && leaders(d.Kind)):
		return SitsOut, true
	case p.Joined.IsZero() && !patient:
		return NotJoined, true
	case p.Unreachable != "" && !patient:
		return CantReach, true
	}
	return "", false
}

// leaders tells whether a kind also tells leaders about others: they hear it
// whether they dive or not.
func leaders(k Kind) bool {
	return k == Evening || k == Morning || k == Escalate || k == BoatBehind
}

// held says until when a message waits: for the end of quiet hours, or for
// somebody who has not joined yet.
func held(t *roster.Trip, d Due, now time.Time) (time.Time, Reason, bool) {
	if d.Kind == Evening && now.Before(d.Until) {
		if p := t.Person(d.Person); p != nil && p.Left.IsZero() && p.Out == nil && !p.Erased {
			if p.Joined.IsZero() {
				return d.Until, NotJoined, true
			}
			if p.Unreachable != "" {
				return d.Until, CantReach, true
			}
		}
	}
	loud := t.Departs.Add(-loudBefore)
	if d.Kind != Evening || d.announced || !now.Before(loud) {
		return time.Time{}, "", false // everything else comes within three hours of departure, or follows what a leader just did
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
		if last, ok := j.t.Reminded["said:announced:"+string(d.Person)]; ok && !d.announced && j.within(last, announcesApart) {
			return true
		}
		return j.plan[d.Person] || !d.announced && j.said(d)
	case Morning:
		return j.plan[d.Person] || j.said(d)
	case Nudge:
		last, ok := j.t.Reminded[leaderNudge+string(d.Person)]
		return j.plan[d.Person] || ok && j.within(last, nudgesApart) || j.said(d)
	}
	return d.said != "" && j.said(d)
}

func (j *judge) said(d Due) bool {
	last, ok := j.t.Reminded[d.said]
	return j.sent[d.said] || ok && (d.apart == 0 || j.within(last, d.apart))
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
	p, pb := j.t.Person(d.Person), j.board.Of(d.Person)
	switch {
	case j.owes(pb, d):
		return "", false
	case p.Leader && d.Kind == Morning:
		return AllIn, !j.anybodyOwes(d) && !j.anybodyAway()
	case pb == nil || !pb.Active:
		return NotDiving, true
	}
	return Answered, true
}

// owes tells whether a person owes something that an analyser or an answer
// settles; between dives only for the dive to come.
func (j *judge) owes(pb *roster.PersonBoard, d Due) bool {
	if pb == nil || !pb.Active || pb.Left {
		return false
	}
	for _, o := range pb.Owes {
		if o.Reminds() && j.concerns(o, d) {
			return true
		}
	}
	return false
}

func (j *judge) concerns(o roster.Owed, d Due) bool {
	if d.Kind != SecondDive && d.Kind != BoatCheck {
		return true
	}
	_, c := j.t.Cylinder(o.Cylinder)
	return c == nil || c.Dive == d.Dive
}

// anybodyOwes tells whether there is something for leaders and group to hear
// of: any active person without a complete set of readings, also those who
// left or can't be written to.
func (j *judge) anybodyOwes(Due) bool {
	for i := range j.board.People {
		if pb := &j.board.People[i]; pb.Active && len(pb.Owes) > 0 {
			return true
		}
	}
	return false
}

// anybodyAway tells whether an active person has not joined or can't be
// written to.
func (j *judge) anybodyAway() bool {
	for i := range j.board.People {
		p := j.t.Person(j.board.People[i].Person)
		if j.board.People[i].Active && (p.Joined.IsZero() || p.Unreachable != "") {
			return true
		}
	}
	return false
}

func (j *judge) why(d Due) Reason {
	switch {
	case d.Kind == Turn:
		return TurnOver
	case d.Kind == Evening:
		return Everybody
	case d.Person != Group && d.Kind != Escalate && d.Kind != BoatBehind && j.owes(j.board.Of(d.Person), d):
		return Owes
	}
	return OthersOwe
}
