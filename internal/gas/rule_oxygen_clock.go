package gas

var oxygenClockNotGiven = Outcome{Rule: RuleOxygenClock, Case: "not-given", Severity: NotApplicable}

var oxygenClockRule = rule{oxygenClockCheck, []Outcome{oxygenClockNotGiven}}

func oxygenClockCheck(*subject) Finding { return oxygenClockNotGiven.finding() }
