package papers

import (
	"os"
	"strconv"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

var dawn = time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)

// charter is a day with everything a record has to tell: scripts of many kinds,
// a limit of a diver's own, a correction, a refill, a sit-out, a policy that
// isn't the default, a dive signed, its signature broken, and signed again.
func charter(t testing.TB) *roster.Trip {
	t.Helper()
	trip := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	*trip.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: dawn.Add(90 * time.Minute),
		Policy: gas.DefaultPolicy(gas.Metres), Analysers: []roster.Analyser{{Name: "A"}, {Name: "B"}}, Dives: []roster.Dive{
			{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(34), Minutes: 22},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Bottomless: true, Minutes: 40, Interval: 60}}}
	trip.EditPlan().Policy.PPO2 = 1.35
	for i, name := range []string{"Inês", "Tomasz Łęcki", "Ελένη", "Дмитрий", "健二", "Yusuf 🤿", "מרית"} {
		p := &roster.Person{Name: name, Leader: i == 0, Card: gas.CardSeen, Joined: dawn}
		if i == 1 || i == 2 {
			p.Team = "1"
		}
		for dive := 1; dive <= 2; dive++ {
			p.Cylinders = append(p.Cylinders, &roster.Cylinder{Label: string(rune('A'+i)) + strconv.Itoa(dive), Asked: 32,
				Dive: dive})
		}
		trip.AddPerson(p, "", dawn)
	}
	at := dawn
	for _, p := range trip.People[:6] {
		for _, c := range p.Cylinders {
			at = at.Add(time.Minute)
			trip.Record(c.ID, roster.Reading{Percent: 31.2, At: at, Ref: string(c.ID), By: p.ID, Analyser: "A"}, at)
		}
	}
	tomasz, last := trip.People[1], trip.People[6]
	trip.Correct(tomasz.Cylinders[0].Readings[0].ID, 31.4, tomasz.ID, at, at)
	at = at.Add(time.Minute)
	trip.Fill(tomasz.Cylinders[1].ID, at, "", at)
	at = at.Add(time.Minute)
	trip.Record(tomasz.Cylinders[1].ID, roster.Reading{Percent: 32.6, At: at, By: tomasz.ID, Analyser: "B"}, at)
	leader := trip.People[0].ID
	trip.SitOut(last.ID, 0, leader, "ear trouble <b>", at)
	trip.SetLimit(trip.People[2].ID, roster.Limit{Depth: gas.M(25), By: leader, Why: "first dive of the season <b>",
		At: at}, at)
	trip.OpenBoat(1, leader, at)
	first := sign(t, trip, at.Add(time.Minute))
	trip = roster.Change(first)
	trip.Record(tomasz.Cylinders[0].ID, roster.Reading{Percent: 31.3, At: at.Add(2 * time.Minute), By: tomasz.ID,
		Analyser: "B"}, at.Add(2*time.Minute))
	return sign(t, roster.Change(trip.Done()), at.Add(3*time.Minute))
}

// sign signs dive 1, each event a draft of its own.
func sign(t testing.TB, trip *roster.Draft, at time.Time) *roster.Trip {
	t.Helper()
	if refused, ok := trip.SignOff(1, trip.People[0].ID, at); !ok {
		for _, r := range refused {
			for _, p := range r.People {
				c := trip.Clearance(p, 1, at)
				t.Logf("%s: %v", p, c.Verdict.Reasons())
			}
		}
		t.Fatalf("the fixture can't be signed off: %v", refused)
	}
	return trip.Done()
}

func press() Press { return Press{Words: message.New(), Now: dawn.Add(3 * time.Hour)} }

// named is the charter with hostile names in every place that has one.
func named(t testing.TB, name, label string) *roster.Trip {
	d := roster.Change(charter(t))
	d.Edit(d.People[1].ID).Name = name
	d.EditCylinder(d.People[1].Cylinders[0].ID).Label = label
	d.EditPlan().Name, d.EditDive(1).Site = label, name
	return d.Done()
}

func cardsOf(trip *roster.Trip) []Card {
	var cards []Card
	for _, p := range trip.People {
		code := string(trip.ID) + "-" + string(p.ID) + "-abcdefghijklmnopqrstuv"
		cards = append(cards, Card{p.ID, "https://gas.example.org/c/" + code, "https://t.me/a_bot?start=" + code})
	}
	return cards
}

// keep keeps a document where SHOTS says, for people to look at.
func keep(t *testing.T, name string, b []byte) {
	if dir := os.Getenv("SHOTS"); dir != "" {
		if err := os.WriteFile(dir+"/"+name+".pdf", b, 0o644); err != nil {
			t.Error(err)
		}
	}
}
