package conversation

import (
	"slices"
	"testing"

	"gasmuster/internal/message"
)

// A number that somebody gives for another is not recorded: the answer names
// the leader, and a button passes the words on.
func TestNumbersOfOthers(t *testing.T) {
	for _, c := range []struct {
		typed  string
		others bool
	}{
		{"my wife's shows 32.4", true}, {"the sticker says 32.4", true}, {"qwrtz 32.4", false},
	} {
		t.Run(c.typed, func(t *testing.T) {
			d := newDesk(t)
			tomasz := d.trip.People[1].ID
			r := stepped(t, Input{Trip: d.trip, Now: d.now, Trips: 1,
				Event: Event{Kind: Text, Source: "s", Person: tomasz, Text: c.typed, At: d.now}})
			m := r.Letters[len(r.Letters)-1].Message
			if got := slices.ContainsFunc(m.Lines,
				func(l message.Line) bool { return l.Key == "diver.doubt.others" }); got != c.others {
				t.Errorf("asks whose cylinder it is: %v, want %v (%v)", got, c.others, m.Lines)
			}
			if !slices.ContainsFunc(m.Buttons, func(row []message.Button) bool { return row[0].Do == "tell" }) {
				t.Error("no button passes the words on")
			}
			if n := len(r.Trip.Person(tomasz).Cylinders[0].Readings); n != 0 {
				t.Errorf("%d readings, want none", n)
			}
		})
	}
}
