package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// A clock that was set back an hour changes no verdict, and what is noted
// since comes after what was noted before.
func TestClockSetBack(t *testing.T) {
	back := func(minutes int) time.Time { return at(minutes).Add(-time.Hour) }

	t.Run("verdicts stay", func(t *testing.T) {
		trip := ready()
		before, after := line(t, trip, tomasz, at(10)), line(t, trip, tomasz, back(10))
		if before.Status != after.Status || len(before.Owes) != len(after.Owes) {
			t.Errorf("got %v, owes %v, want as before: %v, owes %v", after.Status, after.Owes, before.Status, before.Owes)
		}
	})
	t.Run("a fill voids what was read and measured", func(t *testing.T) {
		trip := ready()
		trip.SetCO("c4", 2, ines, at(8))
		trip.Fill("c4", back(10), ines, back(10))
		c := cylinder(t, trip, "c4")
		if c.Current() != nil {
			t.Error("a reading of the old gas counts for the new")
		}
		if f := c.Filled().At; c.CO.At.After(f) {
			t.Errorf("carbon monoxide measured at %v counts for a fill at %v", c.CO.At, f)
		}
		read(trip, "c4", 31.8, tomasz, back(12))
		if got := c.Current(); got == nil || got.Percent != 31.8 {
			t.Errorf("read after the fill: got %v, want 31.8 to count", got)
		}
	})
	t.Run("a second fill is the last", func(t *testing.T) {
		trip := ready()
		trip.Fill("c4", at(10), ines, at(10))
		trip.Fill("c4", time.Time{}, ines, back(12))
		read(trip, "c4", 31.8, tomasz, back(14))
		if cylinder(t, trip, "c4").Current() == nil {
			t.Error("read after the second fill: the first, an hour ahead, voids it")
		}
	})
	t.Run("a fill told with its time leaves what was read after it", func(t *testing.T) {
		trip := ready()
		trip.Fill("c4", at(-5), ines, at(10))
		if cylinder(t, trip, "c4").Current() == nil {
			t.Error("read after the fill, told late: void")
		}
	})
	t.Run("a turn at the analyser lasts five minutes", func(t *testing.T) {
		trip := charter()
		trip.Analysers = trip.Analysers[:1]
		trip.QueueUp(tomasz, at(0))
		trip.QueueUp(marit, at(0))
		trip.NextTurns(at(0))
		if got := trip.NextTurns(back(1)); len(got) > 0 {
			t.Errorf("at once after the step: %v", got)
		}
		got := trip.NextTurns(back(6))
		if len(got) != 1 || got[0] != (roster.NewTurn{Person: marit, Analyser: "A"}) {
			t.Errorf("five minutes later: got %v, want Marit's turn", got)
		}
	})
}
