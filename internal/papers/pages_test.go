package papers

import (
	"regexp"
	"strconv"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// seven is a day of two dives with seven divers, one of them the leader: all is
// analysed, dive 1 is signed.
func seven(t *testing.T) *roster.Trip {
	trip := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	*trip.EditPlan() = roster.Plan{Name: "Saturday two-tank", Zone: "Atlantic/Azores", Departs: dawn.Add(90 * time.Minute),
		Policy: gas.DefaultPolicy(gas.Metres), Analysers: []roster.Analyser{{Name: "A"}}, Dives: []roster.Dive{
			{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(32), Minutes: 20},
			{Site: "Lime Kiln Wall", Depth: gas.M(18), Bottom: gas.M(24), Minutes: 40, Interval: 60}}}
	for i, name := range []string{"Inês", "Tomasz", "Lucía", "Marit", "Kenji", "Aoife", "Nils"} {
		p := &roster.Person{Name: name, Leader: i == 0, Card: gas.CardSeen, DepthLimit: gas.M(40), Joined: dawn,
			DivedBefore: "no"}
		for dive := 1; dive <= 2; dive++ {
			p.Cylinders = append(p.Cylinders, &roster.Cylinder{Label: strconv.Itoa(10*dive + i), Asked: 32, Dive: dive})
		}
		trip.AddPerson(p, "", dawn)
	}
	at := dawn
	for _, p := range trip.People {
		for _, c := range p.Cylinders {
			at = at.Add(time.Minute)
			trip.Record(c.ID, roster.Reading{Percent: 31.4, At: at, Ref: string(c.ID), By: p.ID, Analyser: "A"}, at)
		}
	}
	trip.OpenBoat(1, trip.People[0].ID, at)
	return sign(t, trip, at.Add(time.Minute))
}

var pageMark = regexp.MustCompile(`/Type /Page\b`)

// Seven divers stand on one page of whatever is printed of them, labels apart, on
// both sizes of paper and in every language.
func TestSevenDiversAreOnePage(t *testing.T) {
	trip, p := seven(t), press()
	sheet := FillSheet{Day: "2027-05-15", Total: "14", Printed: "07:00", Blends: []FillBlend{{Asked: 32, Blend: "32 %"}}}
	for i := range 14 {
		sheet.Blends[0].Rows = append(sheet.Blends[0].Rows, FillRow{Boat: "08:30 Saturday two-tank", Diver: "Tomasz Łęcki",
			Cylinder: strconv.Itoa(10 + i),
			Dive:     "1: Lime Kiln Wall, 30 m", Card: "seen", Limit: "30 m"})
	}
	for _, paper := range []Paper{A4, Letter} {
		for _, tag := range []string{"en", "es", "pt", "fr", "it", "de", "nl", "ja", "zh", "ar"} {
			for name, make := range map[string]func() ([]byte, error){
				"record": func() ([]byte, error) { return p.RecordPDF(trip, tag, paper) },
				"muster": func() ([]byte, error) { return p.MusterPDF(trip, tag, paper) },
				"fills":  func() ([]byte, error) { return p.FillsPDF(sheet, tag, paper) },
				"cards":  func() ([]byte, error) { return p.Cards(trip, cardsOf(trip), tag, paper) },
			} {
				b, err := make()
				if n := len(pageMark.FindAll(b, -1)); err != nil || n != 1 {
					t.Errorf("%s on %s in %s: %d pages, want 1, %v", name, paper, tag, n, err)
				}
				keep(t, "seven-"+name+"-"+tag, b)
			}
		}
	}
}
