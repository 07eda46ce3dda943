package judge

import (
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// signature is a leader's word that a dive may go, with the facts that it stands for.
type signature struct {
	id      string
	dive    int
	by      roster.PersonID
	at      time.Time
	facts   facts
	board   DiveVerdict
	broken  bool
	differs string
	back    bool // a leader took it back
}

const lapsesAfter = 3 * time.Hour

// "A leader signs a dive", while nothing refuses it.
func (d *Day) hearSign(s Said) {
	v := d.dive(s.Dive)
	if v == nil || !d.leader(s.By) || len(d.boardAt(v, s.At).Refused) > 0 {
		return
	}
	d.signatures = append(d.signatures,
		&signature{id: s.Signature, dive: s.Dive, by: s.By, at: s.At, facts: d.facts(v, s.At), board: d.board(v, s.At)})
}

// hearUnsigned takes back the last signature of a dive, while it stands: it may be given anew. Of a dive
// that was dived it stays.
func (d *Day) hearUnsigned(s Said) {
	v, last := d.dive(s.Dive), d.lastSignature(s.Dive)
	if v == nil || v.dived || last == nil || !d.leader(s.By) {
		return
	}
	if d.standing(last, s.At).State == Standing {
		last.back = true
	}
}

func (d *Day) lastSignature(dive int) *signature {
	for _, s := range slices.Backward(d.signatures) {
		if s.dive == dive {
			return s
		}
	}
	return nil
}

// "It is valid while they are the same and broken when any differs, found by comparing at every change
// that is stored. Compared as of the moment it was given. A signature found broken stays broken. A dived
// dive keeps its signature."
func (d *Day) compareSignatures() {
	for _, s := range d.signatures {
		if v := d.dive(s.dive); !s.broken && !s.back && !v.dived {
			s.differs = s.facts.firstDifference(d.facts(v, s.at))
			s.broken = s.differs != ""
		}
	}
}

// "A signature lapses three hours after the planned start as it was when given, or after it was given if
// that is later, unless the dive was dived (a later answer that it was lets it stand)."
func (d *Day) standing(s *signature, now time.Time) SignatureVerdict {
	v := SignatureVerdict{ID: s.id, Dive: s.dive, By: s.by, State: Standing, Differs: s.differs}
	switch {
	case s.back:
		v.State = Withdrawn
	case s.broken:
		v.State = Broken
	case !d.dive(s.dive).dived && now.After(later(s.facts.start, s.at).Add(lapsesAfter)):
		v.State = Lapsed
	}
	return v
}
