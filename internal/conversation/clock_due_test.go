package conversation

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

var clockDeparture = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)

// clockTrip is led by Inês; Tomasz dives twice, Marit (feet) once.
func clockTrip() *roster.Trip {
	blank := roster.NewTrip("clock22222", "")
	*blank.Plan = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: clockDeparture,
		Policy: gas.DefaultPolicy(gas.Metres), Evening: "0 18 * * *", Quiet: "22:00-06:00",
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(33.5)},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Bottomless: true, Interval: 60}}}
	t := roster.Change(blank)
	booked := clockDeparture.AddDate(0, 0, -7)
	for _, p := range []*roster.Person{
		{Name: "Inês", Leader: true, Card: gas.CardSeen},
		{Name: "Tomasz", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{Label: "17", Asked: 31, Dive: 1},
			{Label: "22", Asked: 36, Dive: 2}}},
		{Name: "Marit", Card: gas.CardSeen, Units: "ft", Cylinders: []*roster.Cylinder{{Asked: 31, Dive: 1}}},
	} {
		t.AddPerson(p, "", booked)
		t.Join(p.ID, roster.Address{Channel: "telegram", ID: string(p.ID)}, "en", booked)
	}
	return t.Done()
}

// timerAt plays the clock once and returns the letters as their readers see them.
func timerAt(t *testing.T, trip *roster.Trip, now time.Time) (Result, map[string]string) {
	r := stepped(t, Input{Trip: trip, Event: Event{Kind: Timer}, Now: now})
	texts := map[string]string{}
	for _, l := range r.Letters {
		name, units := "group", ""
		if p := trip.Person(l.Person); p != nil {
			name, units = p.Name, p.Units
		}
		texts[name] = message.New().Text(l.Message, message.Reader{Language: "en", Units: units, Zone: trip.Zone},
			message.Plain)
	}
	return r, texts
}

func TestRemindersExpire(t *testing.T) {
	trip := clockTrip()
	trip = edited(trip, func(d *roster.Draft) { d.EditCourse().GroupChat = roster.Address{Channel: "telegram", ID: "-1"} })
	seen := map[string]bool{}
	for _, before := range []time.Duration{14 * time.Hour, 90 * time.Minute, 45 * time.Minute, 20 * time.Minute} {
		now := clockDeparture.Add(-before)
		r, texts := timerAt(t, trip, now)
		letters := r.Letters
		trip = r.Trip
		if len(letters) == 0 {
			t.Errorf("%v before departure: nothing is said", before)
		}
		for _, l := range letters {
			if !l.Expires.After(now) || l.Expires.After(clockDeparture) {
				t.Errorf("%v before departure: a letter expires at %v", before, l.Expires)
			}
			if l.Safety {
				t.Errorf("%v before departure: a reminder would rather be repeated than lost", before)
			}
		}
		for name, text := range texts {
			if strings.Contains(text, "⟦") {
				t.Errorf("to %s: a text is missing: %s", name, text)
			}
			seen[name] = true
		}
		if again, _ := timerAt(t, trip, now); len(again.Letters) > 0 {
			t.Errorf("%v before departure, the clock again: %d letters", before, len(again.Letters))
		}
	}
	if diff := cmp.Diff(map[string]bool{"Inês": true, "Tomasz": true, "Marit": true, "group": true}, seen); diff != "" {
		t.Errorf("who heard of it; -want +got:\n%s", diff)
	}
}

// The example of the brief that the table is made for: 33.5 m, no bottom given.
func TestKeepTable(t *testing.T) {
	trip := clockTrip()
	_, texts := timerAt(t, trip, clockDeparture.Add(-14*time.Hour))
	for name, want := range map[string][]string{
		"Tomasz": {"No signal, dive 1: 21–31 % GO · 32 % max 33 m · from 33 % STOP\nDive 2: 21–40 % max 25 m · from 41 % " +
			"STOP\n",
			"Your 2 cylinders are ready at 07:00"},
		"Marit": {"No signal, dive 1: 21–31 % GO · 32 % max 108 ft · from 33 % STOP"},
	} {
		for _, w := range want {
			if !strings.Contains(texts[name], w) {
				t.Errorf("to %s, want\n%s\nin\n%s", name, w, texts[name])
			}
		}
	}
	if strings.Contains(texts["Marit"], "Dive 2: 21") {
		t.Error("Marit has no cylinder for dive 2, and yet gets its table")
	}
	if strings.Contains(texts["Inês"], "No signal") {
		t.Error("Inês dives nothing, and yet gets a table")
	}
}

