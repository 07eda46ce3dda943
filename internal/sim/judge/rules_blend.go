package judge

import (
	"math"
	"slices"

	"gasmuster/internal/gas"
)

// "asked: over tolerance (1.0) off the request: note; over tell_shop (2.0): limits until re-planned". A
// request that was changed after the reading doesn't bring it nearer.
func (l *look) asked() Severity {
	return l.worst(func(e evidence) Severity {
		found := NotApplicable
		for _, r := range l.d.heldAgainst(e) {
			found = worse(found, Pass)
			for _, asked := range e.place.askedSince(r.n) {
				found = worse(found, l.offRequest(math.Abs(r.value-asked), e.place.replannedFor(r)))
			}
		}
		return found
	})
}

func (l *look) offRequest(off float64, replanned bool) Severity {
	switch {
	case off > l.d.policy.TellShop+exactly && !replanned:
		return Limits
	case off > l.d.policy.Tolerance+exactly:
		return Note
	}
	return Pass
}

// "It stands for the values then counting, a reading over 0.5 away asks again."
func (q *place) replannedFor(r *reading) bool {
	return slices.ContainsFunc(q.replanned, func(v float64) bool { return math.Abs(v-r.value) <= 0.5+exactly })
}

// "card: the richest compared reading is 22.0 or more; until one counts, and while enriched was ordered
// and less than 22.0 reads without a witness: by the request: 'none' no-go; 'unseen' not-cleared".
func (l *look) card() Severity {
	return l.worst(func(e evidence) Severity {
		if !e.enriched() {
			return Pass
		}
		return l.cardFor()
	})
}

func (e evidence) enriched() bool {
	if e.read() && e.rich >= float64(gas.EnrichedFrom)-exactly {
		return true
	}
	return e.orderedEnriched() && !e.witnessedCounts()
}

// orderedEnriched tells whether enriched air was ordered, now or when something was read of what is in the cylinder: a
// request that is changed after a reading helps nobody.
func (e evidence) orderedEnriched() bool {
	return slices.ContainsFunc(e.place.askedSince(e.first), enriched)
}

func enriched(o2 float64) bool { return o2 >= float64(gas.EnrichedFrom)-exactly }

func (l *look) cardFor() Severity {
	switch l.p.Card {
	case CardSeen:
		return Pass
	case CardNone:
		return NoGo
	}
	l.needs[NeedCard] = true
	return NotCleared
}

// "air-is-not-air: asked for air, reads 22.0 or more: checked as enriched, card included; without one:
// swap".
func (l *look) airIsNotAir() Severity {
	return l.worst(func(e evidence) Severity {
		askedAir := slices.ContainsFunc(e.place.asked, func(a ask) bool { return !enriched(a.value) })
		switch {
		case !e.read() || !askedAir:
			return NotApplicable
		case !enriched(e.rich):
			return Pass
		}
		return worse(Note, l.cardFor())
	})
}
