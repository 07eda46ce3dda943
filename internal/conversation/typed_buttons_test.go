package conversation

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Who types what stands on a button means the button: in every language, without
// its signs, in lower case and in capitals.
func TestTypedWordsOfAButton(t *testing.T) {
	for _, name := range slices.Sorted(maps.Keys(reach)) {
		how := reach[name]
		t.Run(cell(string(name), "idle"), func(t *testing.T) {
			at := situation(t, how.script)
			p := at.begins(how.who).ID
			sent := at.sent[p]
			if len(sent) == 0 {
				t.Skip("nothing was asked")
			}
			for _, language := range message.Languages() {
				typesButtons(t, at, p, sent[len(sent)-1], language)
			}
		})
	}
}

// TestTypedWordsOfTheBoatQuestion: it comes unasked, so that no question of the
// dialogue is open. One is asked of one cylinder, the other of two.
func TestTypedWordsOfTheBoatQuestion(t *testing.T) {
	for _, script := range []string{
		"@ 08:00\nInês: /boat",
		"Tomasz: on A\nTomasz: 31.9\nTomasz presses [32 %]\n@ 08:00\nInês: /boat",
	} {
		at := situation(t, script)
		p := at.begins("Tomasz").ID
		m := at.sent[p][len(at.sent[p])-1]
		if !strings.HasPrefix(m.Buttons[0][0].Do, "boat ") {
			t.Fatalf("the last message is no boat question: %v", m)
		}
		for _, language := range message.Languages() {
			typesButtons(t, at, p, m, language)
		}
	}
}

func typesButtons(t *testing.T, at *stage, p roster.PersonID, m message.Message, language string) {
	t.Helper()
	trip := speaking(at, p, language)
	asked := at.sessions[p]
	defer func() { at.sessions[p] = asked }()
	in := newTurn(Input{Trip: trip, Session: asked, Event: Event{Person: p}, Now: at.now})
	in.letters = []Letter{{Person: p, Message: m}}
	in.remember()
	at.sessions[p] = in.session
	for _, row := range m.Buttons {
		for _, b := range row {
			words := bareLabel(at.renderer.Line(b.Label, message.Reader{Units: at.trip.Units.String(), Zone: at.trip.Zone,
				Language: language}))
			if b.URL != "" || !strings.ContainsFunc(words, unicode.IsLetter) {
				continue // a link; a number is what it says
			}
			want := at.tries(t, trip, p, Event{Kind: Button, Do: b.Do})
			for _, typed := range []string{words, unsigned(words), strings.ToUpper(words)} {
				if got := at.tries(t, trip, p, Event{Kind: Text, Text: typed}); want != got {
					t.Errorf("%s: %q (%s)\n typed %s\n press %s", language, typed, b.Do, got, want)
				}
			}
		}
	}
}

// bareLabel is a label as somebody types it.
func bareLabel(label string) string {
	return strings.TrimSpace(strings.ToLower(strings.TrimFunc(label, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r)
	})))
}

// unsigned is a label without any sign in it but those of numbers: "no another one".
func unsigned(label string) string {
	word := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }
	words := strings.FieldsFunc(label, func(r rune) bool { return !word(r) && !strings.ContainsRune(".,٫", r) })
	for i := range words {
		words[i] = strings.TrimFunc(words[i], func(r rune) bool { return !word(r) })
	}
	return strings.Join(words, " ")
}

// What is no number of a button is not taken for it.
func TestBareWordsKeepNumbersApart(t *testing.T) {
	for _, c := range []struct {
		one, other string
		same       bool
	}{
		{"No, another one", "no another one", true},
		{"いいえ、別のタンク", "いいえ別のタンク", true},
		{"Non, c'est là", "NON C’EST LA", true},
		{"Answer: 36,4 %", "answer 36.4", true},
		{"It shows 32", "it shows 3.2", false},
		{"It shows 32", "it shows 3 2", false},
		{"It shows 32.4", "it shows 324", false},
	} {
		if got := bareWords(c.one) == bareWords(c.other); got != c.same {
			t.Errorf("%q as %q: %v, want %v", c.one, c.other, got, c.same)
		}
	}
}

// speaking is the trip with a person of another language.
func speaking(at *stage, p roster.PersonID, language string) *roster.Trip {
	d := roster.Change(at.trip)
	d.Edit(p).Language = language
	return d.Done()
}

// tries is what an event would do: what is said back and what is noted.
func (s *stage) tries(t *testing.T, trip *roster.Trip, p roster.PersonID, e Event) string {
	e.Person, e.At, e.Source, e.Ref = p, s.now, "typed", "new"
	e.Address = roster.Address{Channel: "test", ID: string(p)}
	r := stepped(t, Input{Trip: trip, Session: s.sessions[p], Event: e, Now: s.now, Trips: 1})
	return outcome(t, r, p)
}
