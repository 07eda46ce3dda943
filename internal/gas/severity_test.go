package gas

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// severities are what each outcome weighs: the table of the rules, written out
// a second time, so that none changes by a slip.
var severities = map[Rule]map[string]Severity{
	RuleNoReading:  {"in": Pass, "missing": Missing, "shop-only": Missing, "boat": Missing, "boat-question": Missing},
	RuleOutOfRange: {"in": Pass, "low": Stop, "high": Stop, "not-read": NotApplicable},
	RuleDepth: {"fits": Pass, "label": Limits, "too-deep": Stop, "too-deep-for-air": Stop, "no-plan": Missing,
		"not-read": NotApplicable},
	RuleBottom: {"within": Pass, "deeper": Limits, "bottomless": Limits, "not-given": NotApplicable, "not-read": NotApplicable},
	RuleContingency: {"within": Pass, "planned": Stop, "planned-too-deep-for-air": Stop, "bottom": Limits, "bottomless": Limits,
		"not-given": NotApplicable, "not-read": NotApplicable},
	RuleThinMargin: {"wide": Pass, "thin": Note, "none": NotApplicable, "not-read": NotApplicable},
	RuleAsked: {"near": Pass, "richer": Note, "leaner": Note, "far": Limits, "replanned": Note, "not-given": NotApplicable,
		"not-read": NotApplicable},
	RuleNoStop: {"within": Pass, "unlimited": Pass, "over": Limits, "no-time": Stop, "own-computer": NotApplicable,
		"not-given": NotApplicable, "not-read": NotApplicable, "day-unknown": NotApplicable},
	RuleLean: {"no": Pass, "costs": Note, "was-unlimited": Note, "plan": Limits, "not-asked": NotApplicable,
		"own-computer": NotApplicable, "day-unknown": NotApplicable, "not-read": NotApplicable},
	RuleCard: {"air": Pass, "seen": Pass, "none": Stop, "unseen": Missing, "not-read": NotApplicable},
	RuleAirIsNotAir: {"air": Pass, "enriched": Note, "no-card": Stop, "card-unseen": Missing, "not-asked": NotApplicable,
		"not-read": NotApplicable},
	RuleAirPoint: {"fits": Pass, "low": Note, "off": Missing, "no-number": Missing, "not-given": NotApplicable},
	RuleHumidAir: {"small": Pass, "reads-high": Note, "reads-low": Note, "time": Limits, "no-time": Stop, "depth": Limits,
		"not-given": NotApplicable, "not-read": NotApplicable},
	RuleRepeat: {"agree": Pass, "apart": Note, "unsettled": Missing, "settled": Note, "single": NotApplicable,
		"not-read": NotApplicable},
	RuleSameCylinder: {"own": Pass, "claimed": Missing},
	RuleMeasured: {"plain": Pass, "confirmed": Pass, "as-asked": Note, "hurried": Note, "no-decimals": Note,
		"not-read": NotApplicable},
	RuleImproved:       {"no": Pass, "cleared": Missing, "favour": Missing, "not-corrected": NotApplicable, "not-read": NotApplicable},
	RuleStale:          {"fresh": Pass, "old": Missing, "refilled": Missing, "undated": NotApplicable, "not-read": NotApplicable},
	RuleCarbonMonoxide: {"clean": Pass, "ask": Note, "foul": Stop, "not-given": NotApplicable},
	RuleDepthLimit:     {"within": Pass, "beyond": Stop, "set": Limits, "not-given": NotApplicable},
	RuleOxygenClock: {"within": Pass, "high": Limits, "over": Stop, "off-table": Stop, "off-table-for-air": Stop,
		"own-computer": NotApplicable, "not-given": NotApplicable, "not-read": NotApplicable, "day-unknown": NotApplicable},
	RuleTeam: {"no-team": NotApplicable, "own": Pass, "depth": Limits, "time": Limits, "depth-and-time": Limits},
}

func TestSeverities(t *testing.T) {
	got := map[Rule]map[string]Severity{}
	for _, o := range Outcomes() {
		if got[o.Rule] == nil {
			got[o.Rule] = map[string]Severity{}
		}
		got[o.Rule][o.Case] = o.Severity
	}
	if diff := cmp.Diff(severities, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// TestWhatStopsSaysWhatToDo: nobody is stopped, limited or asked to wait
// without hearing what to do about it.
func TestWhatStopsSaysWhatToDo(t *testing.T) {
	for _, o := range Outcomes() {
		if (o.Severity == Stop || o.Severity == Missing || o.Severity == Limits) && o.Do == "" {
			t.Errorf("%s/%s: nothing to do", o.Rule, o.Case)
		}
	}
}

func TestAnUnknownWordIsNoGo(t *testing.T) {
	s, st, n := Pass, Go, NoStopUnlimited
	if err := s.UnmarshalText([]byte("fine")); err != nil || s != Missing {
		t.Errorf("severity: got %v, %v", s, err)
	}
	if err := st.UnmarshalText([]byte("fine")); err != nil || st != NoReading {
		t.Errorf("status: got %v, %v", st, err)
	}
	if err := n.UnmarshalText([]byte("fine")); err != nil || n != NoStopUnknown {
		t.Errorf("no-stop: got %v, %v", n, err)
	}
}

func TestWordsOfTheInterface(t *testing.T) {
	for s, want := range map[Severity]string{Missing: "no-reading", NotApplicable: "not-applicable", Pass: "pass", Note: "note",
		Limits: "limits", Stop: "no-go", 99: "unknown"} {
		var back Severity
		if got := s.String(); got != want || (s != 99 && (back.UnmarshalText([]byte(got)) != nil || back != s)) {
			t.Errorf("got %q and back %v, want %q", got, back, want)
		}
	}
	for s, want := range map[Status]string{NoReading: "no-reading", Go: "go", GoWithLimits: "limits", NoGo: "no-go", 99: "unknown"} {
		var back Status
		if got := s.String(); got != want || (s != 99 && (back.UnmarshalText([]byte(got)) != nil || back != s)) {
			t.Errorf("got %q and back %v, want %q", got, back, want)
		}
	}
}
