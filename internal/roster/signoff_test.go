package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestSignOff(t *testing.T) {
	trip := ready()
	trip.OpenBoat(ines, at(30))
	if _, ok := trip.SignOff(ines, at(31)); ok {
		t.Fatal("signed with boat questions unanswered")
	}
	trip.Attend("c4", roster.Kept, tomasz, at(31))
	trip.Attend("c6", roster.OutOfSight, marit, at(31))
	refused, ok := trip.SignOff(ines, at(32))
	if ok || len(refused) != 1 || refused[0].Person != marit || refused[0].Status != gas.NoReading {
		t.Fatalf("one reading owed: got ok %v, refused because of %+v", ok, refused)
	}
	read(trip, "c6", 31.8, marit, at(33))
	signOff(t, trip, at(34))
	if trip.CurrentDive() != 2 || trip.Stage() != gas.Dock || !trip.BoatOpen.IsZero() {
		t.Errorf("after signing dive 1: dive %d, stage %v", trip.CurrentDive(), trip.Stage())
	}
	s := trip.SignOffs[0]
	if s.Dive != 1 || s.By != ines || !s.At.Equal(at(34)) || s.Board.Counts.Go != 2 || s.Board.Dive != 1 {
		t.Errorf("signed as %+v", s)
	}
	for _, pb := range s.Board.People {
		if got := pb.Verdict.StatusLifted(); pb.Active && got != pb.Status {
			t.Errorf("%s: the findings kept come to %v, the board says %v", pb.Person, got, pb.Status)
		}
	}
	signOff(t, trip, at(100))
	if trip.CurrentDive() != 0 {
		t.Errorf("after the last dive: current dive %d, want 0", trip.CurrentDive())
	}
	if b := trip.Board(at(101)); b.Dive != 0 || b.Counts != trip.SignOffs[1].Board.Counts || b.Status != trip.SignOffs[1].Board.Status {
		t.Errorf("board after the last signature: %+v", b.Counts)
	}
	if refused, ok := trip.SignOff(ines, at(102)); ok || refused != nil {
		t.Error("nothing left to sign: got signed")
	}
}

func TestNobodyActiveIsNotSigned(t *testing.T) {
	trip := ready()
	trip.SitOut(tomasz, ines, "cold", at(1))
	trip.SitOut(marit, ines, "cold", at(1))
	if b := trip.Board(at(2)); b.Status != gas.NoReading || b.Counts.Out != 2 || b.Counts.Active != 0 {
		t.Errorf("board without an active diver: %v, %+v", b.Status, b.Counts)
	}
	if refused, ok := trip.SignOff(ines, at(2)); ok || len(refused) != 0 {
		t.Errorf("signed %v, refused because of %v", ok, refused)
	}
}

// Late news on a signed dive reopens it, with name, time and reason; what was
// signed stays in the record.
func TestLateNewsReopens(t *testing.T) {
	for name, tt := range map[string]struct {
		do   func(*roster.Trip)
		why  string
		by   roster.PersonID
		open bool
	}{
		"a reading":    {func(tr *roster.Trip) { read(tr, "c4", 32, tomasz, at(60)) }, roster.VerbReading, tomasz, true},
		"an undo":      {func(tr *roster.Trip) { tr.Undo("r11", tomasz, at(60)) }, roster.VerbUndo, tomasz, true},
		"a correction": {func(tr *roster.Trip) { tr.Correct("r11", 34, tomasz, at(60), at(60)) }, roster.VerbCorrect, tomasz, true},
		"a fill":       {func(tr *roster.Trip) { tr.Fill("c4", at(60), "", at(60)) }, roster.VerbFill, "", true},
		"a swap":       {func(tr *roster.Trip) { tr.Swap("c4", ines, "valve", at(60)) }, roster.VerbSwap, ines, true},
		"a new site": {func(tr *roster.Trip) {
			tr.SetDive(1, roster.Dive{Site: "Lime Kiln Wall", Depth: gas.M(33)}, ines, "swell", at(60))
		}, roster.VerbSite, ines, true},
		"a set depth":            {func(tr *roster.Trip) { tr.SetDepth(tomasz, gas.M(20), ines, "ears", at(60)) }, roster.VerbLimit, ines, true},
		"a sit-out":              {func(tr *roster.Trip) { tr.SitOut(tomasz, ines, "cold", at(60)) }, roster.VerbOut, ines, true},
		"an air point":           {func(tr *roster.Trip) { tr.SetAirPoint("A", 19, tomasz, at(60)) }, roster.VerbAirPoint, tomasz, true},
		"a label":                {func(tr *roster.Trip) { tr.SetLabel("c4", "17", tomasz, at(60)) }, roster.VerbLabel, tomasz, true},
		"a request":              {func(tr *roster.Trip) { tr.SetAsked("c4", 30, tomasz, at(60)) }, roster.VerbAsked, tomasz, true},
		"one more cylinder":      {func(tr *roster.Trip) { tr.AddCylinder(ines, 1, 21, ines, at(60)) }, roster.VerbCylinder, ines, true},
		"the second cylinder":    {func(tr *roster.Trip) { read(tr, "c5", 36, tomasz, at(60)) }, "", "", false},
		"leaving":                {func(tr *roster.Trip) { tr.Leave(tomasz, tomasz, "", at(60)) }, "", "", false},
		"forgetting":             {func(tr *roster.Trip) { tr.Erase(tomasz, at(60)) }, "", "", false},
		"what was dived":         {func(tr *roster.Trip) { tr.SetDived(1, roster.Dived{Depth: gas.M(28), Minutes: 20, By: ines}, at(60)) }, "", "", false},
		"the same site":          {func(tr *roster.Trip) { tr.SetDive(1, tr.Dives[0], ines, "", at(60)) }, "", "", false},
		"a depth, once dived":    {func(tr *roster.Trip) { tr.SetDepth(tomasz, gas.M(16), ines, "ears", at(600)) }, "", "", false},
		"a joining phone":        {func(tr *roster.Trip) { tr.Join(tomasz, roster.Address{Channel: "telegram", ID: "1"}, "pl", at(60)) }, "", "", false},
		"a departure a day on":   {func(tr *roster.Trip) { tr.SetDeparture(departs.Add(24*time.Hour), "", at(60)) }, roster.VerbDeparture, "", true},
		"a departure an hour on": {func(tr *roster.Trip) { tr.SetDeparture(departs.Add(time.Hour), "", at(60)) }, "", "", false},
	} {
		t.Run(name, func(t *testing.T) {
			trip := ready()
			trip.OpenBoat(ines, at(30))
			trip.Attend("c4", roster.Kept, tomasz, at(31))
			trip.Attend("c6", roster.Kept, marit, at(31))
			signOff(t, trip, at(40))
			signed := trip.SignOffs[0].Board.Counts
			tt.do(trip)
			s := trip.SignOffs[0]
			if got := s.Reopened != nil; got != tt.open {
				t.Fatalf("reopened: got %v, want %v", got, tt.open)
			}
			if s.Board.Counts != signed || len(trip.SignOffs) != 1 {
				t.Errorf("the signed version changed: %+v", s.Board.Counts)
			}
			if !tt.open {
				return
			}
			if s.Reopened.Reason != tt.why || s.Reopened.By != tt.by || !s.Reopened.At.Equal(at(60)) {
				t.Errorf("reopened as %+v, want %s by %q", s.Reopened, tt.why, tt.by)
			}
			if trip.CurrentDive() != 1 || trip.Stage() != gas.Boat {
				t.Errorf("reopened: dive %d, stage %v; want dive 1, and its boat check open as it was", trip.CurrentDive(), trip.Stage())
			}
		})
	}
}

