package roster

import "time"

// known is what was worked out of a trip on the way to it, by place of the
// people. A published trip keeps it and nobody writes to it.
type known struct {
	labels labels
	lines  lines
}

// lines are everybody's clearances of each dive, by place; nil stands for one
// that was not worked out.
type lines [][]*line

// line is a person's clearance of one dive with all that it was made of: where
// these are the same values it says what would be worked out again. Only lines
// of people whose cylinders nobody else has or had are known: nobody else's act
// changes them.
type line struct {
	made
	clearance Clearance
}

// made is what a line is made of: a person and all that a trip's people share.
type made struct {
	person *Person
	plan   *Plan
	course *Course
	at     time.Time // see judgedAt
}

func (m made) same(o made) bool {
	return m.person == o.person && m.plan == o.plan && m.course == o.course && m.at.Equal(o.at)
}

// line is the clearance of the person in a place on dive n, as it is known or
// worked out now; once a look.
func (l *look) line(place, n int) *line {
	mine := l.of(n)
	if mine[place] != nil {
		return mine[place]
	}
	m := made{l.People[place], l.Plan, l.Course, l.judged[n-1]}
	k := l.known.lines.of(n, place)
	if k == nil || !k.same(m) || l.tied(m.person) {
		k = &line{m, l.clearance(m.person, n)}
	}
	mine[place] = k
	return k
}

// of are this look's lines of dive n.
func (l *look) of(n int) []*line {
	if l.lines == nil {
		l.lines, l.judged = make(lines, len(l.Dives)), make([]time.Time, len(l.Dives))
	}
	if len(l.lines[n-1]) != len(l.People) {
		l.lines[n-1], l.judged[n-1] = make([]*line, len(l.People)), l.judgedAt(n)
	}
	return l.lines[n-1]
}

// of is the line in a place, nil when there is none.
func (k lines) of(n, place int) *line {
	if n > len(k) || place >= len(k[n-1]) {
		return nil
	}
	return k[n-1][place]
}

// judgedAt is the instant by which dive n is judged, with the dives before it
// that weigh on it: readings are as old as they are at the later of now and a
// dive's planned start, so that nothing hangs on the clock until the first of
// them is to start. One that was dived, or was not, is as it was.
func (l *look) judgedAt(n int) time.Time {
	var first time.Time
	for m := 1; m <= n; m++ {
		if start := l.Starts(m); l.Dives[m-1].Outcome == nil && (first.IsZero() || start.Before(first)) {
			first = start
		}
	}
	return later(l.now, first)
}

// know keeps those of a look's lines that these are.
func (d *Draft) know(l *look, these func(place int, k *line) bool) {
	k := known{d.known.labels, make(lines, len(d.Dives))}
	copy(k.lines, d.known.lines)
	for n, found := range l.lines[:min(len(l.lines), len(k.lines))] { // a dive may have been dropped since
		k.lines[n] = merged(k.lines[n], found, func(place int, k *line) bool { return these(place, k) && !l.tied(k.person) })
	}
	d.known = k
}

// merged are lines with those found that these are; the same when none is new.
func merged(was, found []*line, these func(place int, k *line) bool) []*line {
	is := was
	for place, k := range found {
		if k == nil || place < len(was) && was[place] == k || !these(place, k) {
			continue
		}
		if len(is) != len(found) || len(was) > 0 && &is[0] == &was[0] {
			is = make([]*line, len(found))
			copy(is, was)
		}
		is[place] = k
	}
	return is
}

// everything is for a draft that nobody writes to any more.
func everything(int, *line) bool { return true }

// published tells whether a line was made of published values alone: this draft
// does not write to them.
func (d *Draft) published(place int, k *line) bool {
	return k.plan == d.base.Plan && k.course == d.base.Course && place < len(d.base.People) &&
		k.person == d.base.People[place]
}
