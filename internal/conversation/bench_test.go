package conversation

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// unchecked lets a benchmark measure boards without the check of all tests; see
// board_test.go.
func unchecked(b *testing.B) {
	check := checkBoard
	checkBoard = nil
	b.Cleanup(func() { checkBoard = check })
}

// charterOf is a trip of n divers with two cylinders each, whom the bot can
// write to and who know their verdicts.
func charterOf(n int) *roster.Trip {
	trip := bigTrip(n)
	for _, p := range trip.People {
		p.Joined = leaderNow
		p.Addresses = []roster.Address{{Channel: "telegram", ID: "1" + string(p.ID)}}
	}
	Step(Input{Trip: trip, Now: leaderNow, Event: Event{Kind: Timer}})
	trip.Acts = nil
	return trip
}

// BenchmarkReading is one reading of one diver in turn, from its text to all
// that is to be committed: the verdict, what it changes for others and the
// leaders, the next wake-up. The trip stays in memory from one event to the next
// ("kept", as the door keeps it) or comes from the store for each ("loaded";
// reading it from JSON is not counted).
func BenchmarkReading(b *testing.B) {
	unchecked(b)
	for _, n := range []int{4, 15, 45} {
		stored, err := json.Marshal(charterOf(n))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("%d divers/kept", n), func(b *testing.B) { benchmarkReading(b, stored, 50) })
		b.Run(fmt.Sprintf("%d divers/loaded", n), func(b *testing.B) { benchmarkReading(b, stored, 1) })
	}
}

// benchmarkReading loads the trip for every so many events.
func benchmarkReading(b *testing.B, stored []byte, events int) {
	var trip *roster.Trip
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if i%events == 0 {
			b.StopTimer()
			trip = new(roster.Trip)
			if err := json.Unmarshal(stored, trip); err != nil {
				b.Fatal(err)
			}
			if events > 1 {
				trip.Board(leaderNow)
			}
			b.StartTimer()
		}
		divers := trip.People[1:]
		p, at := divers[i%len(divers)], leaderNow.Add(time.Hour+time.Duration(i)*time.Minute/10)
		r := Step(Input{Trip: trip, Now: at, Event: Event{Kind: Text, Person: p.ID, Text: fmt.Sprintf("%s: 31.%d again", p.Cylinders[0].Label, 3+i%5),
			Ref: fmt.Sprint(i), At: at, Address: p.Addresses[0]}})
		if len(r.Letters) == 0 {
			b.Fatal("nobody answered")
		}
		trip.Acts = nil
	}
}
