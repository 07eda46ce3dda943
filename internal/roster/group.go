package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// group is a person's part in what divers share: the limits of a team, and
// those that everybody carries. Both write into the findings. They write into a
// small verdict that holds only what they look at; the whole one changes only
// when that came out differently from last time, and is copied first when it
// was handed out already.
type group struct {
	person PersonID
	team   string
	active bool

	at    []int       // where in shown the findings of alone and part are
	alone gas.Verdict // before anything is shared
	part  gas.Verdict // to be written to
	begun bool        // part is there, and no team wrote into it

	last        gas.Verdict // part as it went into shown
	shown       gas.Verdict // all findings, with what the group shares
	own, lifted gas.Status  // of shown
	handed      bool        // shown was handed out: it is not to be written to
}

// newGroup takes a verdict over, to write to.
func newGroup(v gas.Verdict) group {
	g := group{shown: v, alone: gas.Verdict{Cylinders: v.Cylinders, Numbers: slices.Clone(v.Numbers)}}
	for i := range v.Findings {
		if f := &v.Findings[i]; shared(f) {
			g.at = append(g.at, i)
			g.alone.Findings = append(g.alone.Findings, *f)
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
	setTo(&g.part, &g.alone)
}

// settled is the verdict with what is shared, by itself and with the limits
// lifted that everybody carries.
func (g *group) settled() (v gas.Verdict, own, lifted gas.Status) {
	if g.handed && slices.Equal(g.last.Findings, g.part.Findings) && slices.Equal(g.last.Numbers, g.part.Numbers) {
		return g.shown, g.own, g.lifted
	}
	if g.handed {
		g.shown.Findings, g.shown.Numbers = slices.Clone(g.shown.Findings), slices.Clone(g.shown.Numbers)
	}
	for k, i := range g.at {
		g.shown.Findings[i] = g.part.Findings[k]
	}
	copy(g.shown.Numbers, g.part.Numbers)
	setTo(&g.last, &g.part)
	g.own, g.lifted, g.handed = g.shown.Status(), g.shown.StatusLifted(), true
	return g.shown, g.own, g.lifted
}

// setTo makes v a copy of w, in the room that v has.
func setTo(v, w *gas.Verdict) {
	v.Cylinders = w.Cylinders
	v.Findings = append(v.Findings[:0], w.Findings...)
	v.Numbers = append(v.Numbers[:0], w.Numbers...)
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
