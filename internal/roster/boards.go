package roster

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// Board is the board of dive n as of now. Of a dive that was dived it is the one
// that was kept. Its lists are shared with the trip and are not to be written to.
func (t *Trip) Board(n int, now time.Time) Board {
	if b, ok := t.kept(n); ok {
		return b
	}
	if t.Dive(n) == nil {
		return Board{}
	}
	return t.look(now).board(n)
}

// Board is the board of dive n as of now, with all that the draft has changed.
func (d *Draft) Board(n int, now time.Time) Board {
	if b, ok := d.kept(n); ok {
		return b
	}
	if d.Dive(n) == nil {
		return Board{}
	}
	return d.reading(now).board(n)
}

// reading is a look for whoever reads between changes: the same until the next.
func (d *Draft) reading(now time.Time) *look {
	if d.looked != nil && d.lookedAt == d.edits && d.looked.now.Equal(now) {
		return d.looked
	}
	if l := d.looked; l != nil {
		d.know(l, d.published)
		if l.labels.are(d.base.People) {
			d.known.labels = l.labels
		}
	}
	d.looked, d.lookedAt = d.look(now), d.edits
	return d.looked
}

// atRest is a look for what does not hang on the clock.
func (d *Draft) atRest() *look {
	if d.looked != nil && d.lookedAt == d.edits {
		return d.looked
	}
	return d.reading(d.now)
}

// Clearance is one person's line of a board, with all that the draft has changed;
// inactive when they don't dive.
func (d *Draft) Clearance(id PersonID, n int, now time.Time) Clearance {
	return d.clearanceOf(id, n, func() *look { return d.reading(now) })
}

// Clearance is one person's line of a board; inactive when they don't dive.
func (t *Trip) Clearance(id PersonID, n int, now time.Time) Clearance {
	return t.clearanceOf(id, n, func() *look { return t.look(now) })
}

func (t *Trip) clearanceOf(id PersonID, n int, look func() *look) Clearance {
	if b, ok := t.kept(n); ok {
		if c := b.Of(id); c != nil {
			return *c
		}
		return Clearance{Person: id, Dive: n}
	}
	p := t.Person(id)
	if p == nil || !p.Dives() || t.Dive(n) == nil {
		return Clearance{Person: id, Dive: n}
	}
	return look().line(slices.Index(t.People, p), n).clearance
}

// kept is the board of a dive that was dived.
func (t *Trip) kept(n int) (Board, bool) {
	for i := range t.Kept {
		if t.Kept[i].Dive == n {
			b := t.Kept[i].Board.Board
			b.Dived = true
			return b, true
		}
	}
	return Board{}, false
}

// board is everybody's clearance of dive n, and what they come to together; once
// a look.
func (l *look) board(n int) Board {
	for i := range l.boards {
		if l.boards[i].Dive == n {
			return l.boards[i]
		}
	}
	b := Board{Dive: n, Policy: l.Policy.Changed(), People: make([]Clearance, 0, len(l.People))}
	for i, p := range l.People {
		if p.Dives() {
			b.People = append(b.People, l.line(i, n).clearance)
		}
	}
	b.count()
	b.Group = b.tightest(l.Dives[n-1].Minutes, func(PersonID) bool { return true })
	for _, name := range l.teamNames() {
		in := func(id PersonID) bool { return l.Person(id).Team == name }
		b.Teams = append(b.Teams, TeamBoard{Team: name, Tightest: b.tightest(l.Dives[n-1].Minutes, in)})
	}
	l.boards = append(l.boards, b)
	return b
}

// count fills in the counts and the board's own status.
func (b *Board) count() {
	b.Status = gas.Go
	for i := range b.People {
		switch c := &b.People[i]; {
		case c.Outside != nil:
			b.Counts.Outside++
		case c.Out != nil:
			b.Counts.Out++
		case c.Active:
			b.Counts.Active++
			*b.Counts.of(c.Status)++
			b.Status = gas.Worse(b.Status, c.Status)
		}
	}
	if b.Counts.Active == 0 {
		b.Status = gas.NotCleared
	}
}

func (c *Counts) of(s gas.Status) *int {
	switch s {
	case gas.Go:
		return &c.Go
	case gas.GoWithLimits:
		return &c.Limits
	case gas.NoGo:
		return &c.NoGo
	default:
		return &c.NotCleared
	}
}

// plentiful is how many times the planned minutes a no-stop time is not worth
// naming. Common practice, no source.
const plentiful = 1.5

// tightest is the shallowest max and the shortest time of those who may dive.
func (b *Board) tightest(planned float64, in func(PersonID) bool) Tightest {
	var t Tightest
	for i := range b.People {
		c := &b.People[i]
		if !c.Goes() || !in(c.Person) {
			continue
		}
		if c.Max.Known() && (!t.MaxDepth.Known() || t.MaxDepth.DeeperThan(c.Max)) {
			t.MaxDepth, t.DepthBy = c.Max, c.Person
		}
		if m := c.MaxMinutes; m > 0 && (t.MaxMinutes == 0 || m < t.MaxMinutes) {
			t.MaxMinutes, t.TimeBy = m, c.Person
		}
	}
	if planned > 0 && t.MaxMinutes >= plentiful*planned {
		t.MaxMinutes, t.TimeBy = 0, ""
	}
	return t
}

// teamNames are the teams in order of their names.
func (t *Trip) teamNames() []string {
	var names []string
	for _, p := range t.People {
		if p.Team != "" && !slices.Contains(names, p.Team) {
			names = append(names, p.Team)
		}
	}
	slices.Sort(names)
	return names
}

// claims counts the people who say that a cylinder of p's is theirs on dive n.
func (l *look) claims(p *Person, c *Cylinder, n int) int {
	if !l.tied(p) {
		return 1
	}
	return max(1, len(l.Claimants(c.Label, n)))
}

// Claimants are the people who say that a cylinder with this label is theirs on
// dive n. Leaving gives no claim up; out and outside do, by a leader's word.
func (t *Trip) Claimants(label string, n int) []*Person {
	var people []*Person
	key := labelKey(label)
	for _, p := range t.People {
		if key == "" || p.OutOf(n) != nil || p.OutsideOf(n) != nil {
			continue
		}
		if slices.ContainsFunc(p.claiming(n), func(c *Cylinder) bool { return labelKey(c.Label) == key }) {
			people = append(people, p)
		}
	}
	return people
}

// Preview is what person p's verdict would be if cylinder c had been asked for
// (and filled exactly as) blend and analysed: the request check. It looks at this
// cylinder only; what is known of the person's card and depth, and the dives
// before, count. The verdict is brief, as on a board.
func (t *Trip) Preview(p PersonID, c CylinderID, blend gas.Percent, now time.Time) gas.Verdict {
	person, cyl := t.Cylinder(c)
	if cyl == nil || person.ID != p {
		return gas.Verdict{}
	}
	l := t.look(now)
	d := l.diver(person, cyl.Dive)
	d.Before, d.Left, d.Speak = l.legs(person, cyl.Dive), false, false
	d.Cylinders = []gas.Cylinder{{Key: string(c), Asked: blend, Claims: 1, Evidence: gas.Read(blend)}}
	return gas.AssessBriefly(t.Policy, d)
}
