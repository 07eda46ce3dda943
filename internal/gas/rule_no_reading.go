package gas

// The outcomes of the rule "no-reading": every cylinder is analysed by the
// diver who will breathe it, at this stage of the day.
var (
	readingIn       = Outcome{Rule: RuleNoReading, Case: "in", Severity: Pass}
	readingMissing  = Outcome{Rule: RuleNoReading, Case: "missing", Severity: Missing, Do: "analyse", Source: sourceCustom}
	readingShopOnly = Outcome{Rule: RuleNoReading, Case: "shop-only", Severity: Missing, Do: "analyse", Source: sourceCustom}
	readingBoat     = Outcome{Rule: RuleNoReading, Case: "boat", Severity: Missing, Do: "analyse-boat", Source: sourceCustom}
	readingQuestion = Outcome{Rule: RuleNoReading, Case: "boat-question", Severity: Missing, Do: "answer-boat-question", Source: sourceCustom}
)

var noReadingRule = rule{noReading, []Outcome{readingIn, readingMissing, readingShopOnly, readingBoat, readingQuestion}}

// noReading looks for a reading of the diver's own, or one that the leader
// watched: the shop's analysis doesn't stand in for it.
func noReading(s *subject) Finding {
	own, boat := false, false
	for i := range s.readings {
		if r := &s.readings[i]; r.By != ByShop {
			own = true
			boat = boat || r.Stage == Boat
		}
	}
	switch {
	case !s.hasReading():
		return readingMissing.finding()
	case !own:
		return readingShopOnly.finding()
	case s.cyl.Due == DueBoatQuestion:
		return readingQuestion.finding()
	case s.cyl.Due == DueBoatReading && !boat:
		return readingBoat.finding()
	}
	return readingIn.finding()
}
