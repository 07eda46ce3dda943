package conversation

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Every kind of pattern, in both directions, has its words.
func TestPatternsHaveWords(t *testing.T) {
	d := newDesk(t)
	turn := newTurn(Input{Trip: d.trip, Now: d.now})
	for _, kind := range []gas.PatternKind{gas.AnalyserOff, gas.BankOff, gas.FillOff, gas.AnalyserOrBankOff} {
		for _, points := range []float64{1.46, -1.46} {
			for _, analyser := range []string{"A", ""} {
				p := gas.Pattern{Kind: kind, Analyser: analyser, Points: points, Readings: 5}
				if kind == gas.FillOff {
					p.Cylinder = string(d.trip.Person("p2").Cylinders[0].ID)
				}
				for _, line := range turn.patternLines([]gas.Pattern{p}) {
					if text := renderer.Line(line, message.Reader{}); strings.Contains(text, "⟦") || strings.Contains(text, "-1") {
						t.Errorf("%s %+.2f on %q: %s", kind, points, analyser, text)
					}
				}
			}
		}
	}
}

// A bank that came out rich is said to the leader and the shop once, when it
// shows, and stays on the board.
func TestBankPatternIsNews(t *testing.T) {
	d := newDesk(t)
	d.trip = edited(bigTrip(0), func(d *roster.Draft) {
		for i := range 6 {
			p := &roster.Person{Name: fmt.Sprintf("Diver %d", i), Card: gas.CardSeen,
				Cylinders: []*roster.Cylinder{{Label: fmt.Sprint(100 + i), Asked: 30, Dive: 1}}}
			d.AddPerson(p, "", leaderNow)
		}
	})
	told, questioned := 0, 0
	for i := range 6 {
		d.now = d.now.Add(time.Minute)
		c := d.trip.People[1+i].Cylinders[0].ID
		r := stepped(t, Input{Trip: d.trip, Now: d.now, Event: Event{Kind: Text, Person: d.trip.People[1+i].ID, At: d.now,
			Ref:  fmt.Sprint(i),
			Text: fmt.Sprintf("%s on %c", []string{"31.4", "31.5", "31.6"}[i%3], 'A'+i%2)}})
		d.trip = r.Trip
		if d.trip.ShownOf(c, d.now) == nil {
			t.Fatalf("reading %d was not taken", i)
		}
		for _, l := range r.Letters {
			if l.Person == inês && strings.Contains(english(l.Message), "whatever the analyser") {
				told++
			}
		}
		for _, h := range r.Happened {
			if data, ok := h.Data.(map[string]any); ok && data["pattern"] == gas.BankOff {
				questioned++
			}
		}
	}
	if told != 1 || questioned != 1 {
		t.Errorf("the leader was told %d times and the shop %d, want once each", told, questioned)
	}
	if got := d.types("/board"); !strings.Contains(got, "whatever the analyser") {
		t.Errorf("the board does not say that the bank is off:\n%s", got)
	}
}
