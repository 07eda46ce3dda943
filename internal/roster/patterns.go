package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// Patterns is what deviating readings on this trip have in common: one
// analyser, the whole bank, or a single fill. It looks at the newest reading of
// each cylinder in use that a diver took or a leader watched.
func (t *Trip) Patterns() []gas.Pattern {
	samples := make([]gas.Sample, 0, 2*len(t.People))
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if r := c.newestOfDiver(); r != nil && c.Retired.IsZero() {
				samples = append(samples, gas.Sample{Cylinder: string(c.ID), Analyser: r.Analyser, Asked: c.Asked,
					Measured: r.Percent})
			}
		}
	}
	return gas.FindPatterns(samples)
}

// newestOfDiver is the newest reading since the last fill that was not taken back
// and isn't the shop's own.
func (c *Cylinder) newestOfDiver() *Reading {
	for _, r := range slices.Backward(c.Readings) {
		if r.Nth < c.Filled().Nth {
			return nil
		}
		if r.Undone.IsZero() && r.Entrant != gas.ByShop {
			return r
		}
	}
	return nil
}
