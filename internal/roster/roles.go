package roster

import (
	"slices"
	"strconv"
	"time"
)

// takeOverLasts is how long somebody's asking to lead may be confirmed. After it they
// ask again: the leader may be back, and what was confirmed is meant now.
const takeOverLasts = time.Hour

// takeOverWait is how long a leader who may be there has to answer before
// somebody else leads.
const takeOverWait = 10 * time.Minute

// TakingOver is somebody who asked to lead in the place of a leader who is gone.
type TakingOver struct {
	By PersonID  `json:"by"`
	At time.Time `json:"at"`
}

// SetRole makes a person leader or crew, or neither, by the shop or by a leader
// other than them, so that a trip is never without one. It returns false for
// anybody else, for who is gone, and when there are leaders enough.
func (d *Draft) SetRole(p PersonID, leader, crew bool, by PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil || (by != "" && !d.leadsOther(by, p)) {
		return false
	}
	if person.Leader == leader && person.Crew == crew {
		return true
	}
	if by != "" && (!person.Left.IsZero() || leader && !person.Leader && len(d.Leaders()) >= MaxLeaders) {
		return false
	}
	d.setRole(p, leader, crew)
	d.act(now, by, VerbRole, string(p), "", "leader", strconv.FormatBool(leader), "crew", strconv.FormatBool(crew))
	return true
}

// setRole changes a role. Who dives is told by how they were booked.
func (d *Draft) setRole(p PersonID, leader, crew bool) {
	person := d.Edit(p)
	person.Leader, person.Crew = leader, crew
}

// setLeader makes somebody leader, or what they were before: who is crew stays that.
func (d *Draft) setLeader(p PersonID, leader bool) { d.setRole(p, leader, d.Person(p).Crew) }

// HandOver makes another person leader in the place of the one who says it.
func (d *Draft) HandOver(to, by PersonID, now time.Time) bool {
	if p := d.Person(to); !d.leadsOther(by, to) || p == nil || !p.Left.IsZero() {
		return false
	}
	if d.TakingOver != nil { // this answers who asked to
		d.EditCourse().TakingOver = nil
	}
	d.setLeader(to, true)
	d.setLeader(by, false)
	d.act(now, by, VerbHandOver, string(to), "")
	return true
}

// atHand tells whether somebody has joined, has not left and can be reached, as far as
// is known.
func (p *Person) atHand() bool { return !p.Joined.IsZero() && p.Left.IsZero() && p.Unreachable == "" }

// LeaderAtHand tells whether some leader is.
func (t *Trip) LeaderAtHand() bool {
	return slices.ContainsFunc(t.People, func(p *Person) bool { return t.leads(p.ID) && p.atHand() })
}

// crewAtHand is the same of the crew who do not lead.
func (t *Trip) crewAtHand() bool {
	return slices.ContainsFunc(t.People, func(p *Person) bool { return p.Crew && !p.Leader && p.atHand() })
}

// TakeOverAsked is who asked to lead, nil when nobody did lately.
func (t *Trip) TakeOverAsked(now time.Time) *TakingOver {
	if t.TakingOver == nil || now.Sub(t.TakingOver.At) > takeOverLasts {
		return nil
	}
	return t.TakingOver
}

// MayTakeOver tells whether somebody may ask to lead: crew, or failing that any
// diver.
func (t *Trip) MayTakeOver(p PersonID) bool {
	person := t.Person(p)
	return person != nil && !person.Leader && person.Left.IsZero() && (person.Crew || !t.crewAtHand())
}

// AskTakeOver notes that somebody asks to lead; it is done when a second person
// confirms it.
func (d *Draft) AskTakeOver(p PersonID, now time.Time) bool {
	if !d.MayTakeOver(p) {
		return false
	}
	d.EditCourse().TakingOver = &TakingOver{By: p, At: now}
	d.act(now, p, VerbAskTakeOver, string(p), "")
	return true
}

// DenyTakeOver is a leader's no to it.
func (d *Draft) DenyTakeOver(by PersonID, now time.Time) bool {
	if d.TakingOver == nil || !d.leads(by) {
		return false
	}
	d.EditCourse().TakingOver = nil
	d.act(now, by, VerbAskTakeOver, "", "", "denied", "yes")
	return true
}

// TakeOverDue is from when a second person's word makes it so: at once when no
// leader is at hand or a leader says it, else when a leader had time to say no.
func (t *Trip) TakeOverDue(witness PersonID) time.Time {
	if !t.LeaderAtHand() || t.leads(witness) {
		return t.TakingOver.At
	}
	return t.TakingOver.At.Add(takeOverWait)
}

// TakeOver makes crew, or failing that any diver, leader when the leader is gone,
// confirmed by a second person.
func (d *Draft) TakeOver(p, witness PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil || person.Leader || !person.Left.IsZero() || !d.watches(witness, p) {
		return false
	}
	d.setLeader(p, true)
	if d.TakingOver != nil {
		d.EditCourse().TakingOver = nil
	}
	d.act(now, p, VerbTakeOver, string(p), "", "witness", string(witness))
	return true
}
