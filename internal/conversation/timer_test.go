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
	t := &roster.Trip{ID: "clock22222", Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: clockDeparture,
		Policy: gas.DefaultPolicy(), Evening: "0 18 * * *", Quiet: "22:00-06:00",
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(33.5)}, {Site: "Lime Kiln Wall", Depth: gas.M(18), Bottomless: true, Interval: 60}}}
	booked := clockDeparture.AddDate(0, 0, -7)
	for _, p := range []*roster.Person{
		{Name: "Inês", Leader: true, Card: gas.CardSeen},
		{Name: "Tomasz", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{Label: "17", Asked: 31, Dive: 1}, {Label: "22", Asked: 36, Dive: 2}}},
		{Name: "Marit", Card: gas.CardSeen, Units: "ft", Cylinders: []*roster.Cylinder{{Asked: 31, Dive: 1}}},
	} {
		t.AddPerson(p, "", booked)
		t.Join(p.ID, roster.Address{Channel: "telegram", ID: string(p.ID)}, "en", booked)
	}
	return t
}

// timerAt plays the clock once and returns the letters as their readers see them.
func timerAt(trip *roster.Trip, now time.Time) ([]Letter, map[string]string) {
	r := Step(Input{Trip: trip, Event: Event{Kind: Timer}, Now: now})
	texts := map[string]string{}
	for _, l := range r.Letters {
		name, units := "group", ""
		if p := trip.Person(l.Person); p != nil {
			name, units = p.Name, p.Units
		}
		texts[name] = message.New().Text(l.Message, message.Reader{Language: "en", Units: units, Zone: trip.Zone}, message.Plain)
	}
	return r.Letters, texts
}

func TestRemindersExpire(t *testing.T) {
	trip := clockTrip()
	trip.GroupChat = roster.Address{Channel: "telegram", ID: "-1"}
	seen := map[string]bool{}
	for _, before := range []time.Duration{14 * time.Hour, 3 * time.Hour, 2 * time.Hour, 75 * time.Minute, 45 * time.Minute, 30 * time.Minute} {
		now := clockDeparture.Add(-before)
		letters, texts := timerAt(trip, now)
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
		if again, _ := timerAt(trip, now); len(again) > 0 {
			t.Errorf("%v before departure, the clock again: %d letters", before, len(again))
		}
	}
	if diff := cmp.Diff(map[string]bool{"Inês": true, "Tomasz": true, "Marit": true, "group": true}, seen); diff != "" {
		t.Errorf("who heard of it; -want +got:\n%s", diff)
	}
}

// The example of the brief that the table is made for: 33.5 m, no bottom given.
func TestKeepTable(t *testing.T) {
	trip := clockTrip()
	_, texts := timerAt(trip, clockDeparture.Add(-14*time.Hour))
	for name, want := range map[string][]string{
		"Tomasz": {"Dive 1, Anvil Ledge, planned to 33.5 m:\n21 to 31 %: ✅ GO\n32 %: ⚠️ GO, MAX 33 m\n33 % and more: ⛔ STOP, NO-GO",
			"Dive 2, Lime Kiln Wall, planned to 18 m:\n21 to 40 %: ⚠️ GO, MAX 25 m\n41 % and more: ⛔ STOP, NO-GO",
			"Send the cylinder's label with it"},
		"Marit": {"planned to 110 ft:\n21 to 31 %: ✅ GO\n32 %: ⚠️ GO, MAX 108 ft\n33 % and more: ⛔ STOP, NO-GO"},
	} {
		for _, w := range want {
			if !strings.Contains(texts[name], w) {
				t.Errorf("to %s, want\n%s\nin\n%s", name, w, texts[name])
			}
		}
	}
	if strings.Contains(texts["Marit"], "Lime Kiln Wall, planned") {
		t.Error("Marit has no cylinder for dive 2, and yet gets its table")
	}
	if strings.Contains(texts["Inês"], "Keep this") {
		t.Error("Inês dives nothing, and yet gets a table")
	}
}

// A depth set by the leader is the depth of that diver's table.
func TestKeepTableAtTheDepthSet(t *testing.T) {
	trip := clockTrip()
	marit := trip.People[2]
	trip.SetDepth(marit.ID, gas.M(25), trip.People[0].ID, "new camera", clockDeparture.Add(-20*time.Hour))
	_, texts := timerAt(trip, clockDeparture.Add(-14*time.Hour))
	if want := "planned to 83 ft:\n21 to 40 %: ✅ GO\n41 % and more: ⛔ STOP, NO-GO"; !strings.Contains(texts["Marit"], want) {
		t.Errorf("want\n%s\nin\n%s", want, texts["Marit"])
	}
}

// A shortened table never says more than the long one, and says something of
// every percentage that the long one speaks of.
func TestShortTableIsSafe(t *testing.T) {
	for depth := 5.0; depth <= 60; depth += 0.5 {
		for _, d := range []gas.Dive{{Depth: gas.M(depth)}, {Depth: gas.M(depth), Bottomless: true}, {Depth: gas.M(depth), Bottom: gas.M(depth + 7)}} {
			long := gas.Keep(gas.DefaultPolicy(), d)
			rows := short(long, d.Depth)
			if len(rows) > mostBands+2 {
				t.Errorf("%v m: %d rows", depth, len(rows))
			}
			for o2 := gas.Air; o2 <= 45; o2++ {
				l, s := bandFor(long, o2), bandFor(rows, o2)
				if s.Status != l.Status || s.MaxDepth.Known() != l.MaxDepth.Known() || s.MaxDepth.DeeperThan(l.MaxDepth) {
					t.Errorf("%v m, %v %%: short %v, long %v", depth, o2, s, l)
				}
				if s.Status == gas.GoWithLimits && d.Bottomless && d.Depth.DeeperThan(s.MaxDepth) && !d.Depth.DeeperThan(l.MaxDepth) {
					t.Errorf("%v m, %v %%: short %v forbids the planned depth, long %v does not", depth, o2, s, l)
				}
			}
		}
	}
}

func bandFor(bands []gas.Band, o2 gas.Percent) gas.Band {
	for _, b := range bands {
		if o2 >= b.From && (b.To == 0 || o2 <= b.To) {
			return b
		}
	}
	return gas.Band{}
}

// Every reason for an analysis has words of its own in a reminder, or the
// general ones.
func TestOwedReasonsHaveWords(t *testing.T) {
	for why := range reminded {
		text := message.New().Line(message.Say("remind.owes."+why, message.Args{"cylinder": message.Name("17")}), message.Reader{})
		if strings.Contains(text, "⟦") || !strings.Contains(text, "ANALYSE") {
			t.Errorf("%s: %q", why, text)
		}
	}
}

// The clock's reasons are kept in the trip's log where somebody may ask.
func TestRemindersAreNoted(t *testing.T) {
	trip := clockTrip()
	trip.People[2].Joined = time.Time{}
	trip.Acts = nil
	Step(Input{Trip: trip, Event: Event{Kind: Timer}, Now: clockDeparture.Add(-45 * time.Minute)})
	got := map[string]string{}
	for _, a := range trip.Acts {
		if a.Verb == verbRemind && a.Detail["kind"] == string(reminders.Nudge) && a.Reason != string(reminders.TooLate) {
			got[trip.Person(roster.PersonID(a.On)).Name] = a.Detail["outcome"] + " " + a.Reason
		}
	}
	if diff := cmp.Diff(map[string]string{"Tomasz": "send owes", "Marit": "drop not-joined"}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}
