package message

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// verdictWords are the verdicts and their English words, as divers on a boat
// with people of many languages say them. Common practice, no source.
var verdictWords = map[string]string{
	"verdict.go": "GO", "verdict.go.planned": "GO · 38 m as planned",
	"verdict.go.planned.of": "GO · 17 · 38 m as planned",
	"verdict.limits":        "GO, BUT MAX 38 m", "verdict.limits.minutes": "GO, BUT MAX 7 min",
	"verdict.limits.both":   "GO, BUT MAX 38 m, 7 min",
	"verdict.limits.replan": "GO, BUT RE-PLAN", "verdict.limits.own": "GO, BUT OWN COMPUTER RULES",
	"verdict.limits.other": "GO WITH LIMITS",
	"verdict.no-go":        "STOP, NO-GO", "verdict.uncleared": "NOT CLEARED",
	"verdict.need.reading": "ANALYSE FIRST", "verdict.need.card": "SHOW YOUR CARD",
	"verdict.need.boat-answer": "ANSWER THE BOAT QUESTION",
	"verdict.need.witness":     "ANALYSE WITH A WITNESS", "verdict.need.cylinder": "NO CYLINDER",
	"verdict.need.air-point": "CALIBRATE, THEN ANALYSE",
	"verdict.need.answer":    "ANSWER: WHAT DOES IT SHOW?", "verdict.need.answer.which": "ANSWER: WHICH CYLINDER?",
	"verdict.need.answer.again": "ANSWER: WHAT IS THE NEW NUMBER?", "verdict.need.speak": "SPEAK TO THE LEADER",
	"verdict.need.speak.to":   "SPEAK TO Inês",
	"verdict.need.speak.shop": "SPEAK TO THE SHOP",
	"verdict.need.left":       "LEFT", "verdict.outside": "OUTSIDE THIS CHECK", "verdict.out": "SITS OUT",
}

// symbolOf is the symbol of a verdict, which stands for the kind of it.
func symbolOf(key string) string {
	switch word := strings.Split(key, ".")[1]; word {
	case "go":
		return "✅"
	case "limits":
		return "⚠️"
	case "no-go":
		return "⛔"
	case "outside":
		return "▢"
	case "out":
		return "▫"
	}
	return "❓"
}

// No two verdicts look alike in any language, each has the symbol of its kind,
// and where no practitioner has read the words the English ones stand beside.
func TestVerdictsStandApart(t *testing.T) {
	r := New()
	for _, tag := range Languages() {
		seen := map[string]string{}
		for _, s := range Sentences() {
			if !strings.HasPrefix(s.Key, "verdict.") || s.Key == "verdict.not-cleared" { // which is said as a missing reading is
				continue
			}
			text := unmarked(r.Line(s.Lines[0], Reader{Language: tag}))
			symbol, own, _ := strings.Cut(text, " ")
			want, ok := verdictWords[s.Key]
			if !ok {
				t.Errorf("%q is a verdict that this test has no words for", s.Key)
			}
			if !Reviewed(tag) {
				word := withoutValues.ReplaceAllString(want, "")
				if !strings.HasSuffix(own, " ("+word+")") {
					t.Errorf("%s: %q lacks the English %q", tag, text, word)
				}
				own = strings.TrimSuffix(own, " ("+word+")")
			} else if tag == "en" && own != want {
				t.Errorf("%s is %q, want %q", s.Key, own, want)
			}
			if seen[own] != "" || own == "" || symbol != symbolOf(s.Key) {
				t.Errorf("%s: %s is %q, like %q", tag, s.Key, text, seen[own])
			}
			seen[own] = s.Key
		}
	}
}

// withoutValues is what of the English words is no word of the verdict.
var withoutValues = regexp.MustCompile(` (· .*|[0-9].*|Inês)$`)

// unmarked is a text without the marks of its direction.
func unmarked(s string) string {
	return strings.NewReplacer(string(isolateFirst), "", string(isolateLeft), "", string(isolateEnd), "").Replace(s)
}

// besideVerdicts are the texts that say a verdict among other words, and the
// English word that stands beside it in every language not reviewed.
var besideVerdicts = map[string]string{
	"board.head.go": "GO", "board.head.limits": "GO WITH LIMITS", "board.head.no-go": "NO-GO",
	"board.head.not-cleared": "NOT CLEARED",
	"board.nobody":           "NOT CLEARED", "board.goes": "GO",
	"remind.keep.go": "GO", "remind.keep.stop": "STOP",
}

