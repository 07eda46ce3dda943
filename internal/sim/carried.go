package sim

import (
	"fmt"
	"slices"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// carriedEvery is after how many changes what earlier dives bring to a dive is compared: it takes
// the facts of everybody.
const carriedEvery = 8

// carried compares what earlier dives bring to a dive. It may decide nothing for long.
func (c *comparison) carried(v *judge.DiveVerdict) {
	if v.Dived || v.Dive == 1 || !c.p.closely && c.p.trip.Version%carriedEvery != 0 {
		return
	}
	facts := c.p.trip.FactsOf(v.Dive, c.now)
	for i := range v.Divers {
		want := &v.Divers[i]
		var got, is []string
		for _, f := range factsOf(facts, c.p.people.product[want.Person]) {
			if f.Name == roster.FactDived {
				got = append(got, earlierFact(f.Value))
			}
		}
		for _, e := range want.Before {
			is = append(is, earlierDive(e, c.p.units))
		}
		holdAll(c, "carried", want.Person, got, is)
	}
}

func factsOf(f roster.Facts, who roster.PersonID) []roster.Fact {
	i := slices.IndexFunc(f.People, func(p roster.PersonFacts) bool { return p.Person == who })
	if i < 0 {
		return nil
	}
	return f.People[i].Facts
}

func earlierDive(e judge.EarlierDive, u gas.Unit) string {
	if !e.Breathes {
		return fmt.Sprint(e.Dive, ": at the surface")
	}
	return fmt.Sprintf("%d: %v %v for %v, %v to %v", e.Dive, e.Depth, u, e.Minutes, round(e.Lean), round(e.Rich))
}

// earlierFact is the fact of an earlier dive, as far as it is compared.
func earlierFact(fact string) string {
	var dive int
	var depth, minutes, lean, rich float64
	var unit string
	if strings.Contains(fact, "surface") || strings.Contains(fact, "not dived") {
		return strings.Split(fact, ":")[0] + ": at the surface"
	}
	if _, err := fmt.Sscanf(fact, "%d: %f %s %f min, %f to %f", &dive, &depth, &unit, &minutes, &lean, &rich); err != nil {
		return fact
	}
	return fmt.Sprintf("%d: %v %s for %v, %v to %v", dive, depth, unit, minutes, round(lean), round(rich))
}
