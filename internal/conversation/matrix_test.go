package conversation

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The matrix of what every state answers to every event, in
// testdata/matrix.golden: message keys, what was stored, the next state. It
// has no hole: whatever a person does is answered.

const matrixGolden = "../../testdata/matrix.golden"

// matrixTrip is the trip of the matrix: at the dock, with Tomasz's first
// cylinder analysed.
const matrixTrip = `trip Saturday two-tank departs 2027-05-15 08:30 Atlantic/Azores in m
dive Anvil Ledge 30 m bottom 34 m for 22 min
dive Lime Kiln Wall 18 m for 40 min after 60 min
analysers A B
leader Inês card seen: none
diver Tomasz card seen: 17=32 dive 1, 32 dive 1, 36 dive 2
diver Marit card unseen: 32
@ 2027-05-15 07:00
Inês joins
Tomasz joins
Tomasz presses [No]
Tomasz: 17 32.4`

// reach is how each state is come to: by whom, and by which lines.
var reach = map[State]struct{ who, script string }{
	Idle:       {"Tomasz", "Tomasz: /help"},
	stateWhich: {"Tomasz", "Tomasz: /help\nTomasz: 31.9"},
	stateMeaning: {"Tomasz", "Tomasz: on A\nTomasz: 20.9\nTomasz: 36.4\nTomasz presses [36 %]\nTomasz: " +
		"33\nTomasz: /help\nTomasz: 33"},
	stateRetype:       {"Tomasz", "Tomasz presses [Undo]"},
	stateConfirm:      {"Tomasz", "Tomasz: 72.4"},
	stateAgain:        {"Tomasz", "Tomasz: 17 32.9"},
	stateShown:        {"Marit", "Marit joins\nMarit presses [No]\nMarit: 32"},
	stateAnalyser:     {"Tomasz", ""},
	stateAirName:      {"Tomasz", "Tomasz: air 20.9"},
	stateAir:          {"Tomasz", "Tomasz presses [analyser A]"},
	stateLabel:        {"Tomasz", "Tomasz: on A\nTomasz: 20.9\nTomasz: 32.4\nTomasz presses [36 %]"},
	stateBefore:       {"Marit", "Marit joins"},
	stateUnits:        {"Tomasz", "Tomasz: /units"},
	stateLanguage:     {"Tomasz", "Tomasz: /language"},
	stateLeave:        {"Tomasz", "Tomasz: /leave"},
	stateForget:       {"Tomasz", "Tomasz: /forget"},
	stateSwap:         {"Tomasz", "Tomasz: new cylinder"},
	stateRefill:       {"Tomasz", "Tomasz: it was refilled"},
	stateSwapLabel:    {"Tomasz", "Tomasz: no, 36.4\nTomasz: new cylinder\nTomasz presses [17]"},
	stateUnsaid:       {"Tomasz", "Tomasz: X9"},
	stateHave:         {"Marit", "Marit joins\nMarit: /gas\nMarit presses [I have one for dive 2]"},
	stateOutside:      {"Inês", "Inês: /outside Tomasz"},
	stateWitness:      {"Inês", "Inês: /witness Marit Tomasz"},
	stateSign:         {"Inês", "ready\nInês: /signoff"},
	stateWho:          {"Inês", "Inês: /for"},
	stateFor:          {"Inês", "Inês: /for Tomasz"},
	stateSite:         {"Inês", "Inês: /site"},
	stateSiteBottom:   {"Inês", "Inês: /site 1 New Reef 25 m"},
	stateSiteSure:     {"Inês", "Inês: /site 1 25 m"},
	stateLimit:        {"Inês", "Inês: /limit Tomasz"},
	stateDived:        {"Inês", "Inês: /dived"},
	stateUp:           {"Inês", "Inês: /dived 1 30 22\nInês presses [Yes, dived already]"},
	stateRefilled:     {"Inês", "Inês: /refilled"},
	stateChangedWhich: {"Inês", "Inês: /changed Tomasz"},
	stateOut:          {"Inês", "Inês: /out Tomasz"},
	stateBack:         {"Inês", "Inês: /out Tomasz ear trouble\nInês: /back Tomasz"},
	stateRevoke:       {"Inês", "Inês: /revoke Tomasz"},
	stateReopenWhy:    {"Inês", "sign\nInês: /reopen"},
	stateAdd:          {"Inês", "Inês: /add Rui"},
	stateCallOff:      {"Inês", "Inês: /calloff wind"},
	statePostpone:     {"Inês", "Inês: /postpone"},
	stateDrop:         {"Inês", "Inês: /drop"},
}

