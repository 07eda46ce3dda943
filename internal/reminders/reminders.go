// Package reminders decides whom to remind, when and why. The decision is pure:
// it looks at a trip and a time and gives a reason with every answer, also for
// what is not sent. The runner drives it from the stored wake-ups.
//
//	Plan(trip)         everything that this trip, as it is now, will have to say
//	Decide(trip, now)  what of it is due, not decided before: send, drop, or hold
//	Remember           notes a decision in the trip; it is committed with the letters
//	Next(trip, now)    when to look again: the trip's one stored wake-up
//
// Nothing is ever cancelled: the plan is derived from the trip's state each
// time, so a reading, a sit-out or a moved departure changes it by itself.
//
// When each kind is due, and until when a process that was down still sends it:
//
//	evening      cron expression on the day before departure, or when the shop      2 h before departure
//	             announces the trip (then at any hour of the day)
//	ready        the cylinders can be analysed: roster.Trip.ReadyAt                 20 min before departure
//	nudge        45 min before departure                                            20 min before
//	last         20 min before departure; the leaders hear who owes what            departure
//	boat-check   10 min after the boat check was opened; the leaders at 20 min      20 min; an hour after opening
//	second-dive  the dive before was entered; else half the surface interval        the next dive's start
//	turn         5 min at the analyser while others wait                            -
//
// Later than that it is dropped as too late. Quiet hours hold what is due before
// departure until they end, at the latest 45 minutes before it. Nobody is nudged
// twice within fifteen minutes, whether by the clock or by a leader. These times
// are common practice on day boats, no source.
package reminders

import (
	"slices"
	"strings"
	"time"

	"gasmuster/internal/roster"
)

// Kind is what a reminder is about.
type Kind string

// The scheduled moments of a trip's day.
const (
	Evening    Kind = "evening"     // to everybody: the plan, the request, the table to keep
	Ready      Kind = "ready"       // the cylinders are there: to those who owe a reading
	Nudge      Kind = "nudge"       // again, to those who still owe one; the linked group: who does
	Last       Kind = "last"        // for the last time, to those who do not lead; the linked group: who does
	Escalate   Kind = "escalate"    // to the leaders: who still owes one
	BoatCheck  Kind = "boat-check"  // the boat check is open and a person owes an answer or a reading
	BoatBehind Kind = "boat-behind" // to the leaders: who still owes one in the boat check
	SecondDive Kind = "second-dive" // between dives: the next cylinder
	Turn       Kind = "turn"        // a turn at the analyser is over
)

// NewsWait is what Trip.Reminded holds while news for the leaders wait, so that
// what comes within a minute is one message: until when.
const NewsWait = "news-wait"

// Group stands for the linked group chat where a person would stand.
const Group roster.PersonID = "group"

// Due is one scheduled message to one person, to the linked group chat, or
// (for Turn) to nobody.
type Due struct {
	Kind   Kind
	Person roster.PersonID
	Key    string    // unique for kind, person and slot; what Trip.Reminded remembers
	At     time.Time // when it is due
	Until  time.Time // from when it is too late; zero for never
	Dive   int       // the dive it is about

	slot      string // the last part of Key
	announced bool   // asked for by the shop: not held by quiet hours
	said      string // what Trip.Reminded remembers beside Key when it was sent
}

// Action is what to do with a due message.
type Action string

// Send it, drop it for good, or hold it until Until.
const (
	Send Action = "send"
	Drop Action = "drop"
	Hold Action = "hold"
)

// Reason is why a due message is sent, dropped or held.
type Reason string

// The reasons.
const (
	Everybody  Reason = "everybody"   // send: it goes to everyone
	Owes       Reason = "owes"        // send: this person owes something
	OthersOwe  Reason = "others-owe"  // send: a leader or the group hears who does
	TurnOver   Reason = "turn-over"   // send: the turn goes to the next
	Answered   Reason = "answered"    // drop: owes nothing
	AllIn      Reason = "all-in"      // drop: nobody owes anything
	TooLate    Reason = "too-late"    // drop: it makes no sense any more
	SaidBefore Reason = "said-before" // drop: the same was said before, or just now
	SitsOut    Reason = "sits-out"    // drop: was sat out
	HasLeft    Reason = "left"        // drop: left, was removed or erased
	NotDiving  Reason = "not-diving"  // drop: is on the trip without a cylinder
	SignedOff  Reason = "signed-off"  // drop: that dive is signed or dived
	TripOver   Reason = "over"        // drop: the trip is over
	QuietHours Reason = "quiet-hours" // hold
	NotJoined  Reason = "not-joined"  // hold (evening) or drop: has not opened the invite
	CantReach  Reason = "unreachable" // hold (evening) or drop: the last message did not arrive
)

