package papers

import (
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// morning is a boat with two divers for one dive, both cleared, and one who
// dives a rebreather; its boat check is open at 07:10.
func morning(t *testing.T) *roster.Trip {
	t.Helper()
	trip := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	*trip.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores",
		Departs: dawn.Add(90 * time.Minute), Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(18), Bottom: gas.M(20), Minutes: 30}}}
	for _, p := range []*roster.Person{{Name: "Inês", Leader: true},
		{Name: "Tomasz", Card: gas.CardSeen, DivedBefore: "no"}, {Name: "Aoife"}} {
		if p.Name == "Tomasz" {
			p.Cylinders = []*roster.Cylinder{{Label: "17", Asked: 32, Dive: 1}}
		}
		trip.AddPerson(p, "", dawn)
	}
	leader, tomasz, aoife := trip.People[0], trip.People[1], trip.People[2]
	trip.SetOutside(aoife.ID, 0, leader.ID, "rebreather", dawn)
	trip.Record(tomasz.Cylinders[0].ID, roster.Reading{Percent: 31.8, At: dawn.Add(5 * time.Minute), By: tomasz.ID},
		dawn.Add(5*time.Minute))
	trip.OpenBoat(1, leader.ID, dawn.Add(10*time.Minute))
	return trip.Done()
}

// recordAt is the record of dive 1 at an instant.
func recordAt(trip *roster.Trip, at time.Time) DiveRecord {
	p := press()
	p.Now = at
	return p.Record(trip, "en").Dives[0]
}

// Who is outside this check is named, and that the leader cleared them by other
// means; nobody else is on the list of those cleared.
func TestRecordNamesWhoIsOutsideThisCheck(t *testing.T) {
	trip := sign(t, roster.Change(morning(t)), dawn.Add(20*time.Minute))
	v := recordAt(trip, dawn.Add(30*time.Minute)).Versions[0]
	if len(v.Outside) != 1 || v.Outside[0].Reason != "rebreather" ||
		!strings.Contains(v.Outside[0].Text, "Cleared by the leader by other means") {
		t.Errorf("outside: %+v", v.Outside)
	}
	if len(v.Divers) != 1 || v.Divers[0].Name != "Tomasz" || v.Divers[0].Verdict != "✅ GO · 18 m as planned" {
		t.Errorf("cleared: %+v", v.Divers)
	}
}

// A signature lapses three hours after the planned start, here 08:30, unless
// the dive was dived.
func TestRecordOfALapsedSignature(t *testing.T) {
	signed := sign(t, roster.Change(morning(t)), dawn.Add(20*time.Minute))
	for at, want := range map[time.Duration]string{4*time.Hour + 29*time.Minute: "signed",
		4*time.Hour + 31*time.Minute: "lapsed"} {
		d := recordAt(signed, dawn.Add(at))
		if d.Versions[0].State != want || (len(d.Versions) == 2) != (want == "lapsed") {
			t.Errorf("after %v: %v, want %s, and then the board as it is", at, states(d.Versions), want)
		}
	}
	dived := roster.Change(signed)
	if !dived.SetDived(1, roster.Dived{Depth: gas.M(17), Minutes: 28, By: signed.People[0].ID,
		At: dawn.Add(3 * time.Hour)}, dawn.Add(3*time.Hour)) {
		t.Fatal("a leader can't say that the dive was dived")
	}
	d := recordAt(dived.Done(), dawn.Add(9*time.Hour))
	if d.Versions[0].State != "signed" || len(d.Versions) != 1 || d.Outcome == nil || !d.Outcome.Dived ||
		!d.Outcome.Signed {
		t.Errorf("dived: %v, outcome %+v, want that it keeps its signature", states(d.Versions), d.Outcome)
	}
}

// News about a dive that was dived is kept as late news, and leaves its board
// and signature as they were.
func TestRecordKeepsLateNews(t *testing.T) {
	trip := sign(t, roster.Change(morning(t)), dawn.Add(20*time.Minute))
	leader, tomasz := trip.People[0].ID, trip.People[1]
	d := roster.Change(trip)
	d.SetDived(1, roster.Dived{By: leader, At: dawn.Add(3 * time.Hour)}, dawn.Add(3*time.Hour))
	trip = d.Done()
	before := recordAt(trip, dawn.Add(4*time.Hour))
	if len(before.Late) != 0 {
		t.Errorf("late news before there was any: %+v", before.Late)
	}
	d = roster.Change(trip)
	d.Record(tomasz.Cylinders[0].ID, roster.Reading{Percent: 36.2, At: dawn.Add(4 * time.Hour), By: tomasz.ID},
		dawn.Add(4*time.Hour))
	after := recordAt(d.Done(), dawn.Add(5*time.Hour))
	if len(after.Late) != 1 || !strings.Contains(after.Late[0].Text, "36.2") ||
		!strings.Contains(after.Late[0].Text, "Tomasz") {
		t.Errorf("late news: %+v", after.Late)
	}
	if v := after.Versions; len(v) != 1 || v[0].State != "signed" || v[0].Divers[0].Cylinders[0].Percent != 31.8 {
		t.Errorf("the signed board: %+v", v)
	}
}

// Dived while no signature stood is said so.
func TestRecordOfADiveThatNobodySigned(t *testing.T) {
	d := roster.Change(morning(t))
	d.SetDived(1, roster.Dived{By: d.People[0].ID, At: dawn.Add(3 * time.Hour)}, dawn.Add(3*time.Hour))
	got := recordAt(d.Done(), dawn.Add(4*time.Hour))
	if got.Outcome == nil || got.Outcome.Signed || !strings.Contains(got.Outcome.Text, "DIVED, NOT SIGNED") ||
		got.Versions[0].State != "unsigned" {
		t.Errorf("outcome %+v, versions %v", got.Outcome, states(got.Versions))
	}
}
