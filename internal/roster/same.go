package roster

import (
	"slices"

	"gasmuster/internal/gas"
)

// Whether two people, or two trips apart from their people, are the same in
// every field. What can be compared as a whole is, so that a new field counts
// by itself; the rest is named here, and TestEveryFieldCounts fails for a field
// that is forgotten. Times are compared by their representation, and an empty
// list is not the same as none: where in doubt, two things differ. (Only 0 and
// -0 are the same, which are to everybody.)

// Same tells whether two people are the same in every field.
func (p *Person) Same(q *Person) bool {
	return p.ID == q.ID && p.Name == q.Name && p.Leader == q.Leader && p.Card == q.Card && p.DepthLimit == q.DepthLimit &&
		p.SetDepth == q.SetDepth && p.SetBy == q.SetBy && p.SetWhy == q.SetWhy && p.SetAt == q.SetAt && p.Team == q.Team &&
		p.Language == q.Language && p.Units == q.Units && sameList(p.Addresses, q.Addresses) && p.Generation == q.Generation &&
		p.Joined == q.Joined && p.Left == q.Left && sameOr(p.Out, q.Out) && p.Erased == q.Erased && p.Unreachable == q.Unreachable &&
		p.BeforeAsked == q.BeforeAsked && p.OnlyTrip == q.OnlyTrip && p.DivedBefore == q.DivedBefore && p.Analyser == q.Analyser && p.Told == q.Told && p.Noted == q.Noted &&
		sameListFunc(p.Cylinders, q.Cylinders, sameCylinders)
}

func sameCylinders(c, d *Cylinder) bool {
	return c.ID == d.ID && c.Label == d.Label && c.Asked == d.Asked && c.Dive == d.Dive && c.Size == d.Size && c.Owner == d.Owner &&
		sameList(c.Fills, d.Fills) && sameListFunc(c.Readings, d.Readings, sameOr) && c.Attended == d.Attended && sameOr(c.CO, d.CO) &&
		sameOr(c.Replanned, d.Replanned) && sameList(c.Changed, d.Changed) && c.Added == d.Added && c.Retired == d.Retired
}

func sameDives(d, e Dive) bool {
	return d.Site == e.Site && d.Depth == e.Depth && d.Bottom == e.Bottom && d.Bottomless == e.Bottomless && d.Minutes == e.Minutes &&
		d.Water == e.Water && d.Altitude == e.Altitude && d.Interval == e.Interval && d.BoatOpen == e.BoatOpen && sameList(d.Dived, e.Dived)
}

func sameSignOffs(s, z SignOff) bool {
	return s.Dive == z.Dive && s.By == z.By && s.At == z.At && sameOr(s.Reopened, z.Reopened) && sameBoards(&s.Board, &z.Board)
}

func sameBoards(b, c *Board) bool {
	return b.Status == c.Status && b.Dive == c.Dive && b.Counts == c.Counts && sameListFunc(b.People, c.People, sameLines) &&
		sameList(b.Group, c.Group) && sameList(b.Teams, c.Teams) && sameList(b.Policy, c.Policy)
}

func sameLines(p, q PersonBoard) bool {
	return p.Person == q.Person && p.Active == q.Active && p.Left == q.Left && sameOr(p.Out, q.Out) && p.Status == q.Status &&
		p.Own == q.Own && sameVerdicts(&p.Verdict, &q.Verdict) && sameList(p.Owes, q.Owes)
}

func sameVerdicts(v, w *gas.Verdict) bool {
	return v.Cylinders == w.Cylinders && sameList(v.Findings, w.Findings) && sameList(v.Numbers, w.Numbers)
}

// sameOr compares what two pointers point to, where they point to anything.
func sameOr[T comparable](a, b *T) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

func sameList[T comparable](a, b []T) bool {
	return (a == nil) == (b == nil) && slices.Equal(a, b)
}

func sameListFunc[T any](a, b []T, same func(T, T) bool) bool {
	return (a == nil) == (b == nil) && slices.EqualFunc(a, b, same)
}

// copiedAfter is a copy of a person that shares nothing with them, and with an
// earlier copy (nil when there is none) all that is as it was: of the two
// nobody may write to either.
func (p *Person) copiedAfter(was *Person) *Person {
	if was == nil {
		was = new(Person)
	}
	c := *p
	c.Addresses, c.Out = listAfter(was.Addresses, p.Addresses), copyAfter(was.Out, p.Out)
	c.Cylinders = slices.Clone(p.Cylinders)
	for i, cyl := range c.Cylinders {
		var earlier *Cylinder
		if i < len(was.Cylinders) {
			earlier = was.Cylinders[i]
		}
		c.Cylinders[i] = cyl.copiedAfter(earlier)
	}
	return &c
}

func (c *Cylinder) copiedAfter(was *Cylinder) *Cylinder {
	switch {
	case was == nil:
		was = new(Cylinder)
	case sameCylinders(was, c):
		return was
	}
	d := *c
	d.Fills, d.Changed = listAfter(was.Fills, c.Fills), listAfter(was.Changed, c.Changed)
	d.Readings = slices.Clone(c.Readings)
	for i, r := range d.Readings {
		var earlier *Reading
		if i < len(was.Readings) {
			earlier = was.Readings[i]
		}
		d.Readings[i] = copyAfter(earlier, r)
	}
	d.CO, d.Replanned = copyAfter(was.CO, c.CO), copyAfter(was.Replanned, c.Replanned)
	return &d
}

// listAfter is an earlier copy of a list, or a new one when that is not the same.
func listAfter[T comparable](was, now []T) []T {
	if sameList(was, now) {
		return was
	}
	return slices.Clone(now)
}

// copyAfter is an earlier copy of what p points to, or a new one when that is
// not the same.
func copyAfter[T comparable](was, p *T) *T {
	if sameOr(was, p) {
		return was
	}
	return copyOr(p)
}

func copiedDives(dives []Dive) []Dive {
	c := slices.Clone(dives)
	for i := range c {
		c[i].Dived = slices.Clone(c[i].Dived)
	}
	return c
}

func copiedSignOffs(signed []SignOff) []SignOff {
	c := slices.Clone(signed)
	for i := range c {
		c[i].Reopened, c[i].Board = copyOr(c[i].Reopened), c[i].Board.copied()
	}
	return c
}

func (b Board) copied() Board {
	b.People, b.Group = slices.Clone(b.People), slices.Clone(b.Group)
	b.Teams, b.Policy = slices.Clone(b.Teams), slices.Clone(b.Policy)
	for i := range b.People {
		p := &b.People[i]
		p.Out, p.Owes = copyOr(p.Out), slices.Clone(p.Owes)
		p.Verdict = copiedVerdict(&p.Verdict)
	}
	return b
}

func copiedVerdict(v *gas.Verdict) gas.Verdict {
	return gas.Verdict{Cylinders: v.Cylinders, Findings: slices.Clone(v.Findings), Numbers: slices.Clone(v.Numbers)}
}

func copyOr[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}
