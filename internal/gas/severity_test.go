package gas

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// severities are what each outcome weighs: the table of the rules, written out
// a second time, so that none changes by a slip.
var severities = map[Rule]map[string]Severity{
	RuleNoReading: {"in": Pass, "missing": Missing, "shop-only": Missing, "refilled": Missing, "changed": Missing,
		"dived": Missing,
		"stale": Missing, "boat": Missing, "boat-question": Missing, "air-point": Missing, "slip": Missing,
		"elsewhere": Missing,
		"undone":    Missing},
	RuleOutOfRange: {"in": Pass, "low": Stop, "high": Stop, "not-read": NotApplicable},
	RuleDepth: {"fits": Pass, "label": Limits, "too-deep": Stop, "too-deep-for-air": Stop, "no-plan": Missing,
		"not-read": NotApplicable},
	RuleBottom: {"within": Pass, "deeper": Limits, "bottomless": Limits, "not-given": NotApplicable,
		"not-read": NotApplicable},
	RuleContingency: {"within": Pass, "planned": Stop, "planned-too-deep-for-air": Stop, "bottom": Limits,
		"bottomless": Limits, "bottomless-limited": Limits,
		"not-given": NotApplicable, "not-read": NotApplicable},
	RuleThinMargin: {"wide": Pass, "thin": Note, "none": NotApplicable, "not-read": NotApplicable},
	RuleAsked: {"near": Pass, "richer": Note, "leaner": Note, "far": Limits, "replanned": Note, "not-given": NotApplicable,
		"not-read": NotApplicable},
	RuleNoStop: {"within": Pass, "unlimited": Pass, "over": Limits, "no-time": Stop, "own-computer": NotApplicable,
		"over-own-computer": Limits,
		"not-given":         NotApplicable, "not-read": NotApplicable, "day-unknown": Missing},
	RuleLean: {"no": Pass, "costs": Pass, "was-unlimited": Pass, "plan": Limits, "plan-no-time": Limits,
		"not-asked":    NotApplicable,
		"own-computer": NotApplicable, "plan-own-computer": Limits, "day-unknown": NotApplicable, "not-read": NotApplicable},
	RuleCard: {"air": Pass, "seen": Pass, "none": Stop, "unseen": Missing, "not-read": NotApplicable},
	RuleAirIsNotAir: {"air": Pass, "enriched": Note, "no-card": Stop, "card-unseen": Missing, "not-asked": NotApplicable,
		"not-read": NotApplicable},
	RuleAirPoint: {"fits": Pass, "low": Note, "off": Missing, "not-given": NotApplicable},
	RuleHumidAir: {"small": Pass, "reads-high": Note, "time": Limits, "time-own-computer": Limits,
		"not-given": NotApplicable,
		"not-read":  NotApplicable},
	RuleRepeat: {"agree": Pass, "apart": Note, "unsettled": Missing, "unsettled-both-fit": Limits, "settled": Pass,
		"single":   NotApplicable,
		"not-read": NotApplicable},
	RuleSameCylinder: {"own": Pass, "claimed": Missing},
	RuleMeasured: {"plain": Pass, "confirmed": Pass, "as-asked": Missing, "hurried": Missing, "no-decimals": Pass,
		"not-read": NotApplicable},
	RuleImproved: {"no": Pass, "shown": Pass, "open": Missing, "nothing-said": Missing, "stops": Stop,
		"not-corrected": NotApplicable},
	RuleStale: {"fresh": Pass, "old": Missing, "boat": Missing, "boat-question": Missing,
		"undated": NotApplicable, "not-read": NotApplicable},
	RuleCarbonMonoxide: {"clean": Pass, "ask": Note, "foul": Stop, "not-given": NotApplicable},
	RuleDepthLimit:     {"within": Pass, "beyond": Stop, "set": Limits, "not-given": NotApplicable},
	RuleOxygenClock: {"within": Pass, "high": Limits, "over": Stop, "off-table": Stop, "off-table-for-air": Stop,
		"day-off-table": Stop, "not-given": NotApplicable, "not-read": NotApplicable, "day-unknown": Missing},
	RuleTeam: {"no-team": NotApplicable, "loose": Pass, "depth": Limits, "time": Limits, "depth-and-time": Limits},
	RuleSetLimit: {"not-given": NotApplicable, "loose": Pass, "depth": Limits, "time": Limits,
		"depth-and-time": Limits},
	RuleDeepest:     {"within": Pass, "beyond": Stop, "not-given": NotApplicable},
	RuleQuestion:    {"none": Pass, "open": Missing},
	RuleNoCylinder:  {"has": Pass, "none": Missing, "not-needed": NotApplicable},
	RuleLeft:        {"there": Pass, "left": Missing},
	RuleSpeak:       {"covered": Pass, "named": Missing},
	RuleDivedBefore: {"no": Pass, "yes": Limits},
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
	if err := s.UnmarshalText([]byte("fine")); err != nil || s != Undefined || s.Worse(Stop) || Stop.Worse(s) {
		t.Errorf("severity: got %v, %v", s, err)
	}
	if err := st.UnmarshalText([]byte("fine")); err != nil || st != NotCleared {
		t.Errorf("status: got %v, %v", st, err)
	}
	if err := n.UnmarshalText([]byte("fine")); err != nil || n != NoStopUnknown {
		t.Errorf("no-stop: got %v, %v", n, err)
	}
}

func TestWordsOfTheInterface(t *testing.T) {
	for s, want := range map[Severity]string{Missing: "not-cleared", NotApplicable: "not-applicable", Pass: "pass",
		Note:   "note",
		Limits: "limits", Stop: "no-go", 99: "no-go", Undefined: "no-go"} {
		var back Severity
		if got := s.String(); got != want || (s != 99 && s != Undefined && (back.UnmarshalText([]byte(got)) != nil ||
			back != s)) {
			t.Errorf("got %q and back %v, want %q", got, back, want)
		}
	}
	for s, want := range map[Status]string{NotCleared: "not-cleared", Go: "go", GoWithLimits: "limits", NoGo: "no-go",
		99: "not-cleared"} {
		var back Status
		if got := s.String(); got != want || (s != 99 && (back.UnmarshalText([]byte(got)) != nil || back != s)) {
			t.Errorf("got %q and back %v, want %q", got, back, want)
		}
	}
}
