package conversation

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// charterOf is a trip of n divers with two cylinders each, whom the bot can
// write to and who know their verdicts.
func charterOf(n int) *roster.Trip {
	trip := edited(bigTrip(n), func(d *roster.Draft) {
		for _, p := range d.People {
			p = d.Edit(p.ID)
			p.Joined = leaderNow
			p.Addresses = []roster.Address{{Channel: "telegram", ID: "1" + string(p.ID)}}
		}
	})
	return Step(Input{Trip: trip, Now: leaderNow, Event: Event{Kind: Timer}}).Trip
}

// BenchmarkReading is one reading of one diver in turn, from its text to all
// that is to be committed: the verdict, what it changes for others and the
// leaders, the next wake-up. The trip stays in memory from one event to the next
// ("kept", as the door keeps it) or comes from the store for each ("loaded";
// reading it from JSON is not counted).
func BenchmarkReading(b *testing.B) {
	for _, n := range []int{4, 15, 45} {
		stored, err := json.Marshal(charterOf(n))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("%d divers/kept", n), func(b *testing.B) { benchmarkReading(b, stored, 50) })
		b.Run(fmt.Sprintf("%d divers/loaded", n), func(b *testing.B) { benchmarkReading(b, stored, 1) })
	}
}

// benchmarkReading loads the trip for every so many events, which come in the last
// quarter of an hour before the planned start.
func benchmarkReading(b *testing.B, stored []byte, events int) {
	var trip *roster.Trip
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if i%events == 0 {
			b.StopTimer()
			trip = roster.NewTrip("", "")
			if err := json.Unmarshal(stored, trip); err != nil {
				b.Fatal(err)
			}
			if events > 1 { // what it remembers is made by an event
				trip = Step(Input{Trip: trip, Now: leaderNow, Event: Event{Kind: Timer}}).Trip
			}
			b.StartTimer()
		}
		divers := trip.People[1:]
		p, at := divers[i%len(divers)], leaderNow.Add(46*time.Minute+15*time.Second*time.Duration(i%events))
		r := Step(Input{Trip: trip, Now: at, Event: Event{Kind: Text, Person: p.ID,
			Text: fmt.Sprintf("%s: 31.%d again", p.Cylinders[0].Label, 3+i%5),
			Ref:  fmt.Sprint(i), At: at, Address: p.Addresses[0]}})
		if len(r.Letters) == 0 {
			b.Fatal("nobody answered")
		}
		trip = r.Trip
	}
}
