package conversation

import (
	"cmp"
	"slices"
	"time"

	"gasmuster/internal/conversation/newcomer"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// BoardView is the leader's board of one dive in parts, for a page that lays
// them out itself. Every sentence is one that the chat says too.
type BoardView struct {
	Status  gas.Status
	Dive    int
	Dived   bool
	Head    message.Line   // the go / no-go of the group
	Plan    []message.Line // which dive, and how its signature stands
	Counts  message.Line
	Group   []message.Line // the shallowest and the shortest, and whose
	Missing []message.Line // who still owes something
	Notices []message.Line // patterns among deviating readings
	People  []PersonView   // active people, those who need something first
	Rest    []message.Line // teams, who can't be reached, unusual settings
	Out     []PersonView   // people who sit out or are outside this check
	Waiting []WaitingView  // at the open invite
	Buttons [][]message.Button
}

// WaitingView is somebody who waits to be let in, with what can be done about it.
type WaitingView struct {
	ID      string
	Name    message.Value
	Line    message.Line // what they said of themself
	Buttons [][]message.Button
}

// PersonView is one person on the board.
type PersonView struct {
	ID         roster.PersonID
	Name       message.Value
	State      string // the word of the interface: "go", "limits", "no-go", "not-cleared", "out", "outside"
	Status     gas.Status
	Verdict    message.Line   // verdict and name
	Word       message.Line   // the verdict alone, with the reason of who is off
	Why        []message.Line // what decides it, and what to do
	Buttons    [][]message.Button
	Cylinders  []CylinderView
	Owes       bool // something that has to be settled before they may go
	BoatOpen   bool // whether a cylinder stayed with them can be answered
	Nudge      bool // owes something and can be written to
	CardUnseen bool
	Relink     bool // can be given a new link by this leader
}

// CylinderView is one cylinder of a person on the board.
type CylinderView struct {
	ID   roster.CylinderID
	Name message.Line
	Line message.Line // reading and MOD, or that there is none
	Read gas.Percent  // the reading, zero when there is none
	// Label is what stands on the cylinder; "" until it has one.
	Label string
}

// ViewBoard is the board of a dive as leader sees it now; dive 0 is the first
// that is neither signed nor dived. It changes nothing.
func ViewBoard(trip *roster.Trip, leader roster.PersonID, dive int, now time.Time) BoardView {
	t := newTurn(Input{Trip: trip, Event: Event{Person: leader}, Now: now, Trips: 1})
	if trip.Dive(dive) == nil {
		dive = t.dive()
	}
	b := t.board(dive)
	if trip.CalledOff != nil { // nobody is told that they may go
		return BoardView{Status: gas.NotCleared, Dive: b.Dive, Dived: b.Dived, Head: t.overLines()[0], Plan: t.planLines(&b)}
	}
	v := BoardView{Status: b.Status, Dive: b.Dive, Dived: b.Dived, Head: t.headline(&b), Plan: t.planLines(&b),
		Counts: countsLine(&b), Group: t.groupLines(&b), Missing: t.missingLine(&b), Notices: t.patternLines(trip.Patterns()),
		Buttons: t.boardButtons(&b)}
	v.Rest = slices.Concat(t.teamLines(&b), t.unreachableLines(), t.policyLines())
	for i := range trip.Gate.Waiting {
		n := &trip.Gate.Waiting[i]
		v.Waiting = append(v.Waiting, WaitingView{ID: n.ID, Name: message.Name(n.Name), Line: newcomer.Line(n),
			Buttons: newcomerButtons(n)})
	}
	for i := range b.People {
		switch c := &b.People[i]; {
		case c.Active:
			v.People = append(v.People, t.viewPerson(c))
		case c.Out != nil || c.Outside != nil:
			v.Out = append(v.Out, PersonView{ID: c.Person, Name: t.nameOf(c.Person), State: c.State(), Verdict: t.personLine(c),
				Word: message.Cleared(trip, c)})
		}
	}
	slices.SortStableFunc(v.People, func(x, y PersonView) int { return cmp.Compare(urgency(x.Status), urgency(y.Status)) })
	return v
}

func (t *turn) viewPerson(cl *roster.Clearance) PersonView {
	p := t.trip.Person(cl.Person)
	v := PersonView{ID: p.ID, Name: t.nameOf(p.ID), State: cl.State(), Status: cl.Status, Owes: blocks(cl),
		Nudge: len(cl.Owes) > 0 && canBeTold(p), CardUnseen: p.Card != gas.CardSeen && !p.Erased,
		Relink: p != t.me() && p.Left.IsZero() && !p.Erased}
	v.Word, v.BoatOpen = message.Cleared(t.trip.Trip, cl), len(boatOwed(p.InUse(), cl)) > 0
	v.Verdict = message.Loud("board.person", message.Args{"verdict": message.Of(v.Word), "name": v.Name})
	if cl.Status != gas.Go {
		v.Why = t.whyLines(cl)
	}
	if f, ok := decisive(cl); ok && blocks(cl) {
		v.Buttons = t.newsButtons(cl, &f)
	}
	for _, c := range p.InUse() {
		if c.Dive == cl.Dive {
			v.Cylinders = append(v.Cylinders, t.viewCylinder(cl, c))
		}
	}
	return v
}

func (t *turn) viewCylinder(cl *roster.Clearance, c *roster.Cylinder) CylinderView {
	one := CylinderView{ID: c.ID, Name: t.cylinderOn(c), Label: c.Label}
	if n := numbersFor(cl, c.ID); n != nil {
		one.Read = t.shownOf(c, n)
		one.Line = t.cylinderLine(c, n)
	} else {
		one.Line = message.Say("board.cylinder.none", message.Args{"cylinder": message.Of(one.Name)})
	}
	return one
}
