package gas

import (
	"math"
	"slices"
)

// GroupLimit is a limit that every diver of a group carries on one dive, so
// that it is said once for all of them. MaxDepth or MaxMinutes is set, never
// both.
type GroupLimit struct {
	Dive       int
	Rule       Rule // of the finding that sets it
	MaxDepth   Depth
	MaxMinutes float64
}

// ShareLimits finds the limits that a group has in common and marks, in the
// verdicts given, the findings that say no more than those (Finding.Group).
//
// Give it the verdicts of all active divers, over all their dives. On one dive
// only those with a reading there count. If each of them carries a depth limit,
// the group's depth is the loosest of them and a diver's limit counts only
// where it is stricter; the same holds for minutes. A diver with several
// cylinders on the dive carries the strictest of their limits. Marks of an
// earlier call are cleared first. It writes to marked findings and to those of
// severity Limits, and to no others.
//
// See Verdict.StatusLifted for the status without the marked findings.
func ShareLimits(verdicts []*Verdict) []GroupLimit {
	for _, v := range verdicts {
		for i := range v.Findings {
			if f := &v.Findings[i]; f.Group {
				f.Group = false
			}
		}
	}
	var shared []GroupLimit
	for _, dive := range divesOf(verdicts) {
		if g, ok := sharedLimit(verdicts, dive, depthOf); ok {
			shared = append(shared, g)
		}
		if g, ok := sharedLimit(verdicts, dive, minutesOf); ok {
			shared = append(shared, g)
		}
	}
	return shared
}

// kind reads one kind of limit from a finding: a comparable amount (smaller is
// stricter), whether the finding has it, and the limit itself.
type kind func(*Finding) (amount float64, has bool, limit GroupLimit)

func depthOf(f *Finding) (float64, bool, GroupLimit) {
	return f.MaxDepth.Metres(), f.MaxDepth.Known(), GroupLimit{Dive: f.Dive, Rule: f.Rule, MaxDepth: f.MaxDepth}
}

func minutesOf(f *Finding) (float64, bool, GroupLimit) {
	return f.MaxMinutes, f.MaxMinutes > 0, GroupLimit{Dive: f.Dive, Rule: f.Rule, MaxMinutes: f.MaxMinutes}
}

// sharedLimit is the group's limit of one kind on one dive, if every diver with
// a reading there carries one; it marks what the group's limit already says.
func sharedLimit(verdicts []*Verdict, dive int, of kind) (GroupLimit, bool) {
	var group GroupLimit
	loosest := math.Inf(-1)
	for _, v := range verdicts {
		if !v.hasReading(dive) {
			continue
		}
		own, limit, ok := v.strictest(dive, of)
		if !ok {
			return GroupLimit{}, false
		}
		if own > loosest {
			loosest, group = own, limit
		}
	}
	if math.IsInf(loosest, -1) {
		return GroupLimit{}, false
	}
	for _, v := range verdicts {
		v.lift(dive, loosest, of)
	}
	return group, true
}

// strictest is the strictest limit of one kind that a diver carries on a dive.
func (v *Verdict) strictest(dive int, of kind) (amount float64, limit GroupLimit, ok bool) {
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Dive != dive || f.Severity != Limits {
			continue
		}
		if a, has, l := of(f); has && (!ok || a < amount) {
			amount, limit, ok = a, l, true
		}
	}
	return amount, limit, ok
}

// lift marks the findings of one kind that are no stricter than amount.
func (v *Verdict) lift(dive int, amount float64, of kind) {
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Dive != dive || f.Severity != Limits {
			continue
		}
		if a, has, _ := of(f); has && a >= amount-exactly {
			f.Group = true
		}
	}
}

// hasReading tells whether the diver has a counted reading on a dive.
func (v *Verdict) hasReading(dive int) bool {
	for i := range v.Numbers {
		if n := &v.Numbers[i]; n.Dive == dive && n.Rich.Known() {
			return true
		}
	}
	return false
}

// divesOf are the dives that verdicts speak of, in order of appearance.
func divesOf(verdicts []*Verdict) []int {
	var dives []int
	for _, v := range verdicts {
		for i := range v.Numbers {
			if dive := v.Numbers[i].Dive; !slices.Contains(dives, dive) {
				dives = append(dives, dive)
			}
		}
	}
	return dives
}
