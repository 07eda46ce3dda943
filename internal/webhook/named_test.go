package webhook

import (
	"encoding/json"
	"testing"

	"gasmuster/internal/roster"
)

// Names stand beside the ids of an event, as they are when it is told: who was
// forgotten meanwhile is not named.
func TestEventsNameWhoIsNotForgotten(t *testing.T) {
	trip := newTrip("aaaaaaaaaa")
	trip.People = []*roster.Person{{ID: "p1", Name: "Inês", Leader: true},
		{ID: "p2", Name: "Tomasz", Cylinders: []*roster.Cylinder{{ID: "c3", Label: "17", Dive: 1}}}}
	stored := json.RawMessage(
		`{"type":"request.changed","timestamp":"2027-05-14T12:00:00Z","data":{"person":"p2","cylinder":"c3","by":"p1"}}`)
	read := func() (got struct {
		Data struct{ Name, Label, Trip_name, By_name string }
	}) {
		t.Helper()
		body, _, err := Body(trip.ID, stored, trip)
		must(t, err)
		must(t, json.Unmarshal(body, &got))
		return got
	}
	if got := read().Data; got.Name != "Tomasz" || got.Label != "17" || got.Trip_name != "Saturday two-tank" ||
		got.By_name != "Inês" {
		t.Errorf("got %+v", got)
	}
	trip.People[1].Erased = true
	if got := read().Data; got.Name != "" {
		t.Errorf("the forgotten is named: %+v", got)
	}
	if _, _, err := Body(trip.ID, stored, nil); err != nil {
		t.Errorf("of an erased trip: %v", err)
	}
}
