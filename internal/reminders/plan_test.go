package reminders

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/evidence"
	"gasmuster/internal/roster"
)

// What trips in the store remember are these very keys: one that changes makes
// every trip under way say things twice.
func TestKeysStayAsTheyAreStored(t *testing.T) {
	trip := saturday()
	trip.EditCourse().GroupChat = roster.Address{Channel: "telegram", ID: "-1"}
	trip.EditCourse().Announced = departure.Add(-20*time.Hour + 123*time.Millisecond)
	trip.Queue = &roster.Queue{Waiting: []roster.PersonID{"p2"},
		Serving: map[string]roster.Turn{"A": {Person: "p5", Since: departure.Add(-time.Hour + 5*time.Microsecond)}}}
	trip.EditDive(1).Boat = []roster.Opening{{Moment: evidence.Moment{At: departure}}}
	var got strings.Builder
	list := func() {
		for _, d := range Plan(trip.Trip, departure) {
			fmt.Fprintf(&got, "%s | %s\n", d.Key, d.said)
		}
	}
	list()
	trip.EditDive(1).Outcome = &roster.Outcome{Moment: evidence.Moment{At: departure.Add(time.Hour)}}
	trip.EditDive(2).Boat = []roster.Opening{{Moment: evidence.Moment{At: departure.Add(2 * time.Hour)}}}
	list()

	want, err := os.ReadFile("testdata/keys.golden") // written by the first version; no test rewrites it
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got.String()); diff != "" {
		t.Errorf("keys (-stored +now):\n%s", diff)
	}
}

// plainNext is Next the long way round.
func plainNext(t *roster.Trip, now time.Time) time.Time {
	var next time.Time
	for _, d := range Plan(t, now) {
		if _, decided := t.Reminded[d.Key]; decided {
			continue
		}
		at := d.At
		if wait, _, held := held(t, d, latest(now, d.At)); held {
			at = wait
		}
		if next.IsZero() || at.Before(next) {
			next = at
		}
	}
	return next
}

func BenchmarkNext(b *testing.B) {
	trip := saturday()
	for _, d := range Plan(trip.Trip, departure) {
		if d.Kind == Evening {
			Remember(trip, Decision{Due: d, Action: Send}, departure.Add(-3*time.Hour))
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		Next(trip.Trip, departure.Add(-150*time.Minute))
	}
}