// situations are moments of the day other than the dock, for the idle state.
var situations = map[string]struct{ who, script string }{
	"before the fill": {"Marit", "Marit joins\nMarit presses [No]"},
	"boat check open": {"Tomasz", "Tomasz: on A\nTomasz: 20.9\nTomasz: /help\nInês: /boat"},
	"signed off":      {"Tomasz", "sign\nTomasz: /help"},
	"over":            {"Tomasz", "sign\n@ 2027-05-16 12:00\nTomasz: /help"},
	"left":            {"Tomasz", "Tomasz: /leave\nTomasz presses [Yes]"},
	"sitting out":     {"Tomasz", "Tomasz: /help\nInês: /out Tomasz ear trouble"},
	"no cylinder":     {"Inês", "Inês: /help"},
}

// texts are one of each thing people say.
var texts = []string{
	"31.8", "32", "17", "17: 31.8", "17 31.8 22 35.9", "both 32.1", "31.8 on B", "air 20.8", "20.9", "no, 31.4",
	"again 31.9",
	"sorry, 22 not 17", "yes", "no", "not yet", "not diving today", "pass", "undo", "new cylinder", "it was refilled",
	"kept", "not sure",
	"out of sight", "don't know", "no decimals", "the analyser is broken", "never mind", "hello", "thanks", "help",
	"is it ok?",
	"EAN32", "210", "0.32", "322", "72.4", "about 32", "31,32", "feet", "X9", "🙂", "", "   ", "/", "/nosuch",
	"\u202e32.4", "٣٢٫٤",
	"<b>32</b>", strings.Repeat("9", 4096), "on A",
}

// doings are the buttons, well-formed, without arguments, and from nowhere.
func doings() []string {
	all := []string{"", "nosuch", "undo r9999", "which c3", "boat all kept", "ask c4 31", "ask c4 99", "units ft",
		"forget yes", "label none", "again correct",
		"mean reading", "reopen yes", "talk abcdefghij", "shown r8 decimals"}
	return append(all, slices.Sorted(maps.Keys(buttons))...)
}

// events are everything that may happen to p. A command answers whatever was
// asked before, so that only the idle state needs each of them.
func events(p roster.PersonID, idle bool) []Event {
	known := []string{"gas", "board", "reading"}
	if idle {
		known = slices.Sorted(maps.Keys(commands))
	}
	es := []Event{{Kind: Join}, {Kind: GroupText, Text: "hello", Address: roster.Address{Channel: "test", ID: "group"}},
		{Kind: Forget}, {Kind: Lost, Reason: "blocked"}, {Kind: Found}}
	for _, s := range texts {
		es = append(es, Event{Kind: Text, Text: s, Ref: "new"})
	}
	for _, s := range known {
		es = append(es, Event{Kind: Text, Text: "/" + s, Ref: "new"})
	}
	for _, s := range []string{"31.4", "17: 31.4", "22: 32.4", "nonsense", ""} {
		es = append(es, Event{Kind: Edited, Text: s, Ref: "m4"}) // the message of Tomasz's reading
		es = append(es, Event{Kind: Edited, Text: s, Ref: "unknown"})
	}
	for _, s := range doings() {
		es = append(es, Event{Kind: Button, Do: s})
	}
	for i := range es {
		es[i].Person, es[i].Source = p, "matrix"
		if es[i].Address.ID == "" {
			es[i].Address = roster.Address{Channel: "test", ID: string(p)}
		}
	}
	return append(es, Event{Kind: Timer}, Event{Kind: Moved, Address: roster.Address{Channel: "test", ID: "g2"}},
		Event{Kind: Changed, Change: &Change{Lock: true}})
}

