package judge

import "gasmuster/internal/roster"

// leader tells whether somebody is a leader of the trip now.
func (d *Day) leader(id roster.PersonID) bool {
	p := d.person(id)
	return p != nil && p.Leader && !p.left
}

// crew tells whether somebody is a leader or of the crew now.
func (d *Day) crew(id roster.PersonID) bool {
	p := d.person(id)
	return p != nil && (p.Leader || p.Crew) && !p.left
}

// role is one word: crew who leads is leader.
func (p *person) role() string {
	switch {
	case p.Leader:
		return "leader"
	case p.Crew:
		return "crew"
	}
	return "diver"
}

// "Nobody's act as leader or crew improves their own clearance."
func (d *Day) leaderFor(by roster.PersonID, p *person) bool { return d.leader(by) && by != p.ID }

func (d *Day) crewFor(by roster.PersonID, p *person) bool { return d.crew(by) && by != p.ID }

func (d *Day) crewOrShopFor(by roster.PersonID, p *person) bool {
	return by == Shop || d.crewFor(by, p)
}

// "Naming a witness (who may also see a sole leader's card)."
func (d *Day) soleLeadersWitness(s Said, p *person) bool {
	return s.By == p.ID && d.leader(s.By) && d.soleLeader() && d.otherPerson(s.Witness, p)
}

func (d *Day) soleLeader() bool {
	n := 0
	for _, p := range d.people {
		if p.Leader && !p.left {
			n++
		}
	}
	return n == 1
}

// otherPerson tells whether a witness is somebody of the trip, and not the one watched.
func (d *Day) otherPerson(id roster.PersonID, watched *person) bool {
	w := d.person(id)
	return w != nil && !w.left && w != watched
}
