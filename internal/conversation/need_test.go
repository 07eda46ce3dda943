package conversation

import (
	"strings"
	"testing"

	"gasmuster/internal/roster"
)

// levels are the most needed of the letters of one turn, by their reader.
func levels(letters []Letter) map[roster.PersonID]roster.Level {
	of := map[roster.PersonID]roster.Level{}
	for _, l := range letters {
		if was, more := of[l.Person]; !more || l.Level < was {
			of[l.Person] = l.Level
		}
	}
	return of
}

// A verdict and what a leader must know go first, then answers, then the
// words of a leader to others.
func TestHowMuchAMessageIsNeeded(t *testing.T) {
	const ready = "Marit joins\nMarit presses [No]\n"
	for _, tt := range []struct {
		name, before, who, does string
		want                    map[string]roster.Level
	}{
		{"a reading", ready, "Marit", "31.7", map[string]roster.Level{"Marit": roster.LevelVerdict}},
		{"a question", ready, "Marit", "/help", map[string]roster.Level{"Marit": roster.LevelAnswer}},
		{"how one stands", ready, "Marit", "/gas", map[string]roster.Level{"Marit": roster.LevelVerdict}},
		{"a no-go", ready, "Marit", "39.9", map[string]roster.Level{"Marit": roster.LevelVerdict,
			"Inês": roster.LevelVerdict}},
		{"words that a leader must hear", ready, "Marit", "the valve is leaking",
			map[string]roster.Level{"Inês": roster.LevelVerdict}},
		{"a card seen changes a verdict", ready + "Marit: 31.7", "Inês", "/cardseen Marit",
			map[string]roster.Level{"Marit": roster.LevelVerdict, "Inês": roster.LevelAnswer}},
		{"a leader asks again", ready, "Inês", "[lnudge]",
			map[string]roster.Level{"Marit": roster.LevelWord, "Inês": roster.LevelAnswer}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := situation(t, tt.before)
			e := Event{Kind: Text, Text: tt.does, Person: s.begins(tt.who).ID}
			if do, pressed := strings.CutPrefix(tt.does, "["); pressed {
				e = Event{Kind: Button, Do: strings.TrimSuffix(do, "]"), Person: e.Person}
			}
			got := levels(s.step(e).Letters)
			for name, want := range tt.want {
				if level, told := got[s.begins(name).ID]; !told || level != want {
					t.Errorf("%s was told %v at level %d, want %d", name, told, level, want)
				}
			}
		})
	}
}
