// Package reminders decides whom to remind, when and why. The decision is pure:
// it looks at a trip and a time and gives a reason with every answer, also for
// what is not sent. The runner drives it from the stored wake-ups.
package reminders

import (
	"time"

	"gasmuster/internal/roster"
)

// Kind is what a reminder is about.
type Kind string

// The scheduled moments of a trip's day.
const (
	Evening    Kind = "evening"     // to everybody: the plan, the request, the table to keep
	Morning    Kind = "morning"     // to those who owe a reading
	Nudge      Kind = "nudge"       // again, to those who still owe one
	Escalate   Kind = "escalate"    // to the leaders: who still owes one
	BoatCheck  Kind = "boat-check"  // the boat check is open and a person owes an answer or a reading
	SecondDive Kind = "second-dive" // between dives: the next cylinder
	Turn       Kind = "turn"        // a turn at the analyser is over
)

// Due is one scheduled message to one person (or, for Turn, to nobody).
type Due struct {
	Kind   Kind
	Person roster.PersonID
	Key    string    // unique for kind, person and slot; what Trip.Reminded remembers
	At     time.Time // when it is due
}

// Action is what to do with a due message.
type Action string

// Send it, drop it for good, or hold it until Until.
const (
	Send Action = "send"
	Drop Action = "drop"
	Hold Action = "hold"
)

// Decision is what is to be done with a due message now, and why.
type Decision struct {
	Due
	Action Action
	Until  time.Time // for Hold
	Reason string    // a word of this package: "owes", "answered", "too-late", "quiet-hours", ...
}

// Decide looks at everything due at now that was not decided before, in order.
// Send and Drop are final: the caller puts Key into Trip.Reminded.
func Decide(t *roster.Trip, now time.Time) []Decision { return nil }

// Next is the earliest instant after which Decide may have something to say,
// zero for never.
func Next(t *roster.Trip, now time.Time) time.Time { return time.Time{} }
