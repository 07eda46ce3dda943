package conversation

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Who is in the way of a dive, by what they need: a line a need, with the names.
// The refused sign-off, "who owes what" and the last minutes before departure say
// it the same way, with buttons that do it.

// needing is who needs the same.
type needing struct {
	need   message.Line
	people []*roster.Person
}

// needs are the people of a board that is is true of, by need: who may not dive
// comes first.
func (t *turn) needs(b *roster.Board, is func(*roster.Clearance) bool) []needing {
	var groups []needing
	for i := range b.People {
		c := &b.People[i]
		if !is(c) {
			continue
		}
		need := message.Cleared(t.trip.Trip, c)
		n := slices.IndexFunc(groups, func(g needing) bool { return sameNeed(g.need, need) })
		if n < 0 {
			n, groups = len(groups), append(groups, needing{need: need})
		}
		groups[n].people = append(groups[n].people, t.trip.Person(c.Person))
	}
	slices.SortStableFunc(groups, func(x, y needing) int { return needRank(x) - needRank(y) })
	return groups
}

// sameNeed tells whether two needs are said in the same words: also of the same
// leader, where somebody has to speak to one.
func sameNeed(a, b message.Line) bool {
	x, _ := a.Values.Of("leader")
	y, _ := b.Values.Of("leader")
	return a.Key == b.Key && x == y
}

func needRank(g needing) int {
	if g.need.Key == "verdict.no-go" {
		return 0
	}
	return 1
}

// needLines are a line a need, and whom somebody has to speak to.
func (t *turn) needLines(b *roster.Board, is func(*roster.Clearance) bool) []message.Line {
	var lines []message.Line
	var away []*roster.Person
	for _, g := range t.needs(b, is) {
		lines = append(lines, message.Say("need.who", message.Args{"need": message.Of(g.need), "names": t.names(g.people)}))
		for _, p := range g.people {
			if !canBeTold(p) {
				away = append(away, p)
			}
		}
	}
	return append(lines, t.awayLine(away)...)
}

// awayLine names those who can't be written to.
func (t *turn) awayLine(away []*roster.Person) []message.Line {
	if len(away) == 0 {
		return nil
	}
	return []message.Line{message.Say("nudge.not-reachable",
		message.Args{"count": message.Count(len(away)), "names": t.names(away)})}
}

// owesAny tells whether an active person owes something.
func owesAny(c *roster.Clearance) bool { return c.Active && len(c.Owes) > 0 }

// mostNeedButtons is how many people get a button of their own in one message.
const mostNeedButtons = 3

// needButtons remind all who can be written to; for the others they do what can
// be done without their phone.
func (t *turn) needButtons(b *roster.Board) [][]message.Button {
	return slices.Concat(t.nudgeButton(b), t.ownCardButton(b.Of(t.actor)), t.goneButtons(b), t.personButtons(b))
}

// personButtons do what can be done without a person's phone.
func (t *turn) personButtons(b *roster.Board) [][]message.Button {
	var rows [][]message.Button
	for _, p := range t.owing(b) {
		if canBeTold(p) || !p.Left.IsZero() || len(rows) >= mostNeedButtons {
			continue
		}
		a := message.Args{"name": t.nameOf(p.ID)}
		switch {
		case len(boatOwed(p.InUse(), b.Of(p.ID))) > 0:
			rows = append(rows, oneButton("lkept "+string(p.ID), message.Say("need.button.kept", a)))
		case len(p.InUse()) > 0:
			rows = append(rows, oneButton("lfor "+string(p.ID), message.Say("need.button.watch", a)))
		}
	}
	return rows
}

// keptPressed says for somebody without a phone that their cylinder stayed with
// them.
func keptPressed(t *turn, args []string) {
	p, _, ok := t.knownPerson(args)
	if !ok {
		t.questionOver()
		return
	}
	if t.session.State == stateFor {
		t.done() // it answers in place of a reading
	}
	keptFor(t, p, "")
}
