package conversation

import (
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// A number that may be for several trips is asked about, and recorded on none.
func TestNumberForAnyTripIsAsked(t *testing.T) {
	s := newStage(t)
	s.bookTrip("T departs 2027-05-15 08:30 UTC in m")
	s.booking("dive", "Anvil Ledge 30 m for 20 min")
	s.booking("diver", "Tomasz card seen: 17=32")
	p := s.trip.People[0].ID
	other := OtherTrip{ID: "otherother", Name: "Sunday reef", Departs: s.now.Add(time.Hour), Zone: "UTC"}
	now := time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	r := Step(Input{Trip: s.trip, Now: now, Trips: 2, Others: []OtherTrip{other},
		Event: Event{Kind: Text, Person: p, Text: "31.9", At: now, AnyTrip: true,
			Address: roster.Address{Channel: "test", ID: "1"}}})
	if n := len(r.Trip.Person(p).Cylinders[0].Readings); n != 0 {
		t.Errorf("%d readings recorded, want none", n)
	}
	if len(r.Letters) != 1 || r.Letters[0].Message.Lines[0].Key != "diver.trip.which" {
		t.Fatalf("told %+v, want the question", r.Letters)
	}
	var does []string
	for _, row := range r.Letters[0].Message.Buttons {
		does = append(does, row[0].Do)
	}
	if want := "talk " + string(other.ID); len(does) != 2 || does[0] != "talk "+string(s.trip.ID) || does[1] != want {
		t.Errorf("buttons %q, want one for each trip", does)
	}
}