// A depth set by the leader is the most that the diver's table names; what the gas
// itself allows at the planned depth it does not change.
func TestKeepTableAtTheDepthSet(t *testing.T) {
	trip := clockTrip()
	marit := trip.People[2]
	trip = edited(trip, func(d *roster.Draft) {
		d.SetLimit(marit.ID, roster.Limit{Depth: gas.M(25), By: d.People[0].ID, Why: "new camera"},
			clockDeparture.Add(-20*time.Hour))
	})
	_, texts := timerAt(t, trip, clockDeparture.Add(-14*time.Hour))
	if want := "No signal, dive 1: 21–32 % max 82 ft · from 33 % STOP"; !strings.Contains(texts["Marit"], want) {
		t.Errorf("want\n%s\nin\n%s", want, texts["Marit"])
	}
}

// A shortened table never says more than the long one, and says something of
// every percentage that the long one speaks of.
func TestShortTableIsSafe(t *testing.T) {
	for depth := 5.0; depth <= 60; depth += 0.5 {
		for _, d := range []gas.Dive{{Depth: gas.M(depth)}, {Depth: gas.M(depth), Bottomless: true},
			{Depth: gas.M(depth), Bottom: gas.M(depth + 7)}} {
			long := bandsOn(t, d)
			rows := short(long, d.Depth)
			if len(rows) > mostBands+2 {
				t.Errorf("%v m: %d rows", depth, len(rows))
			}
			for o2 := gas.Air; o2 <= 45; o2++ {
				l, s := bandFor(long, o2), bandFor(rows, o2)
				if s.Status != l.Status || s.MaxDepth.Known() != l.MaxDepth.Known() || s.MaxDepth.DeeperThan(l.MaxDepth) {
					t.Errorf("%v m, %v %%: short %v, long %v", depth, o2, s, l)
				}
				if s.Status == gas.GoWithLimits && d.Bottomless && d.Depth.DeeperThan(s.MaxDepth) &&
					!d.Depth.DeeperThan(l.MaxDepth) {
					t.Errorf("%v m, %v %%: short %v forbids the planned depth, long %v does not", depth, o2, s, l)
				}
			}
		}
	}
}

// bandsOn is Marit's table for a dive, with nothing but its depth and bottom to limit it.
func bandsOn(t *testing.T, is gas.Dive) []band {
	t.Helper()
	trip := roster.Change(edited(clockTrip(), func(d *roster.Draft) {
		plan := d.EditPlan()
		plan.Policy.Deepest = gas.Depth{}
		dive := d.EditDive(1)
		dive.Depth, dive.Bottom, dive.Bottomless = is.Depth, is.Bottom, is.Bottomless
	}))
	for _, p := range trip.People {
		if p.Name == "Marit" {
			return (&turn{trip: trip, now: clockDeparture.Add(-time.Hour)}).bands(p, p.Cylinders[0])
		}
	}
	t.Fatal("no Marit")
	return nil
}

func bandFor(bands []band, o2 gas.Percent) band {
	for _, b := range bands {
		if o2 >= b.From && (b.To == 0 || o2 <= b.To) {
			return b
		}
	}
	return band{}
}

// Who has a reading of a cylinder is not told to analyse it, and gets no table for
// it.
func TestEveningOfWhatIsRead(t *testing.T) {
	trip := edited(clockTrip(), func(d *roster.Draft) {
		p := d.People[1]
		d.Record(p.Cylinders[0].ID, roster.Reading{Percent: 30.6, By: p.ID, At: clockDeparture.Add(-15 * time.Hour)},
			clockDeparture.Add(-15*time.Hour))
	})
	r, _ := timerAt(t, trip, clockDeparture.Add(-15*time.Hour))
	trip = r.Trip // the verdict was told
	_, texts := timerAt(t, trip, clockDeparture.Add(-14*time.Hour))
	if got := texts["Tomasz"]; !strings.Contains(got, "Your cylinder is ready") || strings.Contains(got, "dive 1: 21") ||
		!strings.Contains(got, "✅ GO · 17") {
		t.Errorf("got\n%s", got)
	}
}

// The clock's reasons are kept in the trip's log where somebody may ask.
func TestRemindersAreNoted(t *testing.T) {
	trip := clockTrip()
	trip = edited(trip, func(d *roster.Draft) { d.Edit(d.People[2].ID).Joined = time.Time{} })
	r := stepped(t, Input{Trip: trip, Event: Event{Kind: Timer}, Now: clockDeparture.Add(-45 * time.Minute)})
	got := map[string]string{}
	for _, a := range r.Acts {
		if a.Verb == verbRemind && a.Detail["kind"] == string(reminders.Ready) && a.Reason != string(reminders.TooLate) {
			got[trip.Person(roster.PersonID(a.On)).Name] = a.Detail["outcome"] + " " + a.Reason
		}
	}
	if diff := cmp.Diff(map[string]string{"Tomasz": "send owes", "Marit": "drop not-joined"}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}
