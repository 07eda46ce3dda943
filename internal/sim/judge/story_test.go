package judge

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// The scenario of the stories: a charter to Anvil Ledge, 30 m for 22 minutes, planned
// start 09:00. tomasz and ana dive with cylinders 17 and 22, ines leads and dives with 18,
// noor is crew. Everybody asked for 32.
const (
	tomasz, ines, noor, ana = roster.PersonID("tomasz"), roster.PersonID("ines"), roster.PersonID("noor"),
		roster.PersonID("ana")
	c17, c18, c22 = roster.CylinderID("c17"), roster.CylinderID("c18"), roster.CylinderID("c22")
)

func booked() Booked {
	cylinder := func(id roster.CylinderID, label string) []Cylinder {
		return []Cylinder{{ID: id, Label: label, Asked: 32, Dive: 1}}
	}
	return Booked{
		Units: gas.Metres, Departs: clock("08:30"), FirstDiveAfter: 30, Policy: DefaultPolicy(gas.Metres),
		Dives: []Dive{{Site: "Anvil Ledge", Depth: 30, Minutes: 22}},
		People: []Person{
			{ID: ines, Leader: true, Card: CardSeen, Cylinders: cylinder(c18, "18")},
			{ID: tomasz, Diver: true, Card: CardSeen, Cylinders: cylinder(c17, "17")},
			{ID: ana, Diver: true, Card: CardSeen, Cylinders: cylinder(c22, "22")},
			{ID: noor, Crew: true, Card: CardSeen},
		},
	}
}

// clock is a time of the day of the dive; "-1 20:00" is the evening before.
func clock(s string) time.Time {
	layout, back := "15:04", 0
	if len(s) > 3 && s[:3] == "-1 " {
		s, back = s[3:], -1
	}
	if len(s) > 5 {
		layout = "15:04:05"
	}
	at, err := time.Parse(layout, s)
	if err != nil {
		panic(err)
	}
	return time.Date(2027, 5, 15+back, at.Hour(), at.Minute(), at.Second(), 0, time.UTC)
}

// The words of the stories.

func reads(at string, by roster.PersonID, c roster.CylinderID, id string, value float64, more ...func(*Said)) Said {
	return with(Said{At: clock(at), By: by, Kind: SaidReading, Cylinder: c, Reading: roster.ReadingID(id),
		Value: value}, more)
}

func corrects(at string, by roster.PersonID, of, id string, value float64) Said {
	return Said{At: clock(at), By: by, Kind: SaidCorrection, Of: roster.ReadingID(of),
		Reading: roster.ReadingID(id), Value: value}
}

func undoes(at string, by roster.PersonID, of string) Said {
	return Said{At: clock(at), By: by, Kind: SaidUndo, Of: roster.ReadingID(of)}
}

func says(at string, by roster.PersonID, kind Kind, more ...func(*Said)) Said {
	return with(Said{At: clock(at), By: by, Kind: kind}, more)
}

func with(s Said, more []func(*Said)) Said {
	for _, m := range more {
		m(&s)
	}
	return s
}

