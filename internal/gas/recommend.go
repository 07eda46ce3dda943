package gas

// RichestFor is RichestFitting for one diver: nothing is recommended beyond
// their card or qualification. Without a card it is air at most; where the dive
// is deeper than the policy allows, or than the qualification and no leader's
// depth for the diver is within it, nothing fits.
func RichestFor(p Policy, d Diver) (withMargin, atAll Percent) {
	if tooDeepFor(p, d) {
		return 0, 0
	}
	withMargin, atAll = RichestFitting(p, d.Dive)
	if d.Card == CardNone {
		withMargin, atAll = min(withMargin, Air), min(atAll, Air)
	}
	return withMargin, atAll
}

// tooDeepFor tells whether the dive is deeper than policy or qualification let
// this diver go, whatever they breathe.
func tooDeepFor(p Policy, d Diver) bool {
	u := d.Dive.Depth.Unit
	if most := p.Deepest.NamedIn(u); most.Known() && d.Dive.Depth.DeeperThan(most) {
		return true
	}
	card := d.DepthLimit.NamedIn(u)
	within := d.Set.Depth.Known() && !d.Set.Depth.LimitIn(u).DeeperThan(card)
	return card.Known() && d.Dive.Depth.DeeperThan(card) && !within
}
