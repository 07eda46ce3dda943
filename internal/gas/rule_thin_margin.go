package gas

// analyserDoubt is how far a reading may lie beside the truth, in points.
// Source: sensor data sheets, +- 1 point; common practice.
const analyserDoubt Percent = 1

// The outcomes of the rule "thin-margin".
var (
	marginWide = Outcome{Rule: RuleThinMargin, Case: "wide", Severity: Pass, Source: sourceAnalyser}
	marginThin = Outcome{Rule: RuleThinMargin, Case: "thin", Severity: Note, Do: "analyse-with-care",
		Source: sourceAnalyser}
	marginNone    = Outcome{Rule: RuleThinMargin, Case: "none", Severity: NotApplicable}
	marginNotRead = notRead(RuleThinMargin)
)

var thinMarginRule = rule{thinMargin, []Outcome{marginWide, marginThin, marginNone, marginNotRead}}

// thinMargin notes a gas that passes and would not if the analyser read one
// point low.
func thinMargin(s *subject) Finding {
	if !s.planned || !s.hasReading() {
		return marginNotRead.finding()
	}
	if s.depth.DeeperThan(s.mod) {
		return marginNone.finding()
	}
	worse := s.rich + analyserDoubt
	mod := s.diver.Dive.Place.MOD(worse, s.policy.PPO2)
	o := marginWide
	if s.depth.DeeperThan(mod) {
		o = marginThin
	}
	f := o.finding().depth(s.depth, mod)
	f.Other = worse
	return f
}
