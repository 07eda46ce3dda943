package conversation

import (
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/roster"
)

// Two divers, one of whom has 33 and 34; the other has 17 and has not read it.
const labelled34 = `trip Labels departs 2027-05-15 08:30 UTC in m
dive Anvil Ledge 30 m bottom 32 m for 20 min
dive Lime Kiln Wall 18 m bottom 25 m for 40 min after 60 min
leader Inês card seen: none
diver Tomasz card seen: 17=32 dive 1
diver Marit card seen: 34=32 dive 1, 33=32 dive 2

@ 2027-05-15 07:30
Inês joins
Tomasz joins
Tomasz presses [No]
`

// Sentences that say which cylinder is mine, in each language, as people type them.
// A whole number in them that is the label of somebody else's is asked about.
var saysMine = map[string][]string{
	"en": {"mine is 34", "34 is mine", "I have 34", "I have 33 now", "got 33", "33 is fine", "I took 34", "I'm using 33"},
	"fr": {"j'ai la 34", "la 34 est à moi", "c'est la 33"},
	"de": {"meine ist die 34", "ich hab die 34", "die 33"},
	"es": {"tengo la 34", "la mía es la 33", "33 es mía"},
	"it": {"ho la 34", "la mia è la 34"},
	"pt": {"a minha é a 34", "tenho a 33"},
	"nl": {"ik heb de 34", "de mijne is 33"},
	"ja": {"34を使います", "私のは34"},
	"zh": {"我的瓶是34", "我的是33", "我用33"},
	"ar": {"معي 34", "أسطوانتي 34", "لي 33"},
}

// What can be no label beside any words: a number alone, with decimals, a percent
// sign, its own place or its analyser; and the label of nobody.
var saysMeasured = []string{"34", "34!", "mine is 34.0", "I have 34 %", "17 34", "17: 34", "34 on A", "mine is 31",
	"I have 31"}

func TestWhichCylinderIsMineIsNoReading(t *testing.T) {
	at := played(t, labelled34)
	p := at.begins("Tomasz").ID
	for language, typed := range saysMine {
		trip := speaking(at, p, language)
		for _, text := range typed {
			r := at.types(t, trip, p, text)
			if n := countReadings(r.Trip.Person(p)); n > 0 || r.Session.State != stateMeaning {
				t.Errorf("%s: %q left %d readings and the state %q", language, text, n, r.Session.State)
			}
		}
	}
	trip := speaking(at, p, "en")
	for _, text := range saysMeasured {
		if r := at.types(t, trip, p, text); countReadings(r.Trip.Person(p)) != 1 {
			t.Errorf("%q is no reading: %q", text, r.Session.State)
		}
	}
}

// The press that says "it is the label" reaches the leaders with the words, in every
// language, and holds the clearance.
func TestTheLabelOfAnothersCylinderIsAnAlarm(t *testing.T) {
	at := played(t, labelled34)
	p := at.begins("Tomasz").ID
	for language, typed := range saysMine {
		asked := at.types(t, speaking(at, p, language), p, typed[0])
		r := stepped(t, Input{Trip: asked.Trip, Session: asked.Session, Now: at.now, Trips: 1,
			Event: Event{Kind: Button, Do: "mean label", Person: p, At: at.now, Source: "pressed", Ref: "new"}})
		if said := r.Trip.Person(p).Speak; len(said) != 1 || said[0].Kind != roster.SpeakWrongCylinder ||
			said[0].Was != typed[0] {
			t.Errorf("%s: %q is to be settled as %v", language, typed[0], said)
		}
		leader := slices.IndexFunc(r.Letters, func(l Letter) bool { return r.Trip.Person(l.Person).Leader })
		if leader < 0 || !strings.HasPrefix(r.Letters[leader].Message.Lines[0].Key, "pass-on.wrong-cylinder") {
			t.Errorf("%s: the leader did not hear %q", language, typed[0])
		}
	}
}

// types is what comes of a text, with the session dropped that was.
func (s *stage) types(t *testing.T, trip *roster.Trip, p roster.PersonID, text string) Result {
	return stepped(t, Input{Trip: trip, Now: s.now, Trips: 1,
		Event: Event{Kind: Text, Text: text, Person: p, At: s.now, Source: "typed", Ref: "new"}})
}
