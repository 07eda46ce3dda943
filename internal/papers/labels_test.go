package papers

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestLabelsOnlyOfWhatIsAnalysed(t *testing.T) {
	trip := roster.Change(charter(t))
	trip.EditCylinder(trip.People[3].Cylinders[1].ID).Readings = nil
	c := trip.People[4].Cylinders[1]
	at := dawn.Add(2 * time.Hour)
	// disagrees: unsettled
	trip.Record(c.ID, roster.Reading{Percent: 35.5, At: at, By: trip.People[4].ID, Analyser: "B"}, at)
	labels, without := labelsOf(trip.Done(), press())
	var got []string
	for _, l := range without {
		got = append(got, l.cylinder.Label)
	}
	if diff := cmp.Diff([]string{"D2", "E2"}, got); diff != "" {
		t.Errorf("without a label (-want +got):\n%s", diff)
	}
	if len(labels) != 10 {
		t.Errorf("labels: got %d, want 10", len(labels))
	}
}

// A no-go cylinder's label says for which site it is none, and the record too;
// air has no depth on it; a diver's max that is shallower than the MOD stands
// beside it.
func TestLabelsSayWhatTheGasIsNotFor(t *testing.T) {
	trip := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	*trip.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores",
		Departs: dawn.Add(90 * time.Minute), Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(18), Bottom: gas.M(34), Minutes: 22}}}
	for _, p := range []*roster.Person{{Name: "Inês", Leader: true}, {Name: "Tomasz", Card: gas.CardNone},
		{Name: "Marit", Card: gas.CardNone},
		{Name: "Yusuf", Card: gas.CardSeen, DepthLimit: gas.M(20)}} {
		if !p.Leader {
			p.Cylinders = []*roster.Cylinder{{Label: p.Name[:1] + "1", Asked: 32, Dive: 1}}
		}
		trip.AddPerson(p, "", dawn)
	}
	trip.SetAsked(trip.People[2].Cylinders[0].ID, gas.Air, "", dawn)
	for i, o2 := range []gas.Percent{0, 31.2, 20.9, 31.2} {
		if p := trip.People[i]; o2 > 0 {
			at := dawn.Add(time.Duration(i) * time.Minute)
			trip.Record(p.Cylinders[0].ID, roster.Reading{Percent: o2, At: at, By: p.ID, Witness: trip.People[0].ID}, at)
		}
	}
	done := trip.Done()
	text := pdfText(t, func() ([]byte, error) { return press().Labels(done, "en", A4) })
	for _, want := range []string{"NOT FOR Anvil Ledge", "AIR · 20.9 %", "MAX 20 m"} {
		if !strings.Contains(text, want) {
			t.Errorf("the labels don't say %q: %s", want, text)
		}
	}
	if n := strings.Count(text, "MOD "); n != 2 { // not of air
		t.Errorf("MOD stands on %d labels, want 2: %s", n, text)
	}
	for _, line := range press().Record(done, "en").Dives[0].Versions[0].Divers {
		if got, want := line.Cylinders[0].NotFor != "", line.Name == "Tomasz"; got != want {
			t.Errorf("%s: not for %q", line.Name, line.Cylinders[0].NotFor)
		}
	}
}
