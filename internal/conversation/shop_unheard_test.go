package conversation

import (
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Leaders hear that the shop's systems are not told any more; divers don't.
func TestLeadersHearThatTheShopHearsNothing(t *testing.T) {
	now := time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	blank := roster.NewTrip("abcdefghij", "")
	*blank.Plan = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: now.Add(time.Hour),
		Policy: gas.DefaultPolicy(gas.Metres), Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30)}}}
	trip := roster.Change(blank)
	for _, p := range []*roster.Person{{Name: "Inês", Leader: true},
		{Name: "Tomasz", Cylinders: []*roster.Cylinder{{Asked: 32, Dive: 1}}}} {
		p.Card, p.Joined, p.Addresses = gas.CardSeen, now, []roster.Address{{Channel: "web", ID: p.Name}}
		trip.AddPerson(p, "", now)
	}
	r := stepped(t, Input{Trip: trip.Done(), Event: Event{Kind: Changed, At: now, Change: &Change{Unheard: true}},
		Now: now})
	told := map[roster.PersonID]int{}
	for _, l := range r.Letters {
		for _, line := range l.Message.Lines {
			if line.Key == "shop.unheard" {
				told[l.Person]++
			}
		}
	}
	if told[trip.People[0].ID] != 1 || told[trip.People[1].ID] != 0 {
		t.Errorf("told: got %v, want the leader, once", told)
	}
}
