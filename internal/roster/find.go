package roster

import (
	"iter"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
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

// Labelled are the cylinders in use that carry a label, ignoring case and blanks.
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

// labelKey is what two labels have in common that people would call the same.
func labelKey(label string) string {
	if plainLabel(label) {
		return label
	}
	return strings.ToLower(strings.Join(strings.Fields(label), ""))
}

// plainLabel tells whether a label is its own key already, as most are.
func plainLabel(label string) bool {
	for i := range len(label) {
		if c := label[i]; c <= ' ' || c >= 'A' && c <= 'Z' || c >= 0x7f {
			return false
		}
	}
	return true
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

// Active tells whether a person counts on the board: dives (has cylinders or
// is no leader) and was not sat out. Somebody who left stays active.
func (p *Person) Active() bool {
	return p.Out == nil && (!p.Leader || slices.ContainsFunc(p.Cylinders, func(c *Cylinder) bool { return c.Retired.IsZero() }))
}

// Filled is the last fill, zero when not known.
func (c *Cylinder) Filled() Fill {
	var last Fill
	for _, f := range c.Fills {
		if !f.At.Before(last.At) {
			last = f
		}
	}
	return last
}

// Current is the reading that counts last for c: not undone, after the last
// fill; nil when there is none.
func (c *Cylinder) Current() *Reading {
	filled := c.Filled().At
	for _, r := range slices.Backward(c.Readings) {
		if r.stands(filled) {
			return r
		}
	}
	return nil
}

// Valid are the readings that count: not undone, after the last fill, oldest first.
func (c *Cylinder) Valid() []*Reading {
	filled := c.Filled().At
	var valid []*Reading
	for _, r := range c.Readings {
		if r.stands(filled) {
			valid = append(valid, r)
		}
	}
	return valid
}

// stands tells whether the reading counts: not undone, after the last fill.
func (r *Reading) stands(filled time.Time) bool { return r.Undone.IsZero() && r.counts(filled) }

// counts tells whether the last fill leaves the reading standing.
func (r *Reading) counts(filled time.Time) bool {
	return r.Void.IsZero() && !r.taken().Before(filled)
}

// taken is when the gas was analysed, as far as we know. A message that waited
// for signal is as old as its sender's clock says; a sender's clock that is
// ahead makes no reading younger than ours.
func (r *Reading) taken() time.Time {
	if r.Taken.IsZero() || r.At.Before(r.Taken) {
		return r.At
	}
	return r.Taken
}

// Replaced is the richest value that reading r stands in for: what it, and
// whatever it replaced before, corrected; 0 when it corrected nothing. The
// richest, so that many small corrections weigh as much as one large one.
func (c *Cylinder) Replaced(r *Reading) gas.Percent {
	var richest gas.Percent
	for _, old := range c.Readings {
		if old != r && old.ReplacedBy != "" && c.replacement(old) == r {
			richest = max(richest, old.Percent)
		}
	}
	return richest
}

// replacement follows a reading that was taken back to the one that now stands
// in its place, nil when there is none. The chain is never longer than the
// readings are many.
func (c *Cylinder) replacement(r *Reading) *Reading {
	for range c.Readings {
		if r == nil || r.Undone.IsZero() {
			return r
		}
		r = c.reading(r.ReplacedBy)
	}
	return nil
}

func (c *Cylinder) reading(id ReadingID) *Reading {
	for _, r := range c.Readings {
		if r.ID == id && id != "" {
			return r
		}
	}
	return nil
}

// When is when the gas was analysed, as far as we know.
func (r *Reading) When() time.Time { return r.taken() }
