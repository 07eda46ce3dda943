package gas

// The outcomes of the rule "card": enriched air needs a qualification.
var (
	cardAir     = Outcome{Rule: RuleCard, Case: "air", Severity: Pass, Source: sourceCustom}
	cardSeen    = Outcome{Rule: RuleCard, Case: "seen", Severity: Pass, Source: sourceCustom}
	cardNone    = Outcome{Rule: RuleCard, Case: "none", Severity: Stop, Do: "swap-for-air", Source: sourceCustom}
	cardUnseen  = Outcome{Rule: RuleCard, Case: "unseen", Severity: Missing, Do: "show-card", Source: sourceCustom}
	cardNotRead = notRead(RuleCard)
)

var cardRule = rule{card, []Outcome{cardAir, cardSeen, cardNone, cardUnseen, cardNotRead}}

// card asks for a qualification from 22.0 % on: by what was read, and by the
// request while nothing counts or nobody watched a number below.
func card(s *subject) Finding {
	if !s.hasReading() && !s.asked().Known() {
		return cardNotRead.finding()
	}
	o := cardAir
	gas := s.cardGas()
	if gas >= EnrichedFrom-exactly {
		switch s.diver.Card {
		case CardSeen:
			o = cardSeen
		case CardNone:
			o = cardNone
		default:
			o = cardUnseen
		}
	}
	return o.finding().percent(gas, EnrichedFrom, EnrichedFrom-gas)
}

// cardGas is the richest gas that a card is needed for.
func (s *subject) cardGas() Percent {
	gas := s.rich
	if !s.cyl.Counts() || s.cyl.LeanUnseen {
		gas = max(gas, s.asked(), s.cyl.RichestAsked)
	}
	return gas
}

// enriched tells whether what was read counts as enriched air.
func (s *subject) enriched() bool { return s.rich >= EnrichedFrom-exactly }
