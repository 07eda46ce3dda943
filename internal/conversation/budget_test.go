package conversation

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gasmuster/internal/message"
	"gasmuster/internal/message/messagetest"
	"gasmuster/internal/roster"
)

// Every message of every story keeps to its budget of lines and words, in every
// language, and no line breaks within a verdict or between a value and its unit.
func TestEveryMessageIsShort(t *testing.T) {
	files, err := filepath.Glob(transcripts + "/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	seen := map[string]int{}
	for _, file := range files {
		if strings.HasPrefix(filepath.Base(file), "main-story.") {
			continue // the story in other languages: each message is written in all of them below
		}
		t.Run(filepath.Base(file), func(t *testing.T) { storyIsShort(t, file, seen) })
	}
	for _, b := range messagetest.Names() {
		if seen[b] == 0 {
			t.Errorf("no story has a message of the kind %q", b)
		}
	}
}

func storyIsShort(t *testing.T, file string, seen map[string]int) {
	script, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s := played(t, string(script))
	for _, ms := range s.sent {
		for _, m := range ms {
			m = linked(m)
			if b, ok := messagetest.Of(m); ok {
				seen[b.Name]++
			}
			for _, tag := range message.Languages() {
				to := message.Reader{Language: tag, Zone: s.trip.Zone, Units: s.trip.Units.String()}
				if over := messagetest.Over(s.renderer, m, to); over != "" {
					t.Error(over)
				}
				if text := s.renderer.Text(m, to, message.HTML); messagetest.Torn(text) != "" {
					t.Errorf("%s: %q can be torn apart at the end of a line:\n%s", tag, messagetest.Torn(text), text)
				}
			}
		}
	}
}

// played is the stage after a transcript.
func played(t *testing.T, script string) *stage {
	t.Helper()
	s := newStage(t)
	for n, line := range strings.Split(strings.TrimRight(script, "\n"), "\n") {
		if !strings.HasPrefix(line, " ") {
			s.at = n + 1
			s.written(line)
		}
	}
	return s
}

// A day of two dives: eight divers and their leader, two of them trouble. It
// keeps to what a day may take of those with nothing amiss, and of the leader.
func TestTheWholeDayIsShort(t *testing.T) {
	script, err := os.ReadFile(transcripts + "/eight-divers.txt")
	if err != nil {
		t.Fatal(err)
	}
	s := played(t, string(script))
	words := func(p roster.PersonID) (messages, words int) {
		for _, m := range s.sent[p] {
			words += messagetest.Words(s.renderer.Text(linked(m), message.Reader{Zone: s.trip.Zone, Units: "m"}, message.Plain),
				"en")
		}
		return len(s.sent[p]), words
	}
	for name, most := range map[string][2]int{"Inês": {20, 900}, "Tomasz": {10, 350}, "Marit": {10, 350},
		"Kenji": {10, 350},
		"Lucía": {10, 350}, "Nils": {10, 350}, "Aoife": {10, 350}} {
		n, w := words(s.begins(name).ID)
		if t.Logf("%s: %d messages, %d words", name, n, w); n > most[0] || w > most[1] {
			t.Errorf("%s gets %d messages with %d words, at most %d and %d", name, n, w, most[0], most[1])
		}
	}
}
