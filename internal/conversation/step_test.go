package conversation

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

func said(r Result, p roster.PersonID) []string {
	var keys []string
	for _, l := range r.Letters {
		if l.Person != p {
			continue
		}
		for _, line := range l.Message.Lines {
			keys = append(keys, line.Key)
		}
	}
	return keys
}

// step plays one more event on a stage and returns what came of it.
func (s *stage) step(e Event) Result {
	s.t.Helper()
	e.Source, e.At = "step", s.now
	r := stepped(s.t, Input{Trip: s.trip, Session: s.sessions[e.Person], Event: e, Now: s.now, Trips: 1})
	s.sessions[e.Person], s.trip = r.Session, r.Trip
	return r
}

// A session may come from another version of the program, or be damaged.
func TestASessionThatMakesNoSenseIsAnswered(t *testing.T) {
	s := situation(t, "")
	tomasz, ines := s.begins("Tomasz").ID, s.begins("Inês").ID
	all := append(slices.Collect(maps.Keys(states)), "state.of.another.version")
	for _, state := range all {
		for _, data := range []json.RawMessage{nil, json.RawMessage(`{"items":null,"item":7,"pending":{"items":[{}]}}`),
			json.RawMessage(`[1]`)} {
			for _, p := range actors(state, tomasz, ines) {
				for _, e := range []Event{{Kind: Text, Text: "32.1"}, {Kind: Text, Text: "yes"}, {Kind: Text, Text: "x"},
					{Kind: Button, Do: "which c3"},
					{Kind: Button, Do: "again correct"}, {Kind: Button, Do: "mean reading"}, {Kind: Button, Do: "reopen yes"},
					{Kind: Button, Do: "lcal yes"}, {Kind: Button, Do: "lsitesure yes"}} {
					e.Person, e.At, e.Source = p, s.now, "x"
					r := stepped(t, Input{Trip: s.trip, Session: Session{State: state, Data: data}, Event: e, Now: s.now, Trips: 1})
					if len(said(r, p)) == 0 {
						t.Errorf("%s %q%q in state %q with %s is not answered", e.Kind, e.Text, e.Do, state, data)
					}
				}
			}
		}
	}
}

// actors are those who can be in a state.
func actors(s State, diver, leader roster.PersonID) []roster.PersonID {
	if strings.HasPrefix(string(s), "leader.") {
		return []roster.PersonID{leader}
	}
	return []roster.PersonID{diver}
}

func TestAnEventOfNobodySaysNothing(t *testing.T) {
	s := situation(t, "")
	r := s.step(Event{Kind: Text, Text: "32.4", Person: "p999"})
	if len(r.Letters) != 0 {
		t.Errorf("got %d letters, want none", len(r.Letters))
	}
}

// What one person is told of somebody else's doing, they are told once.
func TestAChangedVerdictIsToldOnce(t *testing.T) {
	s := situation(t, "Marit joins\nMarit presses [No]\nMarit: 31.7")
	marit := s.begins("Marit").ID
	s.written("Inês: /cardseen Marit")
	told := s.sent[marit][len(s.sent[marit])-1]
	if want := "diver.changed"; told.Lines[len(told.Lines)-1].Key != want {
		t.Fatalf("after her card was seen Marit was told %v, want %q at its end", told.Lines, want)
	}
	before := len(s.sent[marit])
	s.written("Inês: /board")
	s.written("Tomasz: /gas")
	if got := len(s.sent[marit]); got != before {
		t.Errorf("Marit was told %d more times without news", got-before)
	}
}

