package conversation

import (
	"cmp"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// BoardView is the leader's board in parts, for a page that lays them out
// itself. Every sentence is one that the chat says too.
type BoardView struct {
	Status  gas.Status
	Dive    int            // the current dive, 0 when every dive is signed off
	Head    message.Line   // the go / no-go of the group
	Plan    []message.Line // which dive, and whether it was signed off before
	Counts  message.Line
	Group   []message.Line // limits that everybody shares
	Missing []message.Line // who still owes something
	Notices []message.Line // patterns among deviating readings
	People  []PersonView   // active people, those who need something first
	Rest    []message.Line // teams, sit-outs, who can't be reached, unusual settings
	Out     []PersonView   // people who sit out
	Buttons [][]message.Button
}

// PersonView is one person on the board.
type PersonView struct {
	ID         roster.PersonID
	Name       message.Value
	Status     gas.Status
	Verdict    message.Line   // verdict and name
	Why        []message.Line // what decides it, and what to do
	Cylinders  []CylinderView
	Owes       bool // something that has to be settled before they may go
	Nudge      bool // owes something and can be written to
	CardUnseen bool
	Relink     bool // can be given a new link by this leader
}

// CylinderView is one cylinder of a person on the board.
type CylinderView struct {
	ID   roster.CylinderID
	Name message.Line
	Line message.Line // reading and MOD, or that there is none
}

// ViewBoard is the board as leader sees it now. It changes nothing.
func ViewBoard(trip *roster.Trip, leader roster.PersonID, now time.Time) BoardView {
	t := newTurn(Input{Trip: trip, Event: Event{Person: leader}, Now: now, Trips: 1})
	b := t.board()
	v := BoardView{Status: b.Status, Dive: b.Dive, Head: t.headline(&b), Plan: append([]message.Line{t.diveLine(&b)}, t.reopenedLines(&b)...),
		Counts: countsLine(&b), Group: t.groupLines(&b), Missing: t.missingLine(&b), Notices: t.patternLines(trip.Patterns()),
		Buttons: t.boardButtons(&b)}
	v.Rest = slices.Concat(t.teamLines(&b), t.outLines(), t.unreachableLines(), policyLines(trip))
	for i := range b.People {
		switch pb := &b.People[i]; {
		case pb.Active:
			v.People = append(v.People, t.viewPerson(pb))
		case pb.Out != nil:
			v.Out = append(v.Out, PersonView{ID: pb.Person, Name: t.nameOf(pb.Person)})
		}
	}
	slices.SortStableFunc(v.People, func(x, y PersonView) int {
		return cmp.Compare(urgency(&roster.PersonBoard{Status: x.Status}), urgency(&roster.PersonBoard{Status: y.Status}))
	})
	return v
}

func (t *turn) viewPerson(pb *roster.PersonBoard) PersonView {
	p := t.trip.Person(pb.Person)
	v := PersonView{ID: p.ID, Name: t.nameOf(p.ID), Status: pb.Status, Owes: blocks(pb),
		Nudge: len(pb.Owes) > 0 && canBeTold(p), CardUnseen: p.Card != gas.CardSeen && !p.Erased,
		Relink: p != t.me && p.Left.IsZero() && !p.Erased}
	key := "board.person"
	if pb.Left {
		key = "board.person.left"
	}
	v.Verdict = message.Loud(key, message.Args{"verdict": boardVerdict(pb, t.onDive()), "name": v.Name})
	if pb.Status != gas.Go {
		v.Why = t.whyLines(pb)
	}
	for _, c := range p.InUse() {
		one := CylinderView{ID: c.ID, Name: t.cylinderOn(c)}
		if n := numbersOf(pb, c.ID); n != nil {
			one.Line = t.cylinderLine(c, n)
		} else {
			one.Line = message.Say("board.cylinder.none", message.Args{"cylinder": message.Of(one.Name)})
		}
		v.Cylinders = append(v.Cylinders, one)
	}
	return v
}
