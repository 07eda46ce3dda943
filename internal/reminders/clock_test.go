package reminders

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// A clock that is set back an hour repeats nothing, and keeps back nothing
// that is due for the first time; set forward again, neither.
func TestClockSetBack(t *testing.T) {
	trip := saturday()
	tick(trip, at("14 18:00"))
	if got := sends(tick(trip, at("15 07:00"))); len(got) != 3 {
		t.Fatalf("the cylinders are there: %v", got)
	}
	NudgedByHand(trip, who(trip, "Tomasz").ID, at("15 07:30")) // by the clock of then
	for _, now := range []string{"15 06:05", "15 06:30", "15 07:00", "15 07:01"} {
		if got := sends(tick(trip, at(now))); len(got) > 0 {
			t.Errorf("set back to %s: %v is said again", now, got)
		}
	}
	// The departure moves: a nudge is due for the first time, and those of before
	// the step lie 40 and, for Tomasz, 70 minutes ahead.
	trip.SetDeparture(at("15 07:04"), "", at("15 06:20"))
	got := sends(tick(trip, at("15 06:20")))
	if len(got) != 3 || !strings.HasPrefix(got[0], "ready") {
		t.Errorf("due for the first time: %v, want all three nudged", got)
	}
}

// A trip that could not be woken is tried again soon also when the clock was
// set back meanwhile.
func TestRunnerAfterTheClockWasSetBack(t *testing.T) {
	now := at("15 08:00")
	fails := true
	var woken int
	p := &port{due: map[roster.TripID]time.Time{"a": {}}, wake: func(roster.TripID) error {
		if fails {
			return errors.New("no trip")
		}
		woken++
		return nil
	}}
	r := &Runner{Port: p, Now: func() time.Time { return now }}
	r.Beat(context.Background())
	fails = false
	r.Beat(context.Background())
	if woken > 0 {
		t.Fatal("woken again at once")
	}
	now = now.Add(-time.Hour)
	r.Beat(context.Background())
	if woken != 1 {
		t.Error("set back an hour: not woken, want it tried again")
	}
}