func on(analyser string) func(*Said)           { return func(s *Said) { s.Analyser = analyser } }
func air(v float64) func(*Said)                { return func(s *Said) { s.AirPoint = v } }
func carbonOf(ppm float64) func(*Said)         { return func(s *Said) { s.CO, s.HasCO = ppm, true } }
func takenAt(at string) func(*Said)            { return func(s *Said) { s.Taken = clock(at) } }
func of(id string) func(*Said)                 { return func(s *Said) { s.Of = roster.ReadingID(id) } }
func cylinder(c roster.CylinderID) func(*Said) { return func(s *Said) { s.Cylinder = c } }
func about(p roster.PersonID) func(*Said)      { return func(s *Said) { s.Person = p } }
func witness(p roster.PersonID) func(*Said)    { return func(s *Said) { s.Witness = p } }
func label(l string) func(*Said)               { return func(s *Said) { s.Label = l } }
func diveNo(n int) func(*Said)                 { return func(s *Said) { s.Dive = n } }
func boat(b Boat) func(*Said)                  { return func(s *Said) { s.Boat = b } }
func card(c Card) func(*Said)                  { return func(s *Said) { s.Card = c } }
func limit(depth, minutes float64) func(*Said) {
	return func(s *Said) { s.Limit = Limit{depth, minutes} }
}
func humid(celsius, percent float64) func(*Said) {
	return func(s *Said) { s.Weather = gas.Weather{Celsius: celsius, Humidity: percent, Known: true} }
}
func asks(v float64) func(*Said)   { return func(s *Said) { s.Asked = v } }
func message(m string) func(*Said) { return func(s *Said) { s.Message = m } }
func plan(p Dive) func(*Said)      { return func(s *Said) { s.Plan = p } }
func wasDived(depth, minutes float64) func(*Said) {
	return func(s *Said) { s.Dived = Dived{depth, minutes} }
}
func qualified(d gas.Depth) func(*Said) { return func(s *Said) { s.Depth = d } }
func noDecimals(s *Said)                { s.NoDecimals = true }
func yes(s *Said)                       { s.Yes = true }
func inquiry(c ...roster.CylinderID) func(*Said) {
	return func(s *Said) { s.Cylinders, s.Question = c, "q" }
}
func signed(id string) func(*Said) { return func(s *Said) { s.Signature = id } }
func opened(at string) Said        { return says(at, ines, SaidBoatCheck, diveNo(1)) }
func calibrated(at string, c roster.CylinderID, id string, v float64) Said {
	return reads(at, noor, c, id, v, on("A"), air(20.9))
}

// story is a short day with what has to be said of one diver's clearance.
type story struct {
	name   string
	booked func(*Booked)
	said   []Said
	at     string          // 07:45 when empty
	of     roster.PersonID // tomasz when empty
	dive   int             // 1 when 0
	want   want
}

// want is what a story says; what it leaves out is not looked at.
type want struct {
	status   Status
	rules    map[Rule]Severity
	needs    []Need
	max      int
	minutes  int
	counting []roster.ReadingID
	compared []roster.ReadingID
}

func tell(t *testing.T, stories []story) {
	t.Helper()
	for _, s := range stories {
		t.Run(s.name, func(t *testing.T) { s.check(t) })
	}
}

func (s story) clearance() DiverVerdict {
	b := booked()
	if s.booked != nil {
		s.booked(&b)
	}
	if s.at == "" {
		s.at = "07:45"
	}
	if s.of == "" {
		s.of = tomasz
	}
	board := Judge(b, s.said, clock(s.at)).Dives[max(s.dive, 1)-1]
	for _, v := range board.Divers {
		if v.Person == s.of {
			return v
		}
	}
	return DiverVerdict{}
}

func (s story) check(t *testing.T) {
	got, want := s.clearance(), s.want
	if got.Status != want.status {
		t.Errorf("status: got %v, want %v (%v)", got.Status, want.status, got.Rules)
	}
	for r, w := range want.rules {
		if g := got.Rules[r]; g != w {
			t.Errorf("%s: got %v, want %v", r, g, w)
		}
	}
	if want.needs != nil && !slices.Equal(got.Needs, want.needs) {
		t.Errorf("needs: got %v, want %v", got.Needs, want.needs)
	}
	if want.max != 0 && got.MaxDepth != want.max {
		t.Errorf("max: got %d, want %d", got.MaxDepth, want.max)
	}
	if want.minutes != 0 && got.MaxMinutes != want.minutes {
		t.Errorf("minutes: got %d, want %d", got.MaxMinutes, want.minutes)
	}
	s.checkReadings(t, got)
}

func (s story) checkReadings(t *testing.T, got DiverVerdict) {
	if s.want.counting != nil && !cmp.Equal(got.Cylinders[0].Counting, s.want.counting) {
		t.Errorf("counting: got %v, want %v", got.Cylinders[0].Counting, s.want.counting)
	}
	if s.want.compared != nil && !cmp.Equal(got.Cylinders[0].Compared, s.want.compared) {
		t.Errorf("compared: got %v, want %v", got.Cylinders[0].Compared, s.want.compared)
	}
}

func readingIDs(id ...roster.ReadingID) []roster.ReadingID { return id }
