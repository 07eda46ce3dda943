package conversation

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Whatever people type, press or edit: Step doesn't panic, answers, renders,
// and stores no reading that was not typed.

func fuzzKinds() []Kind { return []Kind{Text, Edited, Button, GroupText} }

func FuzzStep(f *testing.F) {
	for i, s := range append(texts, "17: 32.4, 22: 36,0", "no, 31.4", "/for Tomasz 17 32.4 boat A", "/site 1 Reef 28m",
		"/limit Tomasz 18",
		"/signoff", "\x00\xff\xfe", "Ω≈ç√∫", "1e309", "-32.4", "32.4.1", "３２．４", "३२.४", "' OR 1=1 --", "{{.percent}}",
		"%s%n", "../../etc") {
		f.Add(uint8(i), uint8(i/4), s)
	}
	for i, s := range doings() {
		f.Add(uint8(i), uint8(2), s)
	}
	names := fuzzStages(f)
	f.Fuzz(func(t *testing.T, where, kind uint8, text string) {
		if len(text) > 5000 {
			return
		}
		s := names[int(where)%len(names)]
		stepOnce(t, s, fuzzKinds()[int(kind)%4], text)
	})
}

// fuzzed is a stage and who acts on it.
type fuzzed struct {
	*stage
	who roster.PersonID
}

// fuzzStages are the states of the matrix, built once.
func fuzzStages(f *testing.F) []fuzzed {
	var all []fuzzed
	for _, s := range slices.Sorted(func(yield func(State) bool) {
		for k := range reach {
			if !yield(k) {
				return
			}
		}
	}) {
		st := situation(f, reach[s].script)
		all = append(all, fuzzed{st, st.begins(reach[s].who).ID})
	}
	return all
}

func stepOnce(t *testing.T, s fuzzed, kind Kind, text string) {
	t.Helper()
	e := Event{Kind: kind, Source: "fuzz", Ref: "fuzz", Person: s.who, At: s.now,
		Address: roster.Address{Channel: "test", ID: "x"}}
	if kind == Button {
		e.Do = text
	} else {
		e.Text = text
	}
	if kind == Edited {
		e.Ref = "m4"
	}
	before := readingIDs(s.trip)
	r := stepped(t, Input{Trip: s.trip, Session: s.sessions[s.who], Event: e, Now: s.now, Trips: 1})
	if kind != GroupText && !slices.ContainsFunc(r.Letters, func(l Letter) bool { return l.Person == s.who }) {
		t.Errorf("%s %q in %q is not answered", kind, text, s.sessions[s.who].State)
	}
	for _, l := range r.Letters {
		rendersWell(t, l.Message)
	}
	for _, p := range r.Trip.People {
		for _, c := range p.Cylinders {
			for _, reading := range c.Readings {
				if !before[reading.ID] && kind != Button && !typedNumber(text, float64(reading.Percent)) &&
					!pendingNumber(s, float64(reading.Percent)) {
					t.Errorf("%s %q in %q stored %v, which nobody typed", kind, text, s.sessions[s.who].State, reading.Percent)
				}
			}
		}
	}
	stored(t, r.Trip) // still JSON
}

func readingIDs(trip *roster.Trip) map[roster.ReadingID]bool {
	ids := map[roster.ReadingID]bool{}
	for _, p := range trip.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				ids[r.ID] = true
			}
		}
	}
	return ids
}

func rendersWell(t *testing.T, m message.Message) {
	t.Helper()
	for _, f := range []message.Format{message.Plain, message.HTML} {
		text := message.New().Text(linked(m), message.Reader{Units: "ft"}, f)
		if strings.Contains(text, "⟦") || strings.Contains(text, "<no value>") || strings.TrimSpace(text) == "" {
			t.Errorf("not a message: %q", text)
		}
		if f == message.HTML && strings.Count(text, "<b>") != strings.Count(text, "</b>") {
			t.Errorf("markup is torn: %q", text)
		}
	}
	for _, row := range m.Buttons {
		for _, b := range row {
			if len(b.Do) > 48 || strings.IndexFunc(b.Do, func(r rune) bool { return r > unicode.MaxASCII }) >= 0 {
				t.Errorf("button %q is no 48 bytes of ASCII", b.Do)
			}
		}
	}
}

var numbers = regexp.MustCompile(`\d+(?:[.,·٫]\d+)?`)

// typedNumber tells whether a text contains a number, in whatever script.
func typedNumber(text string, want float64) bool {
	plain := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) { // invisible marks between digits
			return -1
		}
		if d, ok := digit(r); ok {
			return d
		}
		return r
	}, norm.NFKC.String(text))
	for _, m := range numbers.FindAllString(plain, -1) {
		n, err := strconv.ParseFloat(strings.NewReplacer(",", ".", "·", ".", "٫", ".").Replace(m), 64)
		if err == nil && math.Abs(n-want) < 1e-9 {
			return true
		}
	}
	return false
}

// digit is a decimal digit of any script as an ASCII one: each script's ten
// stand together, the zero first.
func digit(r rune) (rune, bool) {
	if !unicode.Is(unicode.Nd, r) {
		return 0, false
	}
	zero := r
	for unicode.Is(unicode.Nd, zero-1) && r-zero < 9 {
		zero--
	}
	return '0' + (r - zero), true
}

// pendingNumber tells whether a number was typed before and waits in the session.
func pendingNumber(s fuzzed, want float64) bool {
	return strings.Contains(string(s.sessions[s.who].Data), strconv.FormatFloat(want, 'f', -1, 64))
}
