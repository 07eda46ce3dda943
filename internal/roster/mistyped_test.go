package roster_test

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestUnitsTypedWrong(t *testing.T) {
	d := unread()
	d.Edit("p1").DepthLimit = gas.M(40)
	if !d.SetUnits(gas.Feet, "", at(0)) {
		t.Fatal("refused before anything was read")
	}
	trip := d.Done()
	if got := trip.Dives[0].Depth; got.Unit != gas.Feet || got.Value != 30 {
		t.Errorf("30 m is %v, want 30 ft", got)
	}
	if got := trip.Person("p1").DepthLimit; got != gas.Ft(40) {
		t.Errorf("40 m qualified is %v, want 40 ft", got)
	}
	if got, want := trip.Policy.Deepest, gas.DefaultPolicy(gas.Feet).Deepest; got != want {
		t.Errorf("deepest: %v, want the default %v", got, want)
	}
}

func TestUnitsStayOnceSomethingWasRead(t *testing.T) {
	d := unread()
	d.Record(d.Person("p1").Cylinders[0].ID, roster.Reading{Percent: 32, At: at(0), By: "p1"}, at(0))
	if d.SetUnits(gas.Feet, "", at(1)) || d.Units != gas.Metres {
		t.Error("the units changed under a reading")
	}
}

func TestAnalysersKeepTheirAirPoints(t *testing.T) {
	d := unread()
	d.SetAirPoint("A", 20.9, gas.Weather{}, "p1", at(0))
	d.SetAnalysers([]string{"B", "A"}, "", at(1))
	trip := d.Done()
	if len(trip.Analysers) != 2 || trip.Analyser("A").Last().Percent != 20.9 {
		t.Errorf("got %+v", trip.Analysers)
	}
}

// unread is a trip on which nothing was read.
func unread() *roster.Draft {
	trip := roster.NewTrip("aaaaaaaaaa", "one")
	trip.Name, trip.Zone, trip.Units, trip.Departs = "Saturday", "Atlantic/Azores", gas.Metres, departs
	trip.Policy, trip.Dives = gas.DefaultPolicy(gas.Metres),
		[]roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20}}
	trip.Analysers = []roster.Analyser{{Name: "A"}}
	d := roster.Change(trip)
	d.AddPerson(&roster.Person{Name: "Inês", Leader: true, Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{Asked: 32, Dive: 1}}}, "", at(0))
	return d
}
