package roster_test

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// secondDive is what the board says of a person's second dive.
func secondDive(tb testing.TB, t *roster.Trip, p roster.PersonID) gas.Numbers {
	tb.Helper()
	for _, n := range line(tb, t, p, at(40)).Verdict.Numbers {
		if n.Dive == 2 {
			return n
		}
	}
	tb.Fatal("no second dive")
	return gas.Numbers{}
}

// signed is the charter with dive 1 signed off.
func signed(tb testing.TB) *roster.Trip {
	t := ready()
	signOff(tb, t, at(34))
	return t
}

// TestASignedDiveStillCounts: the second dive is the same before and after the
// first is signed off, and shorter than without it.
func TestASignedDiveStillCounts(t *testing.T) {
	before, after := secondDive(t, ready(), tomasz), secondDive(t, signed(t), tomasz)
	if before.NoStop != after.NoStop || before.CNS != after.CNS || !after.CNS.Known {
		t.Errorf("before: %+v, %v; after: %+v, %v", before.NoStop, before.CNS, after.NoStop, after.CNS)
	}
	alone := gas.Place{}.NoStopTime(35.8, gas.M(18), 85)
	if after.NoStop.Minutes >= alone.Minutes {
		t.Errorf("%v min after a dive, %v without", after.NoStop.Minutes, alone.Minutes)
	}
}

// TestWhatWasDivedCounts: a longer first dive leaves less time for the second,
// for the person it is entered for.
func TestWhatWasDivedCounts(t *testing.T) {
	trip := signed(t)
	plan, other := secondDive(t, trip, tomasz), secondDive(t, trip, marit)
	trip.SetDived(1, roster.Dived{Person: tomasz, Depth: gas.M(33), Minutes: 30, By: ines}, at(35))
	if got := secondDive(t, trip, tomasz); got.NoStop.Minutes >= plan.NoStop.Minutes || got.CNS.Value <= plan.CNS.Value {
		t.Errorf("dived: %+v, %v; planned: %+v, %v", got.NoStop, got.CNS, plan.NoStop, plan.CNS)
	}
	if got := secondDive(t, trip, marit); got.NoStop != other.NoStop {
		t.Errorf("somebody else: got %+v, want %+v", got.NoStop, other.NoStop)
	}
}

func TestWhoSatOutTheFirstDiveStartsFresh(t *testing.T) {
	trip := ready()
	trip.SitOut(tomasz, ines, "cold", at(20))
	signOff(t, trip, at(34))
	trip.SetDived(1, roster.Dived{Depth: gas.M(30), Minutes: 22, By: ines}, at(112))
	trip.BackIn(tomasz, ines, "warm again", at(115))
	want := gas.Place{}.NoStopTime(35.8, gas.M(18), 85)
	if got := secondDive(t, trip, tomasz).NoStop; got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestWhoDivedYesterdayGetsNoTimes(t *testing.T) {
	trip := ready()
	trip.SetDivedBefore(tomasz, "yes", at(20))
	if got := secondDive(t, trip, tomasz); got.NoStop.State != gas.NoStopUnknown || got.CNS.Known {
		t.Errorf("got %+v, %v", got.NoStop, got.CNS)
	}
}

// TestTheRequestCheckKnowsTheDivesBefore: by what was read for them, or else
// asked for.
func TestTheRequestCheckKnowsTheDivesBefore(t *testing.T) {
	blank := charter() // 32 asked for dive 1, nothing read
	got := blank.Preview(tomasz, "c5", 36, at(0)).Numbers[0].NoStop
	if alone := (gas.Place{}).NoStopTime(36, gas.M(18), 85); got.State != gas.NoStopLimited || got.Minutes >= alone.Minutes {
		t.Errorf("got %+v, %v without a dive before", got, alone.Minutes)
	}
	lean := charter()
	read(lean, "c4", 28, tomasz, at(1))
	if after := lean.Preview(tomasz, "c5", 36, at(2)).Numbers[0].NoStop; after.Minutes >= got.Minutes {
		t.Errorf("after 28 %% read: %v min, after 32 %% asked: %v", after.Minutes, got.Minutes)
	}
}

func TestLeanestForTime(t *testing.T) {
	trip := charter() // 30 m for 22 min
	if got, ok := trip.LeanestForTime(trip.Person(tomasz), 1); got != 30 || !ok {
		t.Errorf("got %v, %v; want 30", got, ok)
	}
	trip.SetDepth(tomasz, gas.M(18), ines, "", at(0))
	if got, ok := trip.LeanestForTime(trip.Person(tomasz), 1); got != 21 || !ok {
		t.Errorf("at 18 m: got %v, %v; want 21", got, ok)
	}
	trip.SetDivedBefore(tomasz, "yes", at(1))
	if _, ok := trip.LeanestForTime(trip.Person(tomasz), 1); ok {
		t.Error("dived yesterday: got a time")
	}
}
