package roster_test

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestRecord(t *testing.T) {
	trip := charter()
	trip.SetAirPoint("A", 20.9, tomasz, at(0))
	r := trip.Record("c4", roster.Reading{Percent: 32.1, At: at(1), Ref: "m1", By: tomasz, Analyser: "a"}, at(2))
	if r == nil || r.ID == "" || r.Stage != gas.Dock || r.Dive != 1 || r.Entrant != gas.ByDiver || r.AirPoint != 20.9 || r.Replaces != "" {
		t.Errorf("recorded as %+v", r)
	}
	if trip.Record("c99", roster.Reading{Percent: 32}, at(2)) != nil {
		t.Error("an unknown cylinder: got a reading, want none")
	}
	if got := trip.Record("c4", roster.Reading{Percent: 32, At: at(5)}, at(5)); got.Entrant != gas.ByShop {
		t.Errorf("a reading by nobody on the trip: got %q, want the shop's", got.Entrant)
	}
	trip.OpenBoat(ines, at(10))
	if got := read(trip, "c4", 32, tomasz, at(11)); got.Stage != gas.Boat {
		t.Errorf("after the boat check opened: got stage %v", got.Stage)
	}
	a := trip.Acts[len(trip.Acts)-1]
	if a.Verb != roster.VerbReading || a.By != tomasz || a.On != "c4" || a.Detail["percent"] != "32" || a.Detail["stage"] != "boat" || !a.At.Equal(at(11)) {
		t.Errorf("noted as %+v", a)
	}
}

// What a reading stands in for decides whether a correction has to be shown
// again; it must not be talked away in small steps.
func TestReplaced(t *testing.T) {
	for _, tt := range []struct {
		name string
		do   func(*roster.Trip)
		want gas.Percent
	}{
		{"a first reading", func(tr *roster.Trip) { read(tr, "c4", 36, tomasz, at(1)) }, 0},
		{"analysed again", func(tr *roster.Trip) {
			read(tr, "c4", 36, tomasz, at(1))
			read(tr, "c4", 32, tomasz, at(2))
		}, 0},
		{"corrected", func(tr *roster.Trip) {
			tr.Correct(read(tr, "c4", 36, tomasz, at(1)).ID, 32, tomasz, at(2), at(2))
		}, 36},
		{"undone and entered anew", func(tr *roster.Trip) {
			tr.Undo(read(tr, "c4", 36, tomasz, at(1)).ID, tomasz, at(2))
			read(tr, "c4", 32, tomasz, at(30))
		}, 36},
		{"in small steps", func(tr *roster.Trip) {
			r := read(tr, "c4", 36, tomasz, at(1))
			for p := gas.Percent(35.5); p >= 32; p -= 0.5 {
				r = tr.Correct(r.ID, p, tomasz, at(2), at(2))
			}
		}, 36},
		{"up and down", func(tr *roster.Trip) {
			r := tr.Correct(read(tr, "c4", 32, tomasz, at(1)).ID, 36, tomasz, at(2), at(2))
			tr.Correct(r.ID, 32, tomasz, at(3), at(3))
		}, 36},
		{"the richer of two taken back", func(tr *roster.Trip) {
			r := read(tr, "c4", 36, tomasz, at(1))
			read(tr, "c4", 32, tomasz, at(2))
			tr.Undo(r.ID, tomasz, at(3))
		}, 36},
		{"correcting a value that was replaced meanwhile", func(tr *roster.Trip) {
			r := read(tr, "c4", 36, tomasz, at(1))
			tr.Correct(r.ID, 34, tomasz, at(2), at(2))
			tr.Correct(r.ID, 32, tomasz, at(3), at(3))
		}, 36},
		{"then analysed afresh", func(tr *roster.Trip) {
			tr.Correct(read(tr, "c4", 36, tomasz, at(1)).ID, 32, tomasz, at(2), at(2))
			read(tr, "c4", 32.1, tomasz, at(3))
		}, 0},
		{"undone before the fill", func(tr *roster.Trip) {
			tr.Undo(read(tr, "c4", 36, tomasz, at(1)).ID, tomasz, at(2))
			tr.Fill("c4", at(3), ines, at(3))
			read(tr, "c4", 32, tomasz, at(4))
		}, 0},
		{"undone at the dock, read on the boat", func(tr *roster.Trip) {
			tr.Undo(read(tr, "c4", 36, tomasz, at(1)).ID, tomasz, at(2))
			tr.OpenBoat(ines, at(3))
			read(tr, "c4", 32, tomasz, at(4))
		}, 0},
		{"moved to the other cylinder", func(tr *roster.Trip) {
			tr.MoveReading(read(tr, "c4", 36, tomasz, at(1)).ID, "c5", tomasz, at(2))
			read(tr, "c4", 32, tomasz, at(3))
		}, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trip := charter()
			tt.do(trip)
			c := cylinder(t, trip, "c4")
			cur := c.Current()
			if cur == nil {
				t.Fatal("no current reading")
			}
			if got := c.Replaced(cur); got != tt.want {
				t.Errorf("the current reading stands in for %v, want %v", got, tt.want)
			}
		})
	}
}

