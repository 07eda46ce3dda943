package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// group is a person's part in what divers share: the limits of a team, and
// those that everybody carries. Both write into the findings, and a verdict is
// shared with the memory it comes from; so they write into a small verdict that
// holds only the findings they look at, and the whole one is copied when that
// came out differently from last time.
type group struct {
	person PersonID
	team   string
	active bool

	verdict *gas.Verdict // alone, not to be written to
	at      []int        // where in verdict the findings of part are
	part    gas.Verdict  // to be written to
	begun   bool         // part is there, and no team wrote into it

	last        gas.Verdict // part as it was when shown was made
	shown       gas.Verdict // with what the group shares; not to be written to
	own, lifted gas.Status  // of shown
	known       bool        // shown is there
}

func newGroup(v *gas.Verdict) group {
	g := group{verdict: v}
	for i := range v.Findings {
		if f := &v.Findings[i]; shared(f) {
			g.at = append(g.at, i)
		}
	}
	return g
}

// shared tells whether gas.ApplyTeam and gas.ShareLimits look at a finding:
// limits, what stops a diver, and the finding about the team itself.
func shared(f *gas.Finding) bool {
	return f.Severity == gas.Limits || f.Severity == gas.Stop || f.Rule == gas.RuleTeam
}

// begin takes the findings as they are before anything is shared.
func (g *group) begin() {
	if g.begun && g.active && g.team == "" {
		return // nothing was written but marks of gas.ShareLimits, which clears its own
	}
	g.begun = g.team == "" // what a team writes stays
	g.part.Cylinders = g.verdict.Cylinders
	g.part.Numbers = append(g.part.Numbers[:0], g.verdict.Numbers...)
	g.part.Findings = g.part.Findings[:0]
	for _, i := range g.at {
		g.part.Findings = append(g.part.Findings, g.verdict.Findings[i])
	}
}

// settled is the verdict with what is shared, by itself and with the limits
// lifted that everybody carries.
func (g *group) settled() (v gas.Verdict, own, lifted gas.Status) {
	if g.known && slices.Equal(g.last.Findings, g.part.Findings) && slices.Equal(g.last.Numbers, g.part.Numbers) {
		return g.shown, g.own, g.lifted
	}
	g.last = gas.Verdict{Findings: slices.Clone(g.part.Findings), Numbers: slices.Clone(g.part.Numbers)}
	g.shown = gas.Verdict{Cylinders: g.verdict.Cylinders, Findings: slices.Clone(g.verdict.Findings),
		Numbers: slices.Clone(g.verdict.Numbers)} // that of no cylinders is an empty list, not none
	copy(g.shown.Numbers, g.last.Numbers)
	for k, i := range g.at {
		g.shown.Findings[i] = g.part.Findings[k]
	}
	g.own, g.lifted, g.known = g.shown.Status(), g.shown.StatusLifted(), true
	return g.shown, g.own, g.lifted
}

// teams writes the team findings into the verdicts of those in a team and
// returns each team's limits, by team and dive.
func (t *Trip) teams(groups []*group) []TeamBoard {
	var boards []TeamBoard
	for _, name := range t.teamNames() {
		var members []*group
		for _, g := range groups {
			if g.active && g.team == name {
				members = append(members, g)
			}
		}
		for n := 1; n <= len(t.Dives) && len(members) > 0; n++ {
			if t.signature(n) == nil {
				boards = append(boards, teamBoard(name, n, members))
			}
		}
	}
	return boards
}

// teamNames are the teams in order of appearance.
func (t *Trip) teamNames() []string {
	var names []string
	for _, p := range t.People {
		if p.Team != "" && !slices.Contains(names, p.Team) {
			names = append(names, p.Team)
		}
	}
	return names
}

func teamBoard(name string, dive int, members []*group) TeamBoard {
	limits := gas.ApplyTeam(dive, parts(members))
	b := TeamBoard{Team: name, Dive: dive, MaxDepth: limits.MaxDepth, MaxMinutes: limits.MaxMinutes}
	if limits.DepthBy >= 0 {
		b.DepthBy = members[limits.DepthBy].person
	}
	if limits.TimeBy >= 0 {
		b.TimeBy = members[limits.TimeBy].person
	}
	return b
}

func parts(groups []*group) []*gas.Verdict {
	verdicts := make([]*gas.Verdict, len(groups))
	for i, g := range groups {
		verdicts[i] = &g.part
	}
	return verdicts
}

// shareLimits lifts what all active people have in common.
func shareLimits(groups []*group) []GroupLimit {
	var active []*group
	for _, g := range groups {
		if g.active {
			active = append(active, g)
		}
	}
	var shared []GroupLimit
	for _, g := range gas.ShareLimits(parts(active)) {
		shared = append(shared, GroupLimit{Dive: g.Dive, Rule: g.Rule, MaxDepth: g.MaxDepth, MaxMinutes: g.MaxMinutes})
	}
	return shared
}
