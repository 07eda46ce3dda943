package sim

import (
	"slices"
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// What is said of cylinders: by their diver, by leader and crew.

func (v *voice) filled(by *roster.Person, s judge.Said) string {
	owner, c := v.trip.Cylinder(v.inUse(v.trip, s.Cylinder).ID)
	switch {
	case !c.Retired.IsZero():
		return ""
	case owner == by:
		return "[refill " + string(c.ID)
	case (by.Leader || by.Crew) && c.Label != "" && len(v.trip.Labelled(c.Label)) == 1:
		return "/refilled " + c.Label
	}
	return ""
}

func (v *voice) swapped(by *roster.Person, s judge.Said) string {
	owner, c := v.trip.Cylinder(v.inUse(v.trip, s.Cylinder).ID)
	switch {
	case s.Label != "" || !c.Retired.IsZero():
		return ""
	case owner == by:
		return "[swap " + string(c.ID)
	case by.Leader, by.Crew:
		return "[lswap " + string(c.ID)
	}
	return ""
}

// planned is pressed where the board asks for it.
func (v *voice) planned(by *roster.Person, s judge.Said) string {
	owner, c := v.trip.Cylinder(v.inUse(v.trip, s.Cylinder).ID)
	on := v.trip.Clearance(owner.ID, c.Dive, s.At)
	asks := on.Active && slices.ContainsFunc(on.Verdict.Findings, func(f gas.Finding) bool {
		return f.Rule == gas.RuleAsked && f.Severity == gas.Limits && f.Cylinder == string(c.ID)
	})
	if !by.Leader || !asks || !c.Retired.IsZero() || v.trip.WasDived(c.Dive) {
		return ""
	}
	return "[lreplan " + string(c.ID)
}

func (v *voice) check(by *roster.Person, s judge.Said) string {
	switch n := strconv.Itoa(s.Dive); {
	case !by.Leader || v.trip.WasDived(s.Dive):
		return ""
	case v.trip.BoatOpened(s.Dive):
		return "[lboat " + n + " again"
	default:
		return "/boat " + n
	}
}

func (v *voice) boat(by *roster.Person, s judge.Said) string {
	owner, c := v.trip.Cylinder(v.inUse(v.trip, s.Cylinder).ID)
	if owner != by || !c.Retired.IsZero() || !v.trip.BoatOpened(c.Dive) {
		return ""
	}
	answers := map[judge.Boat]string{judge.BoatKept: roster.Kept, judge.BoatChanged: roster.OutOfSight,
		judge.BoatNotSure: roster.Unsure}
	return "[boat " + string(c.ID) + " " + answers[s.Boat]
}