// Decision is what is to be done with a due message now, and why.
type Decision struct {
	Due
	Action Action
	Wait   time.Time // for Hold: until when, unless the trip changes
	Reason Reason
}

// Decide looks at everything due at now that was not decided before, in order.
// Send and Drop are final: the caller notes them with Remember.
func Decide(t *roster.Trip, now time.Time) []Decision {
	var due []Due
	for _, d := range Plan(t, now) {
		if _, decided := t.Reminded[d.Key]; !decided && !d.At.After(now) {
			due = append(due, d)
		}
	}
	if len(due) == 0 {
		return nil
	}
	j := newJudge(t, now)
	decisions := make([]Decision, 0, len(due))
	for _, d := range due {
		decisions = append(decisions, j.decide(d))
	}
	return decisions
}

// Remember notes a final decision in the trip, so that it is not made again. A
// decision to hold is not noted.
func Remember(draft *roster.Draft, d Decision, now time.Time) {
	if d.Action == Hold {
		return
	}
	draft.Remind(d.Key, now)
	if d.Action == Send && d.said != "" {
		draft.Remind(d.said, now)
	}
}

// Next is the earliest instant at which Decide may have something final to
// say, zero for never. It may lie in the past: then that is at once.
func Next(t *roster.Trip, now time.Time) time.Time {
	next := t.Reminded[NewsWait]
	if told := t.Untold.Due(); !told.IsZero() && (next.IsZero() || told.Before(next)) {
		next = told
	}
	var key []byte
	eachDue(t, now, func(p *planner, d *Due) {
		key = d.appendKey(key[:0])
		if _, decided := t.Reminded[string(key)]; decided {
			return
		}
		at := d.At
		if wait, _, held := held(t, *d, latest(now, d.At)); held {
			at = wait
		}
		if next.IsZero() || at.Before(next) {
			next, p.until = at, at // what is due later is of no interest, and what is held comes later still
		}
	})
	return next
}

// Nudged is when somebody was last asked for what they owe, by the clock or by a
// leader; zero for never.
func Nudged(t *roster.Trip, p roster.PersonID) time.Time {
	return latest(t.Reminded[saidNudge+string(p)], t.Reminded[leaderNudge+string(p)])
}

// NudgedByHand notes that a leader asked somebody for what they owe.
func NudgedByHand(d *roster.Draft, p roster.PersonID, now time.Time) {
	d.Remind(leaderNudge+string(p), now)
}

// Announced is when the evening-before message to a person was last decided to
// be sent, by the clock or at the shop's word; zero for never.
func Announced(t *roster.Trip, p roster.PersonID) time.Time {
	var last time.Time
	for key, at := range t.Reminded {
		if key == "said:announced:"+string(p) || strings.HasPrefix(key, "said:evening:"+string(p)+":") {
			last = latest(last, at)
		}
	}
	return last
}

// togetherWithin is how long before the evening's message somebody who joins gets
// it with the welcome: what was just said is not said again.
const togetherWithin = 6 * time.Hour

// TakeEvening tells whether somebody who joins now gets the evening-before message
// with the welcome, and notes that they did.
func TakeEvening(d *roster.Draft, p roster.PersonID, now time.Time) bool {
	taken := false
	for _, due := range Plan(d.Trip, now) {
		_, decided := d.Reminded[due.Key]
		if due.Kind == Evening && due.Person == p && !decided && due.At.Sub(now) <= togetherWithin && now.Before(due.Until) {
			Remember(d, Decision{Due: due, Action: Send}, now)
			taken = true
		}
	}
	return taken
}

// Renew forgets that the evening-before message was sent to a person: it went
// to a phone that was cut off, and comes again when the person joins.
func Renew(d *roster.Draft, p roster.PersonID) {
	d.RemindAgain(func(key string) bool {
		return strings.HasPrefix(key, string(Evening)+":"+string(p)+":") ||
			strings.HasPrefix(key, "said:evening:"+string(p)+":") ||
			key == "said:announced:"+string(p)
	})
}

func latest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// sortDue puts what is due first first; what is due at the same time stays in
// the order of the kinds above and of the trip's people.
func sortDue(due []Due) {
	slices.SortStableFunc(due, func(a, b Due) int { return a.At.Compare(b.At) })
}
