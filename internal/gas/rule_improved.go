package gas

// favour is how much leaner a correction may make a reading before it has to
// be shown again, in points.
const favour = 0.5

// The outcomes of the rule "improved": a correction in the diver's favour.
var (
	improvedNot     = Outcome{Rule: RuleImproved, Case: "no", Severity: Pass, Source: sourceCustom}
	improvedCleared = Outcome{Rule: RuleImproved, Case: "cleared", Severity: Missing, Do: "analyse-or-witness", Source: sourceCustom}
	improvedFavour  = Outcome{Rule: RuleImproved, Case: "favour", Severity: Missing, Do: "analyse-or-witness", Source: sourceCustom}
	improvedNone    = Outcome{Rule: RuleImproved, Case: "not-corrected", Severity: NotApplicable}
	improvedNotRead = notRead(RuleImproved)
)

var improvedRule = rule{improved, []Outcome{improvedNot, improvedCleared, improvedFavour, improvedNone, improvedNotRead}}

// improved doubts a correction that clears a no-go or makes the gas leaner by
// more than half a point, until the cylinder is analysed afresh or the leader
// has watched.
func improved(s *subject) Finding {
	if !s.hasReading() {
		return improvedNotRead.finding()
	}
	worst, corrected := improvedNone, &Reading{}
	for i := range s.readings {
		r := &s.readings[i]
		if !r.Replaced.Known() || r.By == Witnessed {
			if worst.Severity == Missing {
				worst, corrected = improvedNone, &Reading{}
			}
			continue
		}
		if o := s.improvedOutcome(r); worst.Severity != Missing {
			worst, corrected = o, r
		}
	}
	f := worst.finding()
	if corrected.valid() {
		off := float64(corrected.Replaced - corrected.Percent)
		f.Measured, f.Limit, f.Margin, f.Unit = Of(off), Of(favour), Of(favour-off), "points"
		f.Other = corrected.Replaced
	}
	return f
}

func (s *subject) improvedOutcome(r *Reading) Outcome {
	switch {
	case s.stops(r.Replaced) && !s.stops(r.Percent):
		return improvedCleared
	case over(float64(r.Replaced-r.Percent), favour):
		return improvedFavour
	}
	return improvedNot
}

// stops tells whether the cylinder would be a no-go for its gas if this were
// its only reading.
func (s *subject) stops(p Percent) bool {
	c := *s.cyl
	c.Readings = []Reading{{Percent: p}}
	alone := newSubject(s.policy, s.diver, &c)
	return outOfRange(alone).Severity == Stop || depthCheck(alone).Severity == Stop || contingencyCheck(alone).Severity == Stop ||
		card(alone).Severity == Stop || airIsNotAir(alone).Severity == Stop
}
