package gas

var carbonMonoxideNotGiven = Outcome{Rule: RuleCarbonMonoxide, Case: "not-given", Severity: NotApplicable}

var carbonMonoxideRule = rule{carbonMonoxideCheck, []Outcome{carbonMonoxideNotGiven}}

func carbonMonoxideCheck(*subject) Finding { return carbonMonoxideNotGiven.finding() }
