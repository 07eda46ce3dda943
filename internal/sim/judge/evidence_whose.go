package judge

// whose tells for whom a reading can count.
type whose uint8

const (
	byOther   whose = iota // somebody else's number: compared, counts for nobody
	byDiver                // taken by the diver
	witnessed              // watched by somebody who may, or by a named witness
	byShop                 // the shop's own analysis: compared
)

// 1. "A reading counts for a diver when that diver took it, or a leader or crew member
// other than that diver watched it and recorded it. A leader may name any other diver as
// witness for one reading."
func (d *Day) whoseReading(s Said, q *place) whose {
	switch {
	case s.By == Shop:
		return byShop
	case s.By == q.owner.ID && d.leader(s.By) && d.otherPerson(s.Witness, q.owner):
		return witnessed
	case s.By == q.owner.ID:
		return byDiver
	case d.crew(s.By):
		return witnessed
	case s.By == q.witness && s.Kind == SaidReading: // a correction is no new look
		return witnessed
	}
	return byOther
}

// nameWitness keeps a leader's word who may watch the next reading of a cylinder.
func (d *Day) nameWitness(s Said) {
	q := d.place(s.Cylinder)
	if q != nil && d.leader(s.By) && d.otherPerson(s.Witness, q.owner) {
		q.witness = s.Witness
	}
}

// theirs tells whether a reading counts for whose cylinder it is in a place.
func (r *reading) theirs(q *place) bool {
	return r.owner == q.owner && (r.who == byDiver || r.who == witnessed)
}
