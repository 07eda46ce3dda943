package gas

var noStopNotGiven = Outcome{Rule: RuleNoStop, Case: "not-given", Severity: NotApplicable}

var noStopRule = rule{noStopCheck, []Outcome{noStopNotGiven}}

func noStopCheck(*subject) Finding { return noStopNotGiven.finding() }