// What was dived is news for the next dive, when that was signed on the plan.
func TestWhatWasDivedReopensTheNext(t *testing.T) {
	trip := ready()
	signOff(t, trip, at(40))
	signOff(t, trip, at(41))
	trip.SetDived(1, roster.Dived{Depth: gas.M(30), Minutes: 24, By: ines}, at(120))
	if trip.SignOffs[0].Reopened != nil || trip.SignOffs[1].Reopened == nil || trip.CurrentDive() != 2 {
		t.Errorf("dive 1 reopened: %v, dive 2: %v; want dive 2 only", trip.SignOffs[0].Reopened, trip.SignOffs[1].Reopened)
	}
}

func TestReopenAndSignAgain(t *testing.T) {
	trip := ready()
	if trip.Reopen(ines, "x", at(1)) {
		t.Error("reopened what was never signed")
	}
	signOff(t, trip, at(40))
	trip.OpenBoat(ines, at(50)) // of dive 2
	if !trip.Reopen(ines, "forgot Kenji", at(60)) {
		t.Fatal("not reopened")
	}
	if trip.Stage() != gas.Dock {
		t.Error("the boat check of dive 1 was never opened: got stage boat")
	}
	signOff(t, trip, at(61))
	if trip.Stage() != gas.Boat {
		t.Error("dive 2's boat check was open before: got stage dock")
	}
	if len(trip.SignOffs) != 2 || trip.SignOffs[0].Reopened.Reason != "forgot Kenji" || trip.SignOffs[1].Reopened != nil {
		t.Errorf("both versions: got %+v", trip.SignOffs)
	}
}

func TestOver(t *testing.T) {
	trip := ready()
	if trip.Over(departs.Add(25*time.Hour)) || !trip.Over(departs.Add(27*time.Hour)) {
		t.Error("an unsigned trip is over a day after its last dive's start (82 minutes after departure)")
	}
	signOff(t, trip, at(60))
	signOff(t, trip, at(61))
	// by plan the last dive ends 2:02 h after departure: 10:32
	if trip.Over(departs.Add(3 * time.Hour)) {
		t.Error("signed, within an hour of the last dive's end: got over; late news must still reopen it")
	}
	if !trip.Over(departs.Add(3*time.Hour + 3*time.Minute)) {
		t.Error("signed, an hour after the last dive's end: got not over")
	}
}

func TestStarts(t *testing.T) {
	trip := charter()
	for n, want := range map[int]time.Duration{1: 0, 2: 82 * time.Minute} {
		if got := trip.Starts(n); !got.Equal(departs.Add(want)) {
			t.Errorf("dive %d starts %v after departure, want %v", n, got.Sub(departs), want)
		}
	}
	trip.Dives[0].Minutes = 0
	if got := trip.Starts(2); !got.Equal(departs.Add(2 * time.Hour)) {
		t.Errorf("a dive without a time counts as an hour: got %v", got.Sub(departs))
	}
	if got := trip.Starts(9); got.Before(trip.Starts(2)) {
		t.Errorf("a dive that does not exist starts at %v", got)
	}
}
