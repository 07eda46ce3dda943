package roster_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestZeroBoardIsNoReading(t *testing.T) {
	var b roster.Board
	if b.Status != gas.NoReading || b.Of("p1") != nil {
		t.Errorf("zero board: %v", b.Status)
	}
	empty := &roster.Trip{}
	if b := empty.Board(dawn); b.Status != gas.NoReading || b.Counts.Active != 0 {
		t.Errorf("board of an empty trip: %v, %+v", b.Status, b.Counts)
	}
}

func TestBoard(t *testing.T) {
	for _, tt := range []struct {
		name   string
		do     func(*roster.Trip)
		status gas.Status
		counts roster.Counts
	}{
		{"nobody has read", func(*roster.Trip) {}, gas.NoReading, roster.Counts{Active: 2, NoReading: 2}},
		{"all have", func(tr *roster.Trip) { *tr = *ready() }, gas.Go, roster.Counts{Active: 2, Go: 2}},
		{"one has", func(tr *roster.Trip) {
			read(tr, "c4", 32.1, tomasz, at(0))
			read(tr, "c5", 35.9, tomasz, at(1))
		}, gas.NoReading, roster.Counts{Active: 2, Go: 1, NoReading: 1}},
		{"36 % at 30 m", func(tr *roster.Trip) {
			*tr = *ready()
			tr.Fill("c4", at(10), ines, at(10))
			read(tr, "c4", 36, tomasz, at(11))
		}, gas.NoGo, roster.Counts{Active: 2, Go: 1, NoGo: 1}},
		{"a diver without a cylinder", func(tr *roster.Trip) {
			*tr = *ready()
			tr.AddPerson(&roster.Person{Name: "Kenji"}, "", at(10))
		}, gas.NoReading, roster.Counts{Active: 3, Go: 2, NoReading: 1}},
		{"a leader who dives", func(tr *roster.Trip) {
			*tr = *ready()
			tr.AddCylinder(ines, 1, 32, ines, at(10))
		}, gas.NoReading, roster.Counts{Active: 3, Go: 2, NoReading: 1}},
		{"sat out", func(tr *roster.Trip) {
			*tr = *ready()
			tr.Retire("c4", ines, "valve", at(10))
			tr.Retire("c5", ines, "valve", at(10))
			tr.SitOut(tomasz, ines, "no cylinder", at(11))
		}, gas.Go, roster.Counts{Active: 1, Go: 1, Out: 1}},
		{"a card nobody has seen", func(tr *roster.Trip) {
			*tr = *ready()
			tr.SetCard(marit, gas.CardUnseen, "", at(10))
		}, gas.NoReading, roster.Counts{Active: 2, Go: 1, NoReading: 1}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trip := charter()
			tt.do(trip)
			b := trip.Board(at(20))
			if b.Status != tt.status || b.Counts != tt.counts || b.Dive != 1 {
				t.Errorf("got %v, %+v, dive %d; want %v, %+v, dive 1", b.Status, b.Counts, b.Dive, tt.status, tt.counts)
			}
		})
	}
}

// Nobody makes the board green by vanishing.
func TestVanishing(t *testing.T) {
	for name, vanish := range map[string]func(*roster.Trip, roster.PersonID){
		"leaving":         func(tr *roster.Trip, p roster.PersonID) { tr.Leave(p, p, "", at(10)) },
		"being forgotten": func(tr *roster.Trip, p roster.PersonID) { tr.Erase(p, at(10)) },
		"being removed":   func(tr *roster.Trip, p roster.PersonID) { tr.Leave(p, "", "cancelled", at(10)) },
	} {
		t.Run(name, func(t *testing.T) {
			trip := ready()
			vanish(trip, tomasz)
			pb := line(t, trip, tomasz, at(11))
			if !pb.Active || !pb.Left || pb.Status != gas.NoReading || pb.Own != gas.NoReading || len(pb.Owes) != 0 {
				t.Errorf("line after %s: %+v", name, pb)
			}
			if b := trip.Board(at(11)); b.Status != gas.NoReading || b.Counts.Active != 2 {
				t.Errorf("board after %s: %v, %+v", name, b.Status, b.Counts)
			}
			trip.SitOut(tomasz, ines, "gone", at(12))
			if b := trip.Board(at(13)); b.Status != gas.Go {
				t.Errorf("once the leader sat them out: %v", b.Status)
			}
		})
	}
	t.Run("with a no-go", func(t *testing.T) {
		trip := ready()
		trip.Fill("c4", at(5), ines, at(5))
		read(trip, "c4", 36, tomasz, at(6))
		trip.Leave(tomasz, tomasz, "", at(10))
		if b := trip.Board(at(11)); b.Status != gas.NoGo {
			t.Errorf("a no-go who left: got %v, want still no-go", b.Status)
		}
	})
	t.Run("and coming back", func(t *testing.T) {
		trip := ready()
		trip.Leave(tomasz, tomasz, "", at(10))
		trip.Join(tomasz, roster.Address{Channel: "telegram", ID: "1"}, "", at(11))
		if b := trip.Board(at(12)); b.Status != gas.Go {
			t.Errorf("who is back with good readings: got %v", b.Status)
		}
	})
}

