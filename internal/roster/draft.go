package roster

import (
	"maps"
	"slices"
	"time"
)

// Draft is one event's change of a trip. The trip that it began with stays as it
// is: what is written is copied first, once, and all else is shared.
//
//	d := roster.Change(trip)
//	d.SetCard(id, gas.CardSeen, by, now)
//	next := d.Done()
//
// While it lasts the draft is the only view: everything read through it sees
// what was written. Whatever is to be written is fetched by one of the Edit
// methods at the moment of writing; a pointer from before a change is not used
// after it. Setting an equal value touches nothing.
type Draft struct {
	*Trip                      // the view
	base     *Trip             // what it began with
	own      map[PersonID]bool // of the view: copies that are this draft's
	Acts     []Act             // what was done, for the trip's log
	edits    int               // how often something was given out to be written to
	now      time.Time         // of the last act
	compared int               // signatures were compared after so many edits
	looked   *look             // what clearances were worked out of last
	lookedAt int               // after so many edits
}

// Change begins a draft of a trip.
func Change(t *Trip) *Draft {
	view := *t
	return &Draft{Trip: &view, base: t, own: map[PersonID]bool{}}
}

// Done ends the draft: the trip with all that was changed. What was not touched
// is the same pointer as before. Signatures that no longer stand for what is are
// broken here, so that nobody has to remember it. The draft is not used after it.
func (d *Draft) Done() *Trip {
	d.Breaks(d.now)
	if l := d.looked; l != nil && d.lookedAt == d.edits { // nobody writes to anything any more
		d.know(l, everything)
		d.known.labels = l.labels
	}
	return d.Trip
}

// Edit is a person to write to, nil when there is none.
func (d *Draft) Edit(id PersonID) *Person {
	d.edits++
	return d.touch(id)
}

// touch is Edit for what no clearance is made of.
func (d *Draft) touch(id PersonID) *Person {
	i := slices.IndexFunc(d.People, func(p *Person) bool { return p.ID == id && id != "" })
	if i < 0 {
		return nil
	}
	if !d.own[id] {
		d.People = slices.Clone(d.People)
		d.People[i] = d.People[i].copied()
		d.own[id] = true
	}
	return d.People[i]
}

// EditCylinder is a cylinder to write to, nil when there is none.
func (d *Draft) EditCylinder(id CylinderID) *Cylinder {
	owner, _ := d.Cylinder(id)
	if owner == nil {
		return nil
	}
	d.Edit(owner.ID)
	_, c := d.Cylinder(id)
	return c
}

// EditReading is a reading to write to, with its cylinder; nil when there is none.
func (d *Draft) EditReading(id ReadingID) (*Cylinder, *Reading) {
	c, _ := d.Reading(id)
	if c == nil {
		return nil, nil
	}
	d.EditCylinder(c.ID)
	return d.Reading(id)
}

// EditPlan is the plan to write to.
func (d *Draft) EditPlan() *Plan {
	d.edits++
	if d.Plan == d.base.Plan {
		plan := *d.Plan
		plan.Dives, plan.Analysers = slices.Clone(plan.Dives), slices.Clone(plan.Analysers)
		for i := range plan.Dives {
			plan.Dives[i].Dived, plan.Dives[i].Boat = slices.Clone(plan.Dives[i].Dived), slices.Clone(plan.Dives[i].Boat)
		}
		for i := range plan.Analysers {
			plan.Analysers[i].AirPoints = slices.Clone(plan.Analysers[i].AirPoints)
		}
		plan.Teams, plan.Wanted.Dives = slices.Clone(plan.Teams), slices.Clone(plan.Wanted.Dives)
		d.Plan = &plan
	}
	return d.Plan
}

// EditDive is dive n to write to, nil when there is none.
func (d *Draft) EditDive(n int) *Dive {
	if d.Dive(n) == nil {
		return nil
	}
	d.EditPlan()
	return d.Dive(n)
}

// EditAnalyser is an analyser to write to. An unknown one is added.
func (d *Draft) EditAnalyser(name string) *Analyser {
	plan := d.EditPlan()
	if a := d.Analyser(name); a != nil {
		return a
	}
	plan.Analysers = append(plan.Analysers, Analyser{Name: name})
	return &plan.Analysers[len(plan.Analysers)-1]
}

// EditCourse is the day's course to write to.
func (d *Draft) EditCourse() *Course {
	d.edits++
	if d.Course == d.base.Course {
		course := *d.Course
		course.SignOffs, course.Kept = slices.Clone(course.SignOffs), slices.Clone(course.Kept)
		d.Course = &course
	}
	return d.Course
}

// Remind notes when a scheduled message was decided; see Rounds.
func (d *Draft) Remind(key string, at time.Time) {
	if was, ok := d.Reminded[key]; ok && was.Equal(at) {
		return
	}
	rounds := d.editRounds()
	if rounds.Reminded == nil {
		rounds.Reminded = Reminded{}
	}
	rounds.Reminded[key] = at
}

// RemindAgain forgets that the scheduled messages with these keys were decided.
func (d *Draft) RemindAgain(these func(key string) bool) {
	for key := range d.Reminded {
		if these(key) {
			delete(d.editRounds().Reminded, key)
		}
	}
}

// editRounds are the decided messages to write to.
func (d *Draft) editRounds() *Rounds {
	if d.Rounds == d.base.Rounds {
		d.Rounds = &Rounds{Reminded: maps.Clone(d.Reminded)}
	}
	return d.Rounds
}

// copied is a person who shares nothing that can be written with this one. What
// Replanned points to is replaced, never written.
func (p *Person) copied() *Person {
	c := *p
	c.Addresses, c.Cylinders = slices.Clone(p.Addresses), slices.Clone(p.Cylinders)
	c.Limits, c.Held, c.Told = slices.Clone(p.Limits), slices.Clone(p.Held), slices.Clone(p.Told)
	c.Former = slices.Clone(p.Former)
	c.Outs, c.Outsides, c.Speak = slices.Clone(p.Outs), slices.Clone(p.Outsides), slices.Clone(p.Speak)
	for i, cylinder := range c.Cylinders {
		c.Cylinders[i] = cylinder.copied()
	}
	return &c
}

func (c *Cylinder) copied() *Cylinder {
	d := *c
	d.Fills, d.Changed, d.Readings = slices.Clone(c.Fills), slices.Clone(c.Changed), slices.Clone(c.Readings)
	d.Labels, d.Answers, d.COs = slices.Clone(c.Labels), slices.Clone(c.Answers), slices.Clone(c.COs)
	d.Questions, d.Moves = slices.Clone(c.Questions), slices.Clone(c.Moves)
	for i, r := range d.Readings {
		reading := *r
		d.Readings[i] = &reading
	}
	return &d
}
