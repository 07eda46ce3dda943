package roster

import "gasmuster/internal/gas"

// Patterns is what deviating readings on this trip have in common: one
// analyser, the whole bank, or a single fill. It looks at the newest reading of
// each cylinder in use that a diver took or a leader watched.
func (t *Trip) Patterns() []gas.Pattern {
	var samples []gas.Sample
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if r := c.newestOfDiver(); r != nil {
				samples = append(samples, gas.Sample{Cylinder: string(c.ID), Analyser: r.Analyser, Asked: c.Asked, Measured: r.Percent})
			}
		}
	}
	return gas.FindPatterns(samples)
}

// newestOfDiver is the newest reading that counts and isn't the shop's own.
func (c *Cylinder) newestOfDiver() *Reading {
	var newest *Reading
	for _, r := range c.Valid() {
		if r.Entrant != gas.ByShop {
			newest = r
		}
	}
	return newest
}
