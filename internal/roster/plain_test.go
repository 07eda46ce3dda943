package roster

import (
	"fmt"
	"reflect"
	"slices"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
)

// In all tests of this package every board that comes from a trip's memory is
// held against one that is computed afresh, the long way round.
func init() {
	checkBoard = func(t *Trip, now time.Time, got Board) {
		if want := plainBoard(t, now); !reflect.DeepEqual(want, got) {
			panic(fmt.Sprintf("the board from memory is not the board (-want +got):\n%s", cmp.Diff(want, got)))
		}
	}
}

// plainBoard is what a board is: everybody is checked, then the teams write
// into the verdicts, then what all share is lifted, and then the findings are
// left out that say only that a rule was looked at.
func plainBoard(t *Trip, now time.Time) Board {
	b := Board{Dive: t.CurrentDive(), Policy: t.Policy.Changed()}
	claims := t.claims()
	for _, p := range t.People {
		cylinders := t.counted(nil, p)
		var d gas.Diver
		t.diver(&d, p, cylinders, claims)
		pb := PersonBoard{Person: p.ID, Left: !p.Left.IsZero(), Out: p.Out,
			Active: p.Active() && (!p.Leader || len(cylinders) > 0), Verdict: gas.Assess(t.Policy, d, now)}
		if pb.Active && !pb.Left {
			pb.Owes = owes(p, d, pb.Verdict)
		}
		b.People = append(b.People, pb)
	}
	plainTeams(t, &b)
	plainGroup(&b)
	for i := range b.People {
		pb := &b.People[i]
		pb.Own, pb.Status = pb.Verdict.Status(), pb.Verdict.StatusLifted()
		if pb.Left {
			pb.Own, pb.Status = worse(pb.Own, gas.NoReading), worse(pb.Status, gas.NoReading)
		}
		pb.Verdict.Findings = slices.DeleteFunc(pb.Verdict.Findings, looked)
	}
	b.count()
	return b
}

// looked tells whether a finding says only that its rule was looked at. What is
// told to whoever has just measured says more, and so do depth and team.
func looked(f gas.Finding) bool {
	switch f.Rule {
	case gas.RuleDepth, gas.RuleTeam:
		return false
	case gas.RuleRepeat, gas.RuleCarbonMonoxide:
		return f.Severity == gas.NotApplicable
	}
	return f.Severity == gas.Pass || f.Severity == gas.NotApplicable
}

// Findings are all that the check finds of a person, also what no board holds.
func Findings(t *Trip, id PersonID, now time.Time) []gas.Finding {
	var d gas.Diver
	p := t.Person(id)
	t.diver(&d, p, t.counted(nil, p), t.claims())
	return gas.Assess(t.Policy, d, now).Findings
}

func plainTeams(t *Trip, b *Board) {
	for _, name := range t.teamNames() {
		var members []PersonID
		var verdicts []*gas.Verdict
		for i := range b.People {
			if pb := &b.People[i]; pb.Active && t.Person(pb.Person).Team == name {
				members, verdicts = append(members, pb.Person), append(verdicts, &pb.Verdict)
			}
		}
		for n := 1; n <= len(t.Dives) && len(members) > 0; n++ {
			if t.signature(n) != nil {
				continue
			}
			l := gas.ApplyTeam(n, verdicts)
			team := TeamBoard{Team: name, Dive: n, MaxDepth: l.MaxDepth, MaxMinutes: l.MaxMinutes}
			if l.DepthBy >= 0 {
				team.DepthBy = members[l.DepthBy]
			}
			if l.TimeBy >= 0 {
				team.TimeBy = members[l.TimeBy]
			}
			b.Teams = append(b.Teams, team)
		}
	}
}

func plainGroup(b *Board) {
	var verdicts []*gas.Verdict
	for i := range b.People {
		if b.People[i].Active {
			verdicts = append(verdicts, &b.People[i].Verdict)
		}
	}
	for _, g := range gas.ShareLimits(verdicts) {
		b.Group = append(b.Group, GroupLimit{Dive: g.Dive, Rule: g.Rule, MaxDepth: g.MaxDepth, MaxMinutes: g.MaxMinutes})
	}
}

// Unchecked is the board from memory without the check of all tests.
func Unchecked(t *Trip, now time.Time) Board { return t.knows().now(now) }
