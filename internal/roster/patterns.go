package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// Patterns is what deviating readings on this trip have in common: one
// analyser, the whole bank, or a single fill. It looks at the newest reading of
// each cylinder in use that a diver took or a leader watched. The list is shared
// with the trip's memory and not to be written to.
func (t *Trip) Patterns() []gas.Pattern {
	k := t.knows()
	k.fresh = t.samples(k.fresh[:0])
	if !slices.Equal(k.fresh, k.samples) {
		k.samples, k.fresh = k.fresh, k.samples
		k.patterns = gas.FindPatterns(k.samples)
	}
	return k.patterns
}

// samples are appended to those given.
func (t *Trip) samples(samples []gas.Sample) []gas.Sample {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if !c.Retired.IsZero() {
				continue
			}
			if r := c.newestOfDiver(); r != nil {
				samples = append(samples, gas.Sample{Cylinder: string(c.ID), Analyser: r.Analyser, Asked: c.Asked, Measured: r.Percent})
			}
		}
	}
	return samples
}

// newestOfDiver is the newest reading that counts and isn't the shop's own.
func (c *Cylinder) newestOfDiver() *Reading {
	filled := c.Filled().At
	for _, r := range slices.Backward(c.Readings) {
		if r.stands(filled) && r.Entrant != gas.ByShop {
			return r
		}
	}
	return nil
}
