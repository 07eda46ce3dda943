package gas

// The outcomes of the rule "air-is-not-air": air was asked for, and something
// else is in the cylinder.
var (
	airIsAir    = Outcome{Rule: RuleAirIsNotAir, Case: "air", Severity: Pass, Source: sourceCustom}
	airEnriched = Outcome{Rule: RuleAirIsNotAir, Case: "enriched", Severity: Note, Do: "use-as-enriched",
		Source: sourceCustom}
	airNoCard = Outcome{Rule: RuleAirIsNotAir, Case: "no-card", Severity: Stop, Do: "swap-for-air",
		Source: sourceCustom}
	airCardUnseen = Outcome{Rule: RuleAirIsNotAir, Case: "card-unseen", Severity: Missing, Do: "swap-or-card",
		Source: sourceCustom}
	airNotAskedFor = Outcome{Rule: RuleAirIsNotAir, Case: "not-asked", Severity: NotApplicable}
	airNotRead     = notRead(RuleAirIsNotAir)
)

var airIsNotAirRule = rule{airIsNotAir, []Outcome{airIsAir, airEnriched, airNoCard, airCardUnseen, airNotAskedFor,
	airNotRead}}

// airIsNotAir catches a cylinder of enriched air in the hands of somebody who
// asked for air; with a card it is checked as what it is.
func airIsNotAir(s *subject) Finding {
	switch {
	case !s.cyl.AirAsked && (!s.asked().Known() || s.asked() >= EnrichedFrom):
		return airNotAskedFor.finding()
	case !s.hasReading():
		return airNotRead.finding()
	}
	o := airIsAir
	if s.enriched() {
		switch s.diver.Card {
		case CardSeen:
			o = airEnriched
		case CardNone:
			o = airNoCard
		default:
			o = airCardUnseen
		}
	}
	f := o.finding().percent(s.rich, EnrichedFrom, EnrichedFrom-s.rich)
	f.Other = s.asked()
	return f
}
