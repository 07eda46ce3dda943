package roster

import (
	"fmt"
	"reflect"
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
// into the verdicts, then what all share is lifted.
func plainBoard(t *Trip, now time.Time) Board {
	b := Board{Dive: t.CurrentDive(), Policy: t.Policy.Changed()}
	claims := t.claims()
	for _, p := range t.People {
		cylinders := t.counted(p)
		d := t.diver(p, cylinders, claims)
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
	}
	b.count()
	return b
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
