package roster

import (
	"fmt"
	"testing"
	"time"

	"gasmuster/internal/gas"
)

// Eight cylinders of 32 %, read 1.5 points rich on whatever analyser: the
// bank. A shop's own readings and readings taken back say nothing.
func TestPatternsLookAtDiversReadings(t *testing.T) {
	now := time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	trip := Change(NewTrip("", ""))
	*trip.EditPlan() = Plan{Dives: []Dive{{Site: "Anvil Ledge", Depth: gas.M(30)}}, Departs: now.Add(2 * time.Hour),
		Policy: gas.DefaultPolicy(gas.Metres)}
	for i := range 8 {
		trip.AddPerson(&Person{Name: fmt.Sprint(i), Cylinders: []*Cylinder{{Asked: 32, Dive: 1}}}, "", now)
	}
	read := func(p gas.Percent, entrant gas.Entrant) {
		for i, person := range trip.People {
			at := now.Add(time.Duration(i) * time.Minute)
			by := person.ID
			if entrant == gas.ByShop {
				by = ""
			}
			trip.Record(person.Cylinders[0].ID, Reading{Percent: p, At: at, By: by, Ref: fmt.Sprint(i),
				Analyser: string(rune('A' + i%2))}, at)
		}
	}
	read(33.5, gas.ByShop)
	if got := trip.Patterns(); got != nil {
		t.Errorf("of the shop's readings alone: got %v, want none", got)
	}
	read(33.5, gas.ByDiver)
	got := trip.Patterns()
	if len(got) != 1 || got[0].Kind != gas.BankOff || got[0].Readings != 8 {
		t.Errorf("got %+v, want the bank, of 8 readings", got)
	}
}