// 36 % at 30 m is a no-go (MOD 28.9 m, NOAA's 1.4 atm with 10 m to one
// atmosphere); no way of taking it back makes a go of it without a fresh
// analysis or the leader watching.
func TestANoGoIsNotCorrectedAway(t *testing.T) {
	for name, away := range map[string]func(*roster.Trip, *roster.Reading){
		"corrected": func(tr *roster.Trip, r *roster.Reading) { tr.Correct(r.ID, 32.1, tomasz, at(2), at(2)) },
		"undone": func(tr *roster.Trip, r *roster.Reading) {
			tr.Undo(r.ID, tomasz, at(2))
			read(tr, "c4", 32.1, tomasz, at(3))
		},
		"overtaken and undone": func(tr *roster.Trip, r *roster.Reading) {
			read(tr, "c4", 32.1, tomasz, at(2))
			tr.Undo(r.ID, tomasz, at(3))
		},
	} {
		t.Run(name, func(t *testing.T) {
			trip := ready()
			trip.Undo(cylinder(t, trip, "c4").Current().ID, tomasz, at(0))
			r := read(trip, "c4", 36, tomasz, at(1))
			away(trip, r)
			if got := line(t, trip, tomasz, at(4)); got.Own != gas.NoReading || len(got.Owes) == 0 || got.Owes[0].Why != string(gas.RuleImproved) {
				t.Fatalf("got %v, owing %v; want no reading because of the correction", got.Own, got.Owes)
			}
			trip.Record("c4", roster.Reading{Percent: 32.1, At: at(9), Ref: "w", By: ines, Entrant: gas.Witnessed}, at(9))
			if got := line(t, trip, tomasz, at(10)); got.Own == gas.NoReading || got.Own == gas.NoGo {
				t.Errorf("after the leader watched: got %v, owing %v", got.Own, got.Owes)
			}
		})
	}
}

func TestCorrectionIsOfTheSameAnalysis(t *testing.T) {
	trip := charter()
	old := trip.Record("c4", roster.Reading{Percent: 23.4, At: at(0), Ref: "m1", By: tomasz, Analyser: "A"}, at(0))
	trip.Confirm(old.ID, gas.ShownDecimals, tomasz, at(1))
	trip.OpenBoat(ines, at(2))
	r := trip.Correct(old.ID, 32.4, tomasz, at(200), at(200))
	if r.Stage != gas.Dock || r.Analyser != "A" || r.Ref != "m1" || r.Shown != gas.ShownUnasked || !r.Taken.Equal(at(0)) || r.Replaces != old.ID {
		t.Errorf("correction came out as %+v", r)
	}
	if old.Undone.IsZero() || old.UndoneBy != tomasz || old.Percent != 23.4 {
		t.Errorf("the old value: got %+v, want it kept as undone", old)
	}
	if got := trip.ReadingsOf(tomasz, "m1"); len(got) != 1 || got[0] != r {
		t.Errorf("the message now stands for %v, want the correction", got)
	}
	acts := len(trip.Acts)
	if again := trip.Correct(r.ID, 32.4, tomasz, at(201), at(201)); again != r || len(trip.Acts) != acts {
		t.Errorf("the same value again: got %+v and %d new acts, want nothing new", again, len(trip.Acts)-acts)
	}
	if trip.Correct("r99", 32, tomasz, at(1), at(1)) != nil {
		t.Error("an unknown reading: got a correction")
	}
}

func TestOnlyALeadersCorrectionStaysWitnessed(t *testing.T) {
	trip := charter()
	w := trip.Record("c4", roster.Reading{Percent: 32, At: at(0), Ref: "m1", By: ines, Entrant: gas.Witnessed}, at(0))
	w = trip.Correct(w.ID, 32.2, ines, at(1), at(1))
	if w.Entrant != gas.Witnessed {
		t.Errorf("corrected by the leader: got %q", w.Entrant)
	}
	if d := trip.Correct(w.ID, 32.4, tomasz, at(2), at(2)); d.Entrant != gas.ByDiver {
		t.Errorf("corrected by the diver: got %q, want it no longer witnessed", d.Entrant)
	}
}