func TestMatrix(t *testing.T) {
	var out strings.Builder
	for _, s := range slices.Sorted(maps.Keys(states)) {
		how, ok := reach[s]
		if !ok {
			t.Errorf("state %q is not in the matrix: say in reach how one comes to it", s)
			continue
		}
		at := situation(t, how.script)
		if got := at.sessions[at.begins(how.who).ID].State; got != s {
			t.Errorf("the script for state %q leads to %q:\n%s", s, got, at.out.String()[max(0, at.out.Len()-600):])
			continue
		}
		matrixRow(t, &out, cell(string(s), "idle"), at, how.who)
	}
	for _, name := range slices.Sorted(maps.Keys(situations)) {
		matrixRow(t, &out, name, situation(t, situations[name].script), situations[name].who)
	}
	golden(t, matrixGolden, out.String())
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("the matrix changed (-golden +now); if that is right, rerun with -update:\n%s", d)
	}
}

// situation is the stage after the matrix's trip and a script; "ready" stands
// for everything of dive 1 cleared with its boat check open, "sign" for dive 1
// dived and dive 2 signed.
func situation(t testing.TB, script string) *stage {
	t.Helper()
	ready := "Tomasz: /help\nTomasz: on A\nTomasz: /help\nTomasz: 31.9\nTomasz presses [32 %]\nTomasz: /help\n@ " +
		"+30s\nTomasz: 35.8\nTomasz: /help\n" +
		"Inês: /out Marit gas\nInês: /boat"
	signed := ready + "\nInês: /signoff\nInês presses [Sign dive 1]\nInês: /boat 2\nInês: /signoff 2\nInês presses " +
		"[Dived as planned]\nInês presses [Sign dive 2]"
	if rest, ok := strings.CutPrefix(script, "sign"); ok {
		script = signed + rest
	} else if rest, ok := strings.CutPrefix(script, "ready"); ok {
		script = ready + rest
	}
	s := newStage(t)
	for n, line := range strings.Split(matrixTrip+"\n"+script, "\n") {
		s.at = n + 1
		s.written(line)
	}
	s.now = s.now.Add(time.Minute)
	return s
}

func matrixRow(t *testing.T, out *strings.Builder, name string, s *stage, who string) {
	t.Helper()
	p := s.begins(who).ID
	fmt.Fprintf(out, "=== %s (%s)\n", name, who)
	for _, e := range events(p, s.sessions[p].State == Idle) {
		e.At = s.now
		r := stepped(t, Input{Trip: s.trip, Session: s.sessions[p], Event: e, Now: s.now, Trips: 1})
		if personal(e.Kind) && !slices.ContainsFunc(r.Letters, func(l Letter) bool { return l.Person == p }) {
			t.Errorf("%s: %s %q %q is not answered", name, e.Kind, clipped(e.Text), e.Do)
		}
		fmt.Fprintf(out, "%s\n", strings.TrimRight(fmt.Sprintf("%-7s %-22s %s", e.Kind, clipped(e.Text)+e.Do,
			outcome(t, r, p)), " "))
	}
}

// personal are the events after which a person waits for an answer.
func personal(k Kind) bool { return k == Join || k == Text || k == Edited || k == Button }

func clipped(s string) string {
	if len([]rune(s)) > 20 {
		return fmt.Sprintf("(%d characters)", len([]rune(s)))
	}
	return s
}

func cell(s, empty string) string {
	if s == "" {
		return empty
	}
	return s
}

// outcome writes a result in one line.
func outcome(t *testing.T, r Result, p roster.PersonID) string {
	t.Helper()
	var parts []string
	for _, l := range r.Letters {
		to := ""
		if l.Group {
			to = "@group "
		} else if l.Person != p {
			to = "@" + string(l.Person) + " "
		}
		var keys []string
		for _, line := range l.Message.Lines {
			if line.Key != "" {
				keys = append(keys, line.Key)
			}
		}
		if len(keys) > 3 {
			keys = append(keys[:3:3], fmt.Sprintf("+%d", len(keys)-3))
		}
		parts = append(parts, to+strings.Join(keys, " "))
		if text := message.New().Text(linked(l.Message), message.Reader{}, message.Plain); strings.Contains(text, "⟦") ||
			strings.Contains(text, "<no value>") {
			t.Errorf("a text is missing: %s", text)
		}
	}
	said := strings.Join(parts, " | ")
	for _, a := range r.Acts {
		said += " * " + act(a)
	}
	if r.Session.State != Idle {
		said += " ? " + string(r.Session.State)
	}
	return said
}
