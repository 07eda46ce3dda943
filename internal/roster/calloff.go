package roster

import (
	"slices"
	"strconv"
	"time"
)

// CalledOff is that a trip does not take place. What was said stays.
type CalledOff struct {
	By     PersonID  `json:"by,omitempty"` // "" for the shop
	At     time.Time `json:"at"`
	Reason string    `json:"reason,omitempty"`
}

// CallOff calls the trip off, by the shop or a leader; PutOn takes that back. No
// clearance changes: a trip that was called off is over.
func (d *Draft) CallOff(by PersonID, reason string, now time.Time) bool {
	if by != "" && !d.leads(by) || d.CalledOff != nil {
		return false
	}
	d.EditCourse().CalledOff = &CalledOff{By: by, At: now, Reason: reason}
	d.act(now, by, VerbCallOff, "", reason)
	return true
}

// PutOn is described at CallOff.
func (d *Draft) PutOn(by PersonID, now time.Time) bool {
	if by != "" && !d.leads(by) || d.CalledOff == nil {
		return false
	}
	d.EditCourse().CalledOff = nil
	d.act(now, by, VerbPutOn, "", "")
	return true
}

// DropDive takes the last dive, with the cylinders that are for it, off the plan,
// by a leader: what was analysed of them stays, and they are in use no more. It
// returns false when that was the only dive, or it was signed or dived.
func (d *Draft) DropDive(by PersonID, reason string, now time.Time) bool {
	n := len(d.Dives)
	if !d.leads(by) || n < 2 || d.Signature(n) != nil || d.Dives[n-1].Outcome != nil {
		return false
	}
	for _, p := range slices.Clone(d.People) {
		for _, c := range p.on(n) {
			d.Retire(c.ID, by, reason, now)
		}
	}
	d.cutDives(n - 1)
	d.act(now, by, VerbDropDive, "", reason, "dive", strconv.Itoa(n))
	return true
}