// No button, anywhere, carries a number that was measured: it would let a
// reading be recorded that no analyser showed.
func TestNoButtonSuppliesAMeasuredValue(t *testing.T) {
	for _, state := range slices.Sorted(maps.Keys(reach)) {
		s := situation(t, reach[state].script)
		p := s.begins(reach[state].who).ID
		for _, m := range s.sent[p] {
			for _, do := range dos(m) {
				before := readingIDs(s.trip)
				r := stepped(t, Input{Trip: s.trip, Event: Event{Kind: Button, Do: do, Person: p, Source: "x", At: s.now},
					Now: s.now, Trips: 1})
				for id := range readingIDs(r.Trip) {
					if _, reading := r.Trip.Reading(id); !before[id] && !asked(s.trip, reading.Percent) {
						t.Errorf("button %q alone, with nothing typed, stored a reading", do)
					}
				}
			}
		}
	}
}

// asked tells whether a number was typed before and is being asked about.
func asked(trip *roster.Trip, p gas.Percent) bool {
	for _, person := range trip.People {
		for _, c := range person.Cylinders {
			if slices.ContainsFunc(c.Questions, func(q roster.Question) bool { return q.Percent == p }) {
				return true
			}
		}
	}
	return false
}

func dos(m message.Message) []string {
	var all []string
	for _, row := range m.Buttons {
		for _, b := range row {
			all = append(all, b.Do)
		}
	}
	return all
}

// Two cylinders in one message are stored together or not at all.
func TestAMessageIsTakenWholeOrNotAtAll(t *testing.T) {
	for _, text := range []string{"17: 31.9, 22: 210", "17: 31.9 17: 33.1", "17 31.9 and EAN36", "both 0.32"} {
		s := situation(t, "Tomasz: on A\nTomasz: 20.9\nTomasz: /help")
		r := s.step(Event{Kind: Text, Text: text, Person: s.begins("Tomasz").ID,
			Address: roster.Address{Channel: "test", ID: "p2"}})
		for _, h := range r.Happened {
			if h.Type == "reading.recorded" {
				t.Errorf("%q: %v was stored", text, h.Data)
			}
		}
	}
}

// The request check recommends as product rules say: 31 at 33.5 m, with 32 the
// richest that fits at all (NOAA: 1.4 atm / 4.35 atm = 32.18 %).
func TestTheRecommendedBlend(t *testing.T) {
	for _, c := range []struct {
		name, depth   string
		best, richest gas.Percent
	}{
		{"33.5 m", "33.5 m", 31, 32},
		{"110 ft", "110 ft", 31, 32},                    // 1.4 / (1 + 110/33) = 32.31 %
		{"28 m allows 36 exactly less", "28 m", 35, 36}, // 1.4 / 3.8 = 36.84 %
		{"25 m is the policy's 40", "25 m", 39, 40},     // 1.4 / 3.5 = 40 % exactly: 41 does not fit
		{"12 m: the policy's maximum", "12 m", 39, 40},  // 1.4 / 2.2 = 63.6 %; 41 is no gas that the policy has
		{"56 m: nothing a point rich", "56 m", 0, 21},   // 1.4 / 6.6 = 21.21 %, where the policy allows that depth
		{"41 m: deeper than the policy", "41 m", 0, 0},  // 40 m, the default
		{"60 m: nothing", "60 m", 0, 0},                 // 1.4 / 7 = 20 %
	} {
		t.Run(c.name, func(t *testing.T) {
			unit := c.depth[len(c.depth)-2:]
			if unit != "ft" {
				unit = "m"
			}
			s := newStage(t)
			s.bookTrip("T departs 2027-05-15 08:30 UTC in " + unit)
			s.booking("dive", "Anvil Ledge "+c.depth)
			if c.best != 0 || c.richest != 0 {
				s.trip.Policy.Deepest = gas.M(60)
			}
			s.booking("diver", "Aoife card seen: 36")
			tn := newTurn(Input{Trip: s.trip, Now: s.now})
			p := s.trip.People[0]
			got := tn.checkRequest(p, p.Cylinders[0])
			if got.best != c.best || got.richest != c.richest {
				t.Errorf("got %v, %v at all; want %v, %v", got.best, got.richest, c.best, c.richest)
			}
		})
	}
}