// Before the first signature all cylinders count, then those of the dives left.
func TestWhichCylindersCount(t *testing.T) {
	trip := ready()
	trip.Undo(cylinder(t, trip, "c5").Current().ID, tomasz, at(5))
	if got := line(t, trip, tomasz, at(6)); got.Own != gas.NoReading || got.Owes[0].Cylinder != "c5" {
		t.Fatalf("second cylinder not analysed: got %v owing %v", got.Own, got.Owes)
	}
	read(trip, "c5", 35.8, tomasz, at(7))
	trip.Confirm(cylinder(t, trip, "c5").Current().ID, gas.ShownDecimals, tomasz, at(7))
	signOff(t, trip, at(30))
	trip.Fill("c4", at(100), ines, at(100)) // dive 1 is reopened by it
	if got := line(t, trip, tomasz, at(101)); got.Own != gas.NoReading {
		t.Errorf("first cylinder refilled after the signature: got %v", got.Own)
	}
	read(trip, "c4", 32, tomasz, at(102))
	signOff(t, trip, at(103))
	if got := line(t, trip, tomasz, at(104)); got.Verdict.Cylinders != 1 {
		t.Errorf("after dive 1: %d cylinders looked at, want that of dive 2", got.Verdict.Cylinders)
	}
	trip.Retire("c7", ines, "used up", at(105))
	if got := line(t, trip, marit, at(106)); got.Own != gas.NoReading || got.Owes[0].Why != roster.OwesCylinder {
		t.Errorf("a diver without a cylinder for the dive left: got %v owing %v", got.Own, got.Owes)
	}
}