func TestHurried(t *testing.T) {
	type msg struct {
		c        roster.CylinderID
		by       roster.PersonID
		analyser string
		ref      string
		after    time.Duration
	}
	for _, tt := range []struct {
		name          string
		first, second msg
		want          bool
	}{
		{"one analyser, 14 s apart", msg{"c4", tomasz, "A", "1", 0}, msg{"c6", marit, "a", "2", 14 * time.Second}, true},
		{"15 s apart", msg{"c4", tomasz, "A", "1", 0}, msg{"c6", marit, "A", "2", 15 * time.Second}, false},
		{"arrived in the other order", msg{"c4", tomasz, "A", "1", 10 * time.Second}, msg{"c6", marit, "A", "2", 0}, true},
		{"one message", msg{"c4", tomasz, "A", "1", 0}, msg{"c5", tomasz, "A", "1", 0}, false},
		{"two analysers", msg{"c4", tomasz, "A", "1", 0}, msg{"c5", tomasz, "B", "2", 5 * time.Second}, false},
		{"no analyser, one person", msg{"c4", tomasz, "", "1", 0}, msg{"c5", tomasz, "", "2", 5 * time.Second}, true},
		{"no analyser, two people", msg{"c4", tomasz, "", "1", 0}, msg{"c6", marit, "", "2", 5 * time.Second}, false},
		{"one names it, one person", msg{"c4", tomasz, "A", "1", 0}, msg{"c5", tomasz, "", "2", 5 * time.Second}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trip := charter()
			send := func(m msg) *roster.Reading {
				return trip.Record(m.c, roster.Reading{Percent: 32, At: dawn.Add(m.after), Ref: m.ref, By: m.by, Analyser: m.analyser}, at(1))
			}
			if first := send(tt.first); first.Hurried {
				t.Error("the first message is in a hurry")
			}
			if second := send(tt.second); second.Hurried != tt.want {
				t.Errorf("got hurried %v, want %v", second.Hurried, tt.want)
			}
		})
	}
}

func TestNoHurry(t *testing.T) {
	soon := dawn.Add(5 * time.Second)
	t.Run("a correction", func(t *testing.T) {
		trip := charter()
		trip.Undo(read(trip, "c4", 23, tomasz, dawn).ID, tomasz, soon)
		if read(trip, "c4", 32, tomasz, soon).Hurried {
			t.Error("an entry that replaces a slip is no second analysis")
		}
	})
	t.Run("a slip taken back", func(t *testing.T) {
		trip := charter()
		trip.Undo(read(trip, "c4", 32, tomasz, dawn).ID, tomasz, soon)
		if read(trip, "c5", 32, tomasz, soon).Hurried {
			t.Error("what was taken back was no analysis")
		}
	})
	t.Run("until the analyser is named", func(t *testing.T) {
		trip := charter()
		trip.Record("c4", roster.Reading{Percent: 32, At: dawn, Ref: "1", By: tomasz, Analyser: "A"}, dawn)
		r := trip.Record("c6", roster.Reading{Percent: 32, At: soon, Ref: "2", By: marit}, soon)
		if r.Hurried {
			t.Fatal("two people, one analyser unnamed: in a hurry already")
		}
		trip.SetAnalyser(r.ID, "A", marit, soon)
		if !r.Hurried {
			t.Error("named as the same analyser: got no hurry")
		}
	})
}

