package gas

var humidAirNotGiven = Outcome{Rule: RuleHumidAir, Case: "not-given", Severity: NotApplicable}

var humidAirRule = rule{humidAirCheck, []Outcome{humidAirNotGiven}}

func humidAirCheck(*subject) Finding { return humidAirNotGiven.finding() }
