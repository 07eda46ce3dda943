package gas

// askFiller is from when on the filler is asked, ppm. Source: UK HSE Diving
// Information Sheet 9, 3 ppm.
const askFiller = 3.0

// The outcomes of the rule "carbon-monoxide".
var (
	coClean    = Outcome{Rule: RuleCarbonMonoxide, Case: "clean", Severity: Pass, Source: sourceCO}
	coAsk      = Outcome{Rule: RuleCarbonMonoxide, Case: "ask", Severity: Note, Do: "ask-filler", Source: sourceHSE}
	coFoul     = Outcome{Rule: RuleCarbonMonoxide, Case: "foul", Severity: Stop, Do: "dont-breathe", Source: sourceCO}
	coNotGiven = Outcome{Rule: RuleCarbonMonoxide, Case: "not-given", Severity: NotApplicable}
)

var carbonMonoxideRule = rule{carbonMonoxideCheck, []Outcome{coClean, coAsk, coFoul, coNotGiven}}

// carbonMonoxideCheck holds measured carbon monoxide against the policy's limit.
func carbonMonoxideCheck(s *subject) Finding {
	co := s.cyl.Evidence.CO
	if !co.Known || !(co.Value >= 0) || !s.policy.usable() {
		return coNotGiven.finding()
	}
	o, limit := coClean, s.policy.MaxCO
	switch {
	case over(co.Value, s.policy.MaxCO):
		o = coFoul
	case over(co.Value, askFiller):
		o, limit = coAsk, askFiller
	}
	f := o.finding()
	f.Measured, f.Limit, f.Margin, f.Unit = Of(min(co.Value, mostPPM)), Of(limit), Of(limit-min(co.Value, mostPPM)), "ppm"
	return f
}

// mostPPM is everything, in parts per million.
const mostPPM = 1e6
