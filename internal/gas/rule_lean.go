package gas

var leanNotGiven = Outcome{Rule: RuleLean, Case: "not-given", Severity: NotApplicable}

var leanRule = rule{leanCheck, []Outcome{leanNotGiven}}

func leanCheck(*subject) Finding { return leanNotGiven.finding() }
