package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// teams writes the team findings into the verdicts of those in a team and
// returns each team's limits, by team and dive.
func (t *Trip) teams(lines []*line) []TeamBoard {
	var boards []TeamBoard
	for _, name := range t.teamNames() {
		var members []*line
		for _, l := range lines {
			if l.board.Active && l.team == name {
				members = append(members, l)
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

func teamBoard(name string, dive int, members []*line) TeamBoard {
	limits := gas.ApplyTeam(dive, parts(members))
	b := TeamBoard{Team: name, Dive: dive, MaxDepth: limits.MaxDepth, MaxMinutes: limits.MaxMinutes}
	if limits.DepthBy >= 0 {
		b.DepthBy = members[limits.DepthBy].board.Person
	}
	if limits.TimeBy >= 0 {
		b.TimeBy = members[limits.TimeBy].board.Person
	}
	return b
}

func parts(lines []*line) []*gas.Verdict {
	verdicts := make([]*gas.Verdict, len(lines))
	for i, l := range lines {
		verdicts[i] = l.part
	}
	return verdicts
}

// shareLimits lifts what all active people have in common.
func shareLimits(lines []*line) []GroupLimit {
	active := make([]*gas.Verdict, 0, len(lines))
	for _, l := range lines {
		if l.board.Active {
			active = append(active, l.part)
		}
	}
	var shared []GroupLimit
	for _, g := range gas.ShareLimits(active) {
		shared = append(shared, GroupLimit{Dive: g.Dive, Rule: g.Rule, MaxDepth: g.MaxDepth, MaxMinutes: g.MaxMinutes})
	}
	return shared
}