func TestBoatCheckDue(t *testing.T) {
	type due struct {
		own gas.Status
		why string
	}
	for _, tt := range []struct {
		name   string
		policy gas.BoatCheck
		read   time.Time // dock reading of c4
		do     func(*roster.Trip)
		want   due
	}{
		{"dock", gas.BoatCheckUnattended, at(0), func(*roster.Trip) {}, due{gas.Go, ""}},
		{"asked", gas.BoatCheckUnattended, at(0), func(tr *roster.Trip) { tr.OpenBoat(ines, at(60)) }, due{gas.NoReading, roster.OwesBoatAnswer}},
		{"kept", gas.BoatCheckUnattended, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.Kept, tomasz, at(61))
		}, due{gas.Go, ""}},
		{"kept, four hours old", gas.BoatCheckUnattended, at(61 - 240), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.Kept, tomasz, at(61))
		}, due{gas.Go, ""}},
		{"kept, over four hours old", gas.BoatCheckUnattended, at(60 - 240), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.Kept, tomasz, at(61))
		}, due{gas.NoReading, "no-reading"}},
		{"out of sight", gas.BoatCheckUnattended, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.OutOfSight, tomasz, at(61))
		}, due{gas.NoReading, "no-reading"}},
		{"not sure", gas.BoatCheckUnattended, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.Unsure, tomasz, at(61))
		}, due{gas.NoReading, "no-reading"}},
		{"out of sight, analysed again", gas.BoatCheckUnattended, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.OutOfSight, tomasz, at(61))
			read(tr, "c4", 32.2, tomasz, at(62))
		}, due{gas.Go, ""}},
		{"the shop's boat reading is not the diver's", gas.BoatCheckUnattended, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.OutOfSight, tomasz, at(61))
			tr.Record("c4", roster.Reading{Percent: 32.2, At: at(62), Ref: "s"}, at(62))
		}, due{gas.NoReading, "no-reading"}},
		{"all again, kept or not", gas.BoatCheckAll, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.Kept, tomasz, at(61))
		}, due{gas.NoReading, "no-reading"}},
		{"all again, done", gas.BoatCheckAll, at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			read(tr, "c4", 32.2, tomasz, at(61))
		}, due{gas.Go, ""}},
		{"a policy that is none is the stricter one", "", at(0), func(tr *roster.Trip) {
			tr.OpenBoat(ines, at(60))
			tr.Attend("c4", roster.Kept, tomasz, at(61))
		}, due{gas.NoReading, "no-reading"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			trip := charter()
			trip.Policy.BoatCheck = tt.policy
			read(trip, "c4", 32.1, tomasz, tt.read)
			read(trip, "c5", 35.8, tomasz, at(-10))
			tt.do(trip)
			got := line(t, trip, tomasz, at(70))
			var why string
			if len(got.Owes) > 0 {
				why = got.Owes[0].Why
			}
			if (due{got.Own, why}) != tt.want {
				t.Errorf("got %v owing %v, want %+v", got.Own, got.Owes, tt.want)
			}
		})
	}
	t.Run("an answer of dive 1 is none for dive 2", func(t *testing.T) {
		trip := ready()
		signOff(t, trip, at(60))
		trip.Attend("c5", roster.Kept, tomasz, at(61))
		signed := cylinder(t, trip, "c5").Attended
		signed.Dive = 1
		cylinder(t, trip, "c5").Attended = signed
		trip.OpenBoat(ines, at(120))
		if got := line(t, trip, tomasz, at(121)); len(got.Owes) != 1 || got.Owes[0].Why != roster.OwesBoatAnswer {
			t.Errorf("got owing %v, want the boat question", got.Owes)
		}
	})
}

func TestSameCylinder(t *testing.T) {
	trip := ready()
	trip.SetLabel("c4", "17", tomasz, at(5))
	trip.SetLabel("c5", "17", tomasz, at(5)) // refilled for dive 2: one person's, no conflict
	if b := trip.Board(at(6)); b.Status != gas.Go {
		t.Fatalf("one diver's cylinder on both dives: got %v", b.Status)
	}
	trip.SetLabel("c6", " 17", marit, at(7))
	b := trip.Board(at(8))
	for _, p := range []roster.PersonID{tomasz, marit} {
		pb := b.Of(p)
		if pb.Own != gas.NoReading || !slices.ContainsFunc(pb.Owes, func(o roster.Owed) bool { return o.Why == string(gas.RuleSameCylinder) && !o.Analysis() }) {
			t.Errorf("%s claims a cylinder that another claims: got %v owing %v", p, pb.Own, pb.Owes)
		}
	}
	if got := trip.Claimants("1 7"); len(got) != 2 {
		t.Errorf("claimants: got %d, want 2", len(got))
	}
	trip.Leave(marit, marit, "", at(9))
	if got := line(t, trip, tomasz, at(10)); got.Own != gas.NoReading {
		t.Errorf("the other claimant left: got %v, want the claim to stand", got.Own)
	}
	trip.SitOut(marit, ines, "gone", at(11))
	if got := line(t, trip, tomasz, at(12)); got.Own != gas.Go {
		t.Errorf("the other claimant sat out: got %v owing %v", got.Own, got.Owes)
	}
}

