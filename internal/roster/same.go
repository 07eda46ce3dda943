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
		p.Own == q.Own && p.Verdict.Cylinders == q.Verdict.Cylinders && sameList(p.Verdict.Findings, q.Verdict.Findings) &&
		sameList(p.Verdict.Numbers, q.Verdict.Numbers) && sameList(p.Owes, q.Owes)
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

// Copied is a copy of a person that shares nothing with it.
func (p *Person) Copied() *Person {
	c := *p
	c.Addresses, c.Out = slices.Clone(p.Addresses), copyOr(p.Out)
	c.Cylinders = slices.Clone(p.Cylinders)
	for i, cyl := range c.Cylinders {
		c.Cylinders[i] = cyl.copied()
	}
	return &c
}

func (c *Cylinder) copied() *Cylinder {
	d := *c
	d.Fills, d.Changed, d.Readings = slices.Clone(c.Fills), slices.Clone(c.Changed), slices.Clone(c.Readings)
	for i, r := range d.Readings {
		d.Readings[i] = copyOr(r)
	}
	d.CO, d.Replanned = copyOr(c.CO), copyOr(c.Replanned)
	return &d
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
		p.Verdict = gas.Verdict{Cylinders: p.Verdict.Cylinders,
			Findings: slices.Clone(p.Verdict.Findings), Numbers: slices.Clone(p.Verdict.Numbers)}
	}
	return b
}

func copyOr[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}
