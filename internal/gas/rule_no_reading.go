package gas

// The outcomes of the rule "no-reading": every cylinder is analysed by the
// diver who will breathe it, at this stage of the day.
var readingIn = Outcome{Rule: RuleNoReading, Case: "in", Severity: Pass}

// readingAbsent are the outcomes by why nothing counts.
var readingAbsent = []Outcome{
	AbsentUnread:       absent("missing", "analyse"),
	AbsentShopOnly:     absent("shop-only", "analyse"),
	AbsentRefilled:     absent("refilled", "analyse"),
	AbsentChanged:      absent("changed", "analyse"),
	AbsentDived:        absent("dived", "analyse"),
	AbsentStale:        absent("stale", "analyse"),
	AbsentBoatQuestion: absent("boat-question", "answer-boat-question"),
	AbsentBoatReading:  absent("boat", "analyse-boat"),
	AbsentAirPoint:     absent("air-point", "recalibrate"),
	AbsentSlip:         absent("slip", "analyse-or-witness"),
	AbsentElsewhere:    absent("elsewhere", "analyse"),
	AbsentUndone:       absent("undone", "analyse"),
}

func absent(c, do string) Outcome {
	return Outcome{Rule: RuleNoReading, Case: c, Severity: Missing, Do: do, Source: sourceCustom}
}

var noReadingRule = rule{noReading, append([]Outcome{readingIn}, readingAbsent...)}

// noReading asks for a reading that counts.
func noReading(s *subject) Finding {
	switch {
	case s.cyl.Counts():
		return readingIn.finding()
	case int(s.cyl.Absent) >= len(readingAbsent):
		return readingAbsent[AbsentUnread].finding()
	}
	return readingAbsent[s.cyl.Absent].finding()
}
