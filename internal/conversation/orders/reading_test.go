package orders

import (
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// What stands beside the cylinder of a witnessed reading is taken out of its words, and
// nothing else.
func TestWitnessedWords(t *testing.T) {
	trip := tripOf("Marit")
	d := roster.Change(trip)
	d.Analysers = []roster.Analyser{{Name: "A"}}
	trip = d.Done()
	for _, c := range []struct {
		typed, stage, analyser, left string
		air                          gas.Percent
	}{
		{"18 32.4", "", "", "18 32.4", 0},
		{"18 32.4 boat a", "boat", "A", "18 32.4", 0},
		{"18 32.4 on Blue,", "", "Blue,", "18 32.4", 0},
		{"18 32.4 A air 20.9 dock", "dock", "A", "18 32.4", 20.9},
		{"18 32.4 air 20.9", "", "", "18 32.4", 20.9},
		{"18 32.4 air 30", "", "", "18 32.4 air 30", 0},
		{"A 32.4", "", "", "A 32.4", 0}, // a cylinder may be called like an analyser
	} {
		air, spoken, words := TakeAir(trip, strings.Fields(c.typed))
		stage, analyser, words := TakeStage(trip, words)
		if analyser == "" {
			analyser = spoken
		}
		if left := strings.Join(words, " "); air != c.air || stage != c.stage || analyser != c.analyser || left != c.left {
			t.Errorf("%q: air %v, stage %q, analyser %q, left %q", c.typed, air, stage, analyser, left)
		}
	}
}

// Only a reading is read: no order, no pressure.
func TestOnlyAReadingIsWitnessed(t *testing.T) {
	for typed, want := range map[string]string{"32.4": "", "32,4 %": "", "EAN32": "for.doubt.blend",
		"210 bar": "for.doubt.pressure", "blue": "for.doubt"} {
		p, problem := ReadPercent(typed)
		if problem.Key != want || (want == "") != (p == 32.4) {
			t.Errorf("%q: %v, %q, want %q", typed, p, problem.Key, want)
		}
	}
}

// A time of day is the nearest one: shortly after midnight that of the evening before.
func TestTimesAreTheNearest(t *testing.T) {
	now := time.Date(2027, 5, 15, 0, 20, 0, 0, time.UTC)
	for typed, want := range map[string]time.Time{
		"23:40 Ana": time.Date(2027, 5, 14, 23, 40, 0, 0, time.UTC),
		"0:05 Ana":  time.Date(2027, 5, 15, 0, 5, 0, 0, time.UTC),
		"Ana 23:40": {},
	} {
		if at, _ := TakeClock(strings.Fields(typed), "en", now); !at.Equal(want) {
			t.Errorf("%q: %v, want %v", typed, at, want)
		}
	}
	at, rest := TakeTime([]string{"18", "32.4", "23:40", "A"}, now)
	if got := strings.Join(rest, " "); !at.Equal(time.Date(2027, 5, 14, 23, 40, 0, 0, time.UTC)) || got != "18 32.4 A" {
		t.Errorf("%v with %q left", at, got)
	}
}

// Outcomes, dives and limits are taken with what is wrong with them.
func TestDivedIsTaken(t *testing.T) {
	for _, c := range []struct {
		typed   string
		dive    int
		depth   gas.Depth
		minutes float64
		problem string
	}{
		{"dive 1 28m 35", 1, gas.M(28), 35, ""},
		{"2 90 ft 40 min", 2, gas.Ft(90), 40, ""},
		{"3 28m 35", 0, gas.Depth{}, 0, "dived.no-such-dive"},
		{"", 0, gas.Depth{}, 0, "dived.ask"},
		{"1 deep", 1, gas.Depth{}, 0, "dived.no-depth"},
		{"1 200m 35", 1, gas.M(200), 0, "depth.too-deep"},
		{"1 28m", 1, gas.M(28), 0, "dived.no-minutes"},
		{"1 28m 500", 1, gas.M(28), 500, "minutes.absurd"},
	} {
		var depth gas.Depth
		var minutes float64
		dive, words, problem := TakeDive(strings.Fields(c.typed), 2)
		if problem.Key == "" {
			depth, minutes, _, problem = TakeDived(dive, words, gas.Metres)
		}
		if dive != c.dive || depth != c.depth || minutes != c.minutes || problem.Key != c.problem {
			t.Errorf("%q: dive %d, %v, %v minutes, %q", c.typed, dive, depth, minutes, problem.Key)
		}
	}
}
