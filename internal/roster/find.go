package roster

import (
	"iter"
	"slices"
	"time"
)

// Person is the person with that id, nil when there is none.
func (t *Trip) Person(id PersonID) *Person {
	for _, p := range t.People {
		if p.ID == id && id != "" {
			return p
		}
	}
	return nil
}

// Leaders are the people who lead.
func (t *Trip) Leaders() []*Person {
	var leaders []*Person
	for _, p := range t.People {
		if p.Leader {
			leaders = append(leaders, p)
		}
	}
	return leaders
}

// Cylinder is the cylinder with that id and its diver, nil when there is none.
func (t *Trip) Cylinder(id CylinderID) (*Person, *Cylinder) {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if c.ID == id && id != "" {
				return p, c
			}
		}
	}
	return nil, nil
}

// Labelled are the cylinders in use that carry a label, however it is written.
func (t *Trip) Labelled(label string) []*Cylinder {
	key := labelKey(label)
	if key == "" {
		return nil
	}
	var found []*Cylinder
	for _, p := range t.People {
		for _, c := range p.InUse() {
			if labelKey(c.Label) == key {
				found = append(found, c)
			}
		}
	}
	return found
}

// Reading is the reading with that id, with its cylinder; nil when there is none.
func (t *Trip) Reading(id ReadingID) (*Cylinder, *Reading) {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				if r.ID == id && id != "" {
					return c, r
				}
			}
		}
	}
	return nil, nil
}

// ReadingsOf are the readings that came in the message ref of person by and
// were not taken back, in the order they came. A correction carries the ref of
// the message whose value it corrects, so a message edited twice finds it.
func (t *Trip) ReadingsOf(by PersonID, ref string) []*Reading {
	if ref == "" {
		return nil
	}
	var found []*Reading
	for r := range t.readings() {
		if r.Ref == ref && r.By == by && r.Undone.IsZero() {
			found = append(found, r)
		}
	}
	return found
}

// readings are all readings of the trip, also those taken back or void.
func (t *Trip) readings() iter.Seq[*Reading] {
	return func(yield func(*Reading) bool) {
		for _, p := range t.People {
			for _, c := range p.Cylinders {
				for _, r := range c.Readings {
					if !yield(r) {
						return
					}
				}
			}
		}
	}
}

// Analyser is the analyser with that name, ignoring case and blanks, nil when
// the trip has none.
func (t *Trip) Analyser(name string) *Analyser {
	for i := range t.Analysers {
		if sameAnalyser(t.Analysers[i].Name, name) {
			return &t.Analysers[i]
		}
	}
	return nil
}

func sameAnalyser(a, b string) bool { return a != "" && labelKey(a) == labelKey(b) }

// InUse are a person's cylinders that were not changed for another.
func (p *Person) InUse() []*Cylinder {
	var used []*Cylinder
	for _, c := range p.Cylinders {
		if c.Retired.IsZero() {
			used = append(used, c)
		}
	}
	return used
}

// At is the place where a cylinder stands: the id of the first that stood there.
func (c *Cylinder) At() CylinderID {
	if c.Place == "" {
		return c.ID
	}
	return c.Place
}

// InPlace is the cylinder that stands in a place now, with its diver; nil when
// none is in use there.
func (t *Trip) InPlace(place CylinderID) (*Person, *Cylinder) {
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if c.Retired.IsZero() && c.At() == place && place != "" {
				return p, c
			}
		}
	}
	return nil, nil
}

// leftBehind tells whether what is found of the cylinder counts for dive n
// although it was moved away, since no leader confirmed it.
func (c *Cylinder) leftBehind(n int) bool {
	return !c.stands(n) && c.leftBy(n, forEver)
}

// leftBy tells whether a cylinder had been moved away from dive n at an instant, was not back, and no leader confirmed
// it until today.
func (c *Cylinder) leftBy(n int, at time.Time) bool {
	behind := false
	for _, m := range c.Moves {
		if m.At.After(at) {
			break
		}
		switch n {
		case m.From:
			behind = m.Confirmed == ""
		case m.To:
			behind = false // it came back
		}
	}
	return behind
}

// LeftOn tells whether what is found of a cylinder counts for dive n although it is not there any more.
func (c *Cylinder) LeftOn(n int) bool { return c.leftBehind(n) }

// weighs tells whether a cylinder is no other one's forerunner, or left its findings on some dive.
func (c *Cylinder) weighs() bool {
	return !c.Swapped || slices.ContainsFunc(c.Moves, func(m Move) bool { return c.leftBehind(m.From) })
}

// AnswerOf is the answer to the boat question that was given for the cylinder's
// dive since its boat check was opened last; the zero value when there is none.
func (t *Trip) AnswerOf(c *Cylinder) Attended { return t.answerOn(c, c.Dive) }

// answerOn is that of a dive, which the cylinder may have been taken away from.
func (t *Trip) answerOn(c *Cylinder, n int) Attended {
	d := t.Dive(n)
	if d == nil || len(d.Boat) == 0 || len(c.Answers) == 0 {
		return Attended{}
	}
	a := c.Answers[len(c.Answers)-1]
	if a.Dive != n && !c.leftBehind(n) || a.Nth < d.Boat[len(d.Boat)-1].Nth {
		return Attended{}
	}
	return a
}

// Filled is the last fill, zero when not known.
func (c *Cylinder) Filled() Fill {
	if n := len(c.Fills); n > 0 {
		return c.Fills[n-1]
	}
	return Fill{}
}

// Newest is the newest reading that was not taken back, nil when there is none.
func (c *Cylinder) Newest() *Reading {
	for _, r := range slices.Backward(c.Readings) {
		if r.Undone.IsZero() {
			return r
		}
	}
	return nil
}

// Last is what an analyser showed in air last, the zero value when not known.
func (a *Analyser) Last() AirPoint {
	if n := len(a.AirPoints); n > 0 {
		return a.AirPoints[n-1]
	}
	return AirPoint{}
}

// taken is when the gas was analysed: never later than it was said.
func (r *Reading) taken() time.Time {
	at := r.Taken
	if at.IsZero() {
		at = r.At
	}
	if at.IsZero() || at.After(r.Said) {
		return r.Said
	}
	return at
}

// When is when the gas was analysed, as far as we know.
func (r *Reading) When() time.Time { return r.taken() }
