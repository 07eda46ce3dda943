// Package blends says how well a shop's fills come out: what was asked for
// against what analysers showed.
//
//	roster.Trip --Of--> samples --Summarise--> Report
//
// Which readings count: of each cylinder, and of each fill of it, the first that
// was not taken back, one by the diver (or watched by the leader) and one by the
// shop itself. Later readings of the same fill are second looks, not fills; a
// correction counts with its last value. A reading is held against the blend
// that was asked for when it was taken, and belongs to the day on which it was
// taken in the trip's time zone. Left out are air, which comes from no blender,
// cylinders that nobody ordered a blend for, and readings below 20.0 %, which are
// faults of an analyser and not of a blend.
package blends

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Sample is one reading that counts for one fill.
type Sample struct {
	Trip     roster.TripID
	Cylinder roster.CylinderID
	Fill     int // of that cylinder: 0 before the first that is known of
	Asked    gas.Percent
	Measured gas.Percent
	Analyser string // "" when not said
	Shop     bool   // the shop's own
	At       time.Time
	Day      string // 2027-05-15
}

// Off is how far the reading is from what was asked for, in points, positive
// for richer.
func (s Sample) Off() float64 { return float64(s.Measured - s.Asked) }

// faulty is where the check too takes a reading for a fault (rule out-of-range).
const faulty = gas.Percent(20)

// Of are a trip's samples, the earliest first, and how many readings that would
// count are left out as faults of an analyser.
func Of(t *roster.Trip) (samples []Sample, faults int) {
	zone, err := time.LoadLocation(t.Zone)
	if err != nil {
		zone = time.UTC
	}
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			for _, s := range ofCylinder(c) {
				if s.Measured < faulty {
					faults++
					continue
				}
				s.Trip, s.Day = t.ID, s.At.In(zone).Format(time.DateOnly)
				samples = append(samples, s)
			}
		}
	}
	slices.SortStableFunc(samples, func(a, b Sample) int { return a.At.Compare(b.At) })
	return samples, faults
}

// ofCylinder are the first readings of each fill.
func ofCylinder(c *roster.Cylinder) []Sample {
	type place struct {
		fill int
		shop bool
	}
	seen := map[place]bool{}
	var samples []Sample
	for _, r := range byTime(c.Readings) {
		at, asked := r.When(), askedAt(c, r.When())
		p := place{fillAt(c, at), r.Entrant == gas.ByShop}
		if !r.Undone.IsZero() || seen[p] || asked < gas.EnrichedFrom {
			continue
		}
		seen[p] = true
		samples = append(samples, Sample{Cylinder: c.ID, Fill: p.fill, Asked: asked, Measured: r.Percent,
			Analyser: r.Analyser,
			Shop:     p.shop, At: at})
	}
	return samples
}

func byTime(readings []*roster.Reading) []*roster.Reading {
	sorted := slices.Clone(readings)
	slices.SortStableFunc(sorted, func(a, b *roster.Reading) int { return a.When().Compare(b.When()) })
	return sorted
}

// fillAt counts the fills up to an instant.
func fillAt(c *roster.Cylinder, at time.Time) int {
	n := 0
	for _, f := range c.Fills {
		if !f.At.After(at) {
			n++
		}
	}
	return n
}

// askedAt is the blend that was asked for at an instant.
func askedAt(c *roster.Cylinder, at time.Time) gas.Percent {
	changes := slices.Clone(c.Changed)
	slices.SortStableFunc(changes, func(a, b roster.Asked) int { return a.At.Compare(b.At) })
	for _, change := range changes {
		if change.At.After(at) {
			return change.Was
		}
	}
	return c.Asked
}