func TestFillVoids(t *testing.T) {
	for _, tt := range []struct {
		name         string
		sent, stored time.Time // of the reading
		fill         time.Time
		noted        time.Time // when the fill was told
		want         bool      // whether the reading still counts
	}{
		{"read before", at(0), at(0), at(10), at(10), false},
		{"read after", at(10), at(10), at(5), at(5), true},
		{"told late, read in between", at(8), at(8), at(5), at(20), true},
		{"told late, read before", at(4), at(4), at(5), at(20), false},
		{"read in the same instant, before", at(5), at(5), at(5), at(5), false},
		{"waited for signal since before the fill", at(0), at(30), at(10), at(10), false},
		{"a sender's clock an hour ahead", at(60), at(0), at(10), at(10), false},
		{"a fill in the future is now", at(0), at(0), at(500), at(10), false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trip := charter()
			record := func() {
				trip.Record("c4", roster.Reading{Percent: 32, At: tt.sent, Ref: "m", By: tomasz}, tt.stored)
			}
			fill := func() { trip.Fill("c4", tt.fill, ines, tt.noted) }
			if tt.stored.After(tt.noted) {
				fill()
				record()
			} else {
				record()
				fill()
			}
			if got := cylinder(t, trip, "c4").Current() != nil; got != tt.want {
				t.Errorf("counts: got %v, want %v", got, tt.want)
			}
		})
	}
	t.Run("read at once afterwards", func(t *testing.T) {
		trip := charter()
		trip.Fill("c4", at(5), ines, at(5))
		read(trip, "c4", 32, tomasz, at(5))
		if cylinder(t, trip, "c4").Current() == nil {
			t.Error("a reading in the instant of the fill, recorded after it: got void")
		}
	})
	t.Run("resets what was answered with the old gas", func(t *testing.T) {
		trip := ready()
		trip.OpenBoat(ines, at(10))
		trip.Attend("c4", roster.Kept, tomasz, at(11))
		trip.Replan("c4", ines, at(11))
		trip.Fill("c4", at(12), ines, at(12))
		if c := cylinder(t, trip, "c4"); c.Attended.Answer != "" || c.Replanned != nil {
			t.Errorf("after the fill: attended %+v, replanned %+v", c.Attended, c.Replanned)
		}
	})
}

func TestMoveReading(t *testing.T) {
	trip := charter()
	r := trip.Record("c4", roster.Reading{Percent: 35.8, At: at(0), Ref: "m1", By: tomasz, Analyser: "A"}, at(0))
	for name, to := range map[string]roster.CylinderID{"another person's": "c6", "unknown": "c99", "the same": "c4"} {
		if trip.MoveReading(r.ID, to, tomasz, at(1)) != nil {
			t.Errorf("to %s cylinder: got moved", name)
		}
	}
	m := trip.MoveReading(r.ID, "c5", tomasz, at(1))
	if m == nil || m.Percent != 35.8 || m.Analyser != "A" || !m.Taken.Equal(at(0)) || m.Replaces != "" || m.Hurried {
		t.Fatalf("moved as %+v", m)
	}
	if r.Undone.IsZero() || r.MovedTo != m.ID || cylinder(t, trip, "c4").Current() != nil || cylinder(t, trip, "c5").Current() != m {
		t.Errorf("left behind: %+v", r)
	}
	if got := trip.ReadingsOf(tomasz, "m1"); len(got) != 1 || got[0] != m {
		t.Errorf("its message now stands for %v", got)
	}
	if trip.MoveReading(r.ID, "c5", tomasz, at(2)) != nil {
		t.Error("moved twice")
	}
}

func TestUndoOnce(t *testing.T) {
	trip := charter()
	r := read(trip, "c4", 32, tomasz, at(0))
	if !trip.Undo(r.ID, tomasz, at(1)) || trip.Undo(r.ID, tomasz, at(2)) || trip.Undo("r99", tomasz, at(2)) {
		t.Error("a reading is taken back once, an unknown one never")
	}
	if c := cylinder(t, trip, "c4"); c.Current() != nil || len(c.Readings) != 1 {
		t.Errorf("after undo: %d readings kept, current %v", len(c.Readings), c.Current())
	}
}

func TestAirPoint(t *testing.T) {
	trip := charter()
	r1 := trip.Record("c4", roster.Reading{Percent: 32, At: at(0), Ref: "1", By: tomasz, Analyser: "A"}, at(0))
	trip.SetAirPoint("a", 19.5, tomasz, at(1))
	if r1.AirPoint != 19.5 {
		t.Errorf("earlier reading on that analyser: got %v, want 19.5", r1.AirPoint)
	}
	trip.SetAirPoint("A", 20.9, tomasz, at(2))
	if r1.AirPoint != 19.5 {
		t.Errorf("after calibrating again the earlier reading has %v: a new air point must not mend it", r1.AirPoint)
	}
	if r2 := trip.Record("c5", roster.Reading{Percent: 36, At: at(3), Ref: "2", By: tomasz, Analyser: "A"}, at(3)); r2.AirPoint != 20.9 {
		t.Errorf("a later reading: got %v, want 20.9", r2.AirPoint)
	}
	trip.SetAirPoint("own", 0, marit, at(4))
	if a := trip.Analyser("OWN"); a == nil || !a.AirAsked || a.AirPoint != 0 {
		t.Errorf("don't know, on an analyser not named before: got %+v", a)
	}
}
