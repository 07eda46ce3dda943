package conversation

import (
	"encoding/json"
	"fmt"
	"testing"

	"gasmuster/internal/roster"
)

// Somebody who has noted all that one person may is refused in words; nothing
// of it is stored, looking still works, and everybody else goes on.
func TestFull(t *testing.T) {
	at := situation(t, "Tomasz: /help")
	tomasz := at.begins("Tomasz")
	step := func(e Event) (*roster.Trip, Result) {
		trip := edited(at.trip, func(d *roster.Draft) { d.Edit(tomasz.ID).Noted = roster.MaxActs })
		e.Person, e.Source, e.At, e.Address = tomasz.ID, "full", at.now, tomasz.Addresses[0]
		r := stepped(t, Input{Trip: trip, Session: at.sessions[tomasz.ID], Event: e, Now: at.now, Trips: 1})
		return r.Trip, r
	}
	refused := func(r Result) bool {
		for _, l := range r.Letters {
			if l.Person == tomasz.ID && l.Message.Lines[0].Key == "door.enough" {
				return true
			}
		}
		return false
	}
	for _, e := range []Event{{Kind: Text, Text: "17 again 31.9", Ref: "n"}, {Kind: Edited, Text: "31.4", Ref: "m4"},
		{Kind: Button, Do: "undo r9"},
		{Kind: Text, Text: "/leave"}, {Kind: Text, Text: "/units ft"}, {Kind: Button, Do: "units ft"}, {Kind: Join},
		{Kind: Text, Text: "/queue"}} {
		trip, r := step(e)
		if !refused(r) || len(r.Acts) > 0 {
			t.Errorf("%s %q%q: letters %v, acts %v", e.Kind, e.Text, e.Do, r.Letters, r.Acts)
		}
		if a, b := fmt.Sprint(len(readingIDs(at.trip))), fmt.Sprint(len(readingIDs(trip))); a != b {
			t.Errorf("%s %q%q: %s readings, was %s", e.Kind, e.Text, e.Do, b, a)
		}
	}
	for _, e := range []Event{{Kind: Text, Text: "/gas"}, {Kind: Text, Text: "/help"}, {Kind: Button, Do: "howto"},
		{Kind: Text, Text: "/trip"}, {Kind: Text, Text: "/forget"}} {
		if _, r := step(e); refused(r) || len(r.Letters) == 0 {
			t.Errorf("%s %q%q is refused", e.Kind, e.Text, e.Do)
		}
	}
	trip, _ := step(Event{Kind: Forget})
	if !trip.Person(tomasz.ID).Erased {
		t.Error("somebody full can't be forgotten")
	}
}

// A diver's script that never stops leaves a trip that everybody else can use.
func TestFullTripIsBounded(t *testing.T) {
	at := situation(t, "Tomasz: /help")
	tomasz := at.begins("Tomasz")
	for i := range 2 * roster.MaxActs {
		r := Step(Input{Trip: at.trip, Session: at.sessions[tomasz.ID], Now: at.now, Trips: 1,
			Event: Event{Kind: Text, Person: tomasz.ID,
				Text: fmt.Sprintf("17 again 3%d.%d", i%2+1, i%10), Ref: fmt.Sprint("m", i), Source: fmt.Sprint(i), At: at.now,
				Address: tomasz.Addresses[0]}})
		at.sessions[tomasz.ID], at.trip = r.Session, r.Trip
	}
	n := len(readingIDs(at.trip))
	if n < roster.MaxActs/4 || n > roster.MaxActs {
		t.Errorf("%d readings are stored after %d messages", n, 2*roster.MaxActs)
	}
	raw := len(asJSON(t, at.trip))
	if raw > 400<<10 {
		t.Errorf("the trip has %d bytes", raw)
	}
	t.Logf("%d readings, %d bytes", n, raw)
}

func asJSON(t *testing.T, v any) []byte {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}