func TestVerdictWordsAmongOthersKeepTheEnglish(t *testing.T) {
	for _, tag := range allLanguages(t) {
		all := entries(t, tag)
		for key, word := range besideVerdicts {
			if len(all[key]) == 0 {
				t.Errorf("%s: no %q", tag, key)
			}
			for form, text := range all[key] {
				whole := regexp.MustCompile(`(^|[^A-Z])` + regexp.QuoteMeta(word) + `($|[^A-Z])`)
				if tag == "en" {
					text = strings.ToUpper(text)
				}
				if !whole.MatchString(text) {
					t.Errorf("%s %s.%s: %q lacks the English %q", tag, key, form, text, word)
				}
			}
		}
	}
}

// A text that begins as a verdict does is one of besideVerdicts.
func TestTextsLikeVerdictsAreKnown(t *testing.T) {
	like := regexp.MustCompile(`^(✅|⚠️|⛔|❓) (GO|STOP|NO-GO|[A-Z]{4,})\b`)
	all := entries(t, "en")
	for _, key := range slices.Sorted(maps.Keys(all)) {
		text := all[key]["other"]
		if like.MatchString(text) && !strings.Contains(text, "NOT RECORDED") && !strings.HasPrefix(key, "verdict.") &&
			besideVerdicts[key] == "" {
			t.Errorf("%s says a verdict: %q", key, text)
		}
	}
}

// Of a blend that is off and nitrogen that nobody here knows the latter is the danger that stays.
func TestTheOwnComputerComesBeforeReplanning(t *testing.T) {
	diver := gas.Diver{Card: gas.CardSeen, OwnComputer: true, Dive: gas.Dive{Number: 1, Depth: gas.M(20), Minutes: 20},
		Cylinders: []gas.Cylinder{{Key: "c", Asked: 32, Claims: 1, Evidence: gas.Read(29)}}}
	diver.Cylinders[0].Deviation = gas.Deviation{Known: true, Off: -3, Asked: 32}
	v := gas.Assess(gas.DefaultPolicy(gas.Metres), diver)
	c := roster.Clearance{Active: true, Dive: 1, Status: v.Status(), Verdict: v}
	if s := v.SeverityOf(gas.RuleAsked); s != gas.Limits {
		t.Fatalf("3 points off are %v, want limits", s)
	}
	if got, want := New().Line(Cleared(&roster.Trip{}, &c), Reader{}), "⚠️ GO, BUT OWN COMPUTER RULES"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Who dived the day before is told whose times count, and nothing else.
func TestDivedBeforeSaysThatTheOwnComputerRules(t *testing.T) {
	diver := gas.Diver{Card: gas.CardSeen, OwnComputer: true, Dive: gas.Dive{Number: 1, Depth: gas.M(20), Minutes: 20},
		Cylinders: []gas.Cylinder{{Key: "c", Asked: 32, Claims: 1, Evidence: gas.Read(32)}}}
	v := gas.Assess(gas.DefaultPolicy(gas.Metres), diver)
	c := roster.Clearance{Active: true, Dive: 1, Status: v.Status(), Verdict: v}
	if got, want := New().Line(Cleared(&roster.Trip{}, &c), Reader{}), "⚠️ GO, BUT OWN COMPUTER RULES"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	text, do := Finding(*findingOf(t, &v, gas.RuleDivedBefore))
	if got, want := New().Line(text, Reader{})+" "+New().Line(do, Reader{}),
		"Dived in the last 24 hours: no times from here. Follow your own computer."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func findingOf(t *testing.T, v *gas.Verdict, rule gas.Rule) *gas.Finding {
	t.Helper()
	for i := range v.Findings {
		if v.Findings[i].Rule == rule {
			return &v.Findings[i]
		}
	}
	t.Fatalf("no finding of %s", rule)
	return nil
}

// Who has to speak to a leader is sent to one who may decide about them: another one, who is there.
func TestWhoIsSpokenTo(t *testing.T) {
	gone := time.Date(2027, 5, 15, 8, 0, 0, 0, time.UTC)
	ines := &roster.Person{ID: "p1", Name: "Inês", Leader: true}
	nuno := &roster.Person{ID: "p2", Name: "Nuno", Leader: true}
	left := &roster.Person{ID: "p3", Name: "Bruna", Leader: true, Left: gone}
	trip := roster.NewTrip("abcdefghij", "keelhaven")
	trip.People = []*roster.Person{left, ines, nuno}
	for _, c := range []struct {
		who  roster.PersonID
		want string
	}{{"p4", "❓ SPEAK TO Inês"}, {"p1", "❓ SPEAK TO Nuno"}} {
		speak := roster.Clearance{Person: c.who, Status: gas.NotCleared, Needs: []roster.Need{roster.NeedSpeak}}
		if got := unmarked(New().Line(Cleared(trip, &speak), Reader{})); got != c.want {
			t.Errorf("%s is told %q, want %q", c.who, got, c.want)
		}
	}
}