// 33.5 m on 32 %: MOD 33.75 m, label 33 m, so everybody has a limit of 33 m;
// it is the group's, and only who is stricter differs from the group.
func TestGroupLimit(t *testing.T) {
	group := func(more ...gas.Percent) (*roster.Trip, roster.Board) {
		trip := charter()
		trip.Dives = trip.Dives[:1]
		trip.Dives[0] = roster.Dive{Site: "Anvil Ledge", Depth: gas.M(33.5)}
		trip.People = trip.People[:1]
		for i, p := range more {
			person := &roster.Person{Name: "diver", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{Dive: 1, Asked: p}}}
			trip.AddPerson(person, "", dawn)
			r := read(trip, person.Cylinders[0].ID, p, person.ID, at(i))
			trip.Confirm(r.ID, gas.ShownDecimals, person.ID, at(i))
		}
		return trip, trip.Board(at(60))
	}
	_, b := group(32, 32)
	if b.Status != gas.Go || len(b.Group) != 1 || b.Group[0].MaxDepth != gas.M(33) || b.Group[0].Dive != 1 {
		t.Errorf("a limit that all share: got %v, group %+v; want go, 33 m", b.Status, b.Group)
	}
	for _, pb := range b.People[1:] {
		if pb.Own != gas.GoWithLimits || pb.Status != gas.Go {
			t.Errorf("%s: own %v, on the board %v; want limits and go", pb.Person, pb.Own, pb.Status)
		}
	}
	_, b = group(32, 30)
	if b.Status != gas.GoWithLimits || len(b.Group) != 0 || b.Counts.Limits != 1 || b.Counts.Go != 1 {
		t.Errorf("one of two has a limit: got %v, group %+v, %+v", b.Status, b.Group, b.Counts)
	}
	trip, _ := group(32, 32)
	trip.SetDepth(trip.People[2].ID, gas.M(20), ines, "ears", at(61))
	b = trip.Board(at(62))
	if b.Status != gas.GoWithLimits || b.Counts.Limits != 1 || len(b.Group) != 1 || b.Group[0].MaxDepth != gas.M(33) {
		t.Errorf("one stricter than the group: got %v, %+v, group %+v", b.Status, b.Counts, b.Group)
	}
}

// The team's depth is its shallowest limit, and somebody else's limit holds a
// diver back (university scientific-diving manual; common practice).
func TestTeams(t *testing.T) {
	trip := ready()
	trip.Person(tomasz).Team, trip.Person(marit).Team = "1", "1"
	trip.SetDepth(marit, gas.M(20), ines, "ears", at(5))
	b := trip.Board(at(6))
	if len(b.Teams) != 2 || b.Teams[0].Team != "1" || b.Teams[0].Dive != 1 || b.Teams[0].MaxDepth != gas.M(20) || b.Teams[0].DepthBy != marit {
		t.Fatalf("teams: got %+v, want 20 m set by %s", b.Teams, marit)
	}
	if got := b.Of(tomasz); got.Own != gas.GoWithLimits {
		t.Errorf("teammate: got %v, want limits of the team", got.Own)
	}
	trip.SitOut(marit, ines, "ears", at(7))
	if got := line(t, trip, tomasz, at(8)); got.Own != gas.Go {
		t.Errorf("after the teammate sat out: got %v", got.Own)
	}
}

func TestPolicyDifferencesAreShown(t *testing.T) {
	trip := ready()
	trip.Policy.PPO2, trip.Policy.BoatCheck = 1.3, gas.BoatCheckAll
	b := trip.Board(at(5))
	if want := []string{"ppo2", "boat_check"}; cmp.Diff(want, b.Policy) != "" {
		t.Errorf("policy on the board: got %v, want %v", b.Policy, want)
	}
}

// The request check: 36 % asked for 33.5 m is a no-go before any fill, 31 a go.
func TestPreview(t *testing.T) {
	trip := charter()
	trip.Dives[0] = roster.Dive{Site: "Anvil Ledge", Depth: gas.M(33.5)}
	week := departs.Add(-7 * 24 * time.Hour)
	for blend, want := range map[gas.Percent]gas.Status{31: gas.Go, 32: gas.GoWithLimits, 36: gas.NoGo, 21: gas.Go} {
		if got := trip.Preview(tomasz, "c4", blend, week); got.Status() != want || got.Cylinders != 1 {
			t.Errorf("%v %%: got %v, want %v", blend, got.Status(), want)
		}
	}
	if got := trip.Preview(marit, "c4", 31, week).Status(); got != gas.NoReading {
		t.Errorf("somebody else's cylinder: got %v, want no reading", got)
	}
	if len(cylinder(t, trip, "c4").Readings) != 0 || len(trip.Acts) != 0 {
		t.Error("the preview changed the trip")
	}
}
