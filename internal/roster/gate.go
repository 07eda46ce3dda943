package roster

import (
	"errors"
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// What one trip keeps of people who are not on it.
const (
	MaxWaiting = 20  // who wait at the open invite
	maxPassed  = 200 // whom leader or crew answered, the newest
)

// Gate is the open invite of a trip: one link for everybody, and who waits there
// to be let in. It is replaced, never written to.
type Gate struct {
	Generation int        `json:"generation,omitempty"` // of the link, 0: there never was one
	Open       bool       `json:"open,omitempty"`
	Waiting    []Newcomer `json:"waiting,omitempty"`
	Passed     []Passed   `json:"passed,omitempty"`
}

// Newcomer is somebody who waits, with what they said of themself.
type Newcomer struct {
	ID         string        `json:"id"` // "n3"
	Name       string        `json:"name"`
	Card       gas.Card      `json:"card"`                 // unseen: they say that they have one; or none
	DepthLimit gas.Depth     `json:"depth_limit,omitzero"` // of the qualification, as they say
	Asked      []gas.Percent `json:"asked"`                // by dive, 0 for no cylinder
	Label      string        `json:"label,omitempty"`      // of the first cylinder
	Language   string        `json:"language,omitempty"`
	Units      string        `json:"units,omitempty"`
	Address    Address       `json:"address,omitzero"` // zero for a page
	From       string        `json:"from"`             // stands for the account or the place they came from
	At         time.Time     `json:"at"`
}

// Passed is somebody who was answered; of one who was refused no name is kept.
type Passed struct {
	ID     string   `json:"id"`
	From   string   `json:"from"`
	Person PersonID `json:"person,omitempty"` // "" when refused
}

// Why somebody can't wait at a trip's open invite.
var (
	ErrGateShut    = errors.New("the open invite is shut")
	ErrGateFull    = errors.New("too many wait at the open invite")
	ErrGateRefused = errors.New("was refused at the open invite")
)

// refusedOften is how often one place may be refused before nobody comes from it.
const refusedOften = 2

// GateOpen tells whether the open invite takes people: until the last dive is
// signed or dived, or the trip is called off.
func (t *Trip) GateOpen(now time.Time) bool {
	return t.Gate.Open && !t.Over(now) && t.DefaultDive(now) != 0
}

// OpenGate opens the open invite with a new link, by the shop or a leader; an
// older link is worth nothing then. ShutGate shuts it, and whoever waits goes.
func (d *Draft) OpenGate(by PersonID, now time.Time) bool {
	if by != "" && !d.leads(by) {
		return false
	}
	g := d.Gate.copied()
	g.Generation, g.Open = max(g.Generation+1, d.firstGeneration(now)), true
	d.setGate(g)
	d.act(now, by, VerbGateOpen, "", "")
	return true
}

// ShutGate is described at OpenGate.
func (d *Draft) ShutGate(by PersonID, now time.Time) bool {
	if by != "" && !d.leads(by) || !d.Gate.Open {
		return false
	}
	g := d.Gate.copied()
	g.Open, g.Waiting = false, nil
	d.setGate(g)
	d.act(now, by, VerbGateShut, "", "")
	return true
}

// Knock lets somebody wait and returns their id; who waits already, from the same
// account, is the same newcomer with what they say now. It fails with
// ErrGateShut, ErrGateFull or ErrGateRefused.
func (d *Draft) Knock(n Newcomer, now time.Time) (id string, err error) {
	again := func(w Newcomer) bool { return n.Address != (Address{}) && w.Address == n.Address }
	i := slices.IndexFunc(d.Gate.Waiting, again)
	switch {
	case !d.GateOpen(now):
		return "", ErrGateShut
	case d.Gate.refused(n):
		return "", ErrGateRefused
	case i < 0 && len(d.Gate.Waiting) >= MaxWaiting:
		return "", ErrGateFull
	}
	g := d.Gate.copied()
	n.At = now
	if i >= 0 {
		n.ID = g.Waiting[i].ID
		g.Waiting[i] = n
	} else {
		n.ID = d.number("n")
		g.Waiting = append(g.Waiting, n)
	}
	d.setGate(g)
	return n.ID, nil
}

// WaitsFrom is who waits from an account, nil when nobody does.
func (t *Trip) WaitsFrom(a Address) *Newcomer {
	i := slices.IndexFunc(t.Gate.Waiting, func(n Newcomer) bool { return n.Address == a && a != (Address{}) })
	if i < 0 {
		return nil
	}
	return &t.Gate.Waiting[i]
}

// SayLabel notes the label of the first cylinder of who waits from an account.
func (d *Draft) SayLabel(a Address, label string) bool {
	n := d.WaitsFrom(a)
	if n == nil {
		return false
	}
	if n.Label == label {
		return true
	}
	id, g := n.ID, d.Gate.copied()
	g.Waiting[slices.IndexFunc(g.Waiting, func(w Newcomer) bool { return w.ID == id })].Label = label
	d.setGate(g)
	return true
}

// GoAway lets who waits from an account wait no more: they asked to be forgotten.
func (d *Draft) GoAway(a Address) bool {
	n := d.WaitsFrom(a)
	if n == nil {
		return false
	}
	id, g := n.ID, d.Gate.copied()
	g.Waiting = slices.DeleteFunc(g.Waiting, func(w Newcomer) bool { return w.ID == id })
	d.setGate(g)
	return true
}

// refused tells whether a newcomer was: an account once, a place from which
// several may come more than once.
func (g *Gate) refused(n Newcomer) bool {
	times := 0
	for _, p := range g.Passed {
		switch {
		case p.From != n.From:
		case p.Person != "":
			times = -maxPassed // somebody who belongs here came from there
		default:
			times++
		}
	}
	return times >= refusedOften || times > 0 && n.Address != (Address{})
}

// Newcomer is who waits under that id, nil when nobody does.
func (t *Trip) Newcomer(id string) *Newcomer {
	i := slices.IndexFunc(t.Gate.Waiting, func(n Newcomer) bool { return n.ID == id })
	if i < 0 {
		return nil
	}
	return &t.Gate.Waiting[i]
}

// Answered is what became of a newcomer who waits no more; false when nothing
// is known of them.
func (t *Trip) Answered(id string) (Passed, bool) {
	i := slices.IndexFunc(t.Gate.Passed, func(p Passed) bool { return p.ID == id })
	if i < 0 {
		return Passed{}, false
	}
	return t.Gate.Passed[i], true
}

// LetIn puts a newcomer on the trip, by leader or crew, who may have seen the
// card. It returns nil when nobody waits under that id, nobody may, or the trip
// has as many divers as it can.
func (d *Draft) LetIn(id string, cardSeen bool, by PersonID, now time.Time) *Person {
	n := d.Newcomer(id)
	if n == nil || !d.staff(by) || d.divers() >= MaxDivers {
		return nil
	}
	in := *n
	p := in.person(len(d.Dives))
	d.addNewcomer(p, by, now)
	d.pass(in, p.ID)
	if cardSeen {
		d.SetCard(p.ID, gas.CardSeen, by, "", now)
	}
	if in.Address != (Address{}) {
		d.Join(p.ID, in.Address, in.Language, now)
	}
	return d.Person(p.ID)
}

// addNewcomer puts somebody on the trip; who needs no cylinder for any dive is no diver.
func (d *Draft) addNewcomer(p *Person, by PersonID, now time.Time) {
	d.AddPerson(p, by, now)
	if len(p.Cylinders) == 0 {
		d.Edit(p.ID).Diver = false
	}
}

// person is a newcomer as somebody on the trip.
func (n *Newcomer) person(dives int) *Person {
	p := &Person{Name: n.Name, Diver: true, Card: n.Card, DepthLimit: n.DepthLimit, Language: n.Language, Units: n.Units}
	label := n.Label
	for i, asked := range n.Asked[:min(dives, len(n.Asked))] {
		if asked == 0 {
			continue
		}
		p.Cylinders = append(p.Cylinders, &Cylinder{Asked: asked, Dive: i + 1, Label: label})
		label = ""
	}
	return p
}

func (t *Trip) divers() int {
	n := 0
	for _, p := range t.People {
		if !p.Leader && !p.Crew {
			n++
		}
	}
	return n
}

// Refuse sends a newcomer away, by leader or crew. They do not come back.
func (d *Draft) Refuse(id string, by PersonID, now time.Time) bool {
	n := d.Newcomer(id)
	if n == nil || !d.staff(by) {
		return false
	}
	d.pass(*n, "")
	d.act(now, by, VerbRefused, "", "")
	return true
}

// pass notes what became of a newcomer.
func (d *Draft) pass(n Newcomer, in PersonID) {
	g := d.Gate.copied()
	g.Waiting = slices.DeleteFunc(g.Waiting, func(w Newcomer) bool { return w.ID == n.ID })
	g.Passed = append(g.Passed, Passed{ID: n.ID, From: n.From, Person: in})
	g.Passed = g.Passed[max(0, len(g.Passed)-maxPassed):]
	d.setGate(g)
}

func (d *Draft) setGate(g *Gate) { d.Gate = g }

func (g *Gate) copied() *Gate {
	c := *g
	c.Waiting, c.Passed = slices.Clone(g.Waiting), slices.Clone(g.Passed)
	return &c
}

// AddWalkIn puts somebody on the trip for whom leader or crew answered, having
// seen the card that they say; nil when nobody may or the trip is full.
func (d *Draft) AddWalkIn(n Newcomer, by PersonID, now time.Time) *Person {
	if !d.staff(by) || d.divers() >= MaxDivers {
		return nil
	}
	p := n.person(len(d.Dives))
	d.addNewcomer(p, by, now)
	if n.Card == gas.CardUnseen {
		d.SetCard(p.ID, gas.CardSeen, by, "", now)
	}
	return d.Person(p.ID)
}
