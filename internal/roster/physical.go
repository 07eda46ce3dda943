package roster

import (
	"iter"
	"slices"

	"gasmuster/internal/evidence"
)

// tag is a label that a cylinder carries or carried, as people would call it the
// same, with the moment from which it was known.
type tag struct {
	key   string
	from  evidence.Moment
	owner *Person
	cyl   *Cylinder
}

// labelled is a person with the labels of all their cylinders.
type labelled struct {
	person *Person
	tags   []tag
}

// labels are all labels of a trip, by place of the people. They tie cylinders
// together: what ever carried one label is one physical cylinder.
type labels struct {
	of   []labelled
	ties map[PersonID]bool // who has or had a label of somebody else's
}

// allLabels are those of the trip; those that are known are not read again, and
// whom they tie only where one is another than it was.
func (t *Trip) allLabels() labels {
	was := t.known.labels
	if was.are(t.People) {
		return was
	}
	is := labels{of: make([]labelled, len(t.People)), ties: was.ties}
	same := len(was.of) == len(is.of)
	for i, p := range t.People {
		if i < len(was.of) && was.of[i].person == p {
			is.of[i] = was.of[i]
			continue
		}
		is.of[i] = labelledBy(p)
		same = same && is.of[i].reads(was.of[i])
	}
	if !same {
		is.ties = is.tied()
	}
	return is
}

// are tells whether the labels are those of these people.
func (l labels) are(people []*Person) bool {
	return len(l.of) > 0 && slices.EqualFunc(l.of, people, func(l labelled, p *Person) bool { return l.person == p })
}

func labelledBy(p *Person) labelled {
	l := labelled{person: p}
	for _, c := range p.Cylinders {
		l.tags = c.tags(p, l.tags)
	}
	return l
}

// reads tells whether a person's labels are the same as on another copy of them.
func (l labelled) reads(was labelled) bool {
	return l.person.ID == was.person.ID && slices.EqualFunc(l.tags, was.tags,
		func(a, b tag) bool { return a.key == b.key })
}

// tied are the people who have or had a cylinder with a label that somebody
// else's has or had; nil when nobody.
func (l labels) tied() map[PersonID]bool {
	var ties map[PersonID]bool
	owners := make(map[string]PersonID, 3*len(l.of))
	for tag := range l.all() {
		other, ok := owners[tag.key]
		switch {
		case !ok:
			owners[tag.key] = tag.owner.ID
		case other != tag.owner.ID:
			if ties == nil {
				ties = map[PersonID]bool{}
			}
			ties[other], ties[tag.owner.ID] = true, true
		}
	}
	return ties
}

// tied tells whether somebody else has or had a cylinder with a label that one of
// the person's has or had.
func (l *look) tied(p *Person) bool { return l.labels.ties[p.ID] }

// all are those of everybody.
func (l labels) all() iter.Seq[*tag] {
	return func(yield func(*tag) bool) {
		for i := range l.of {
			for k := range l.of[i].tags {
				if !yield(&l.of[i].tags[k]) {
					return
				}
			}
		}
	}
}

// on are the tags of one cylinder; they stand together.
func (l labels) on(c *Cylinder) []tag {
	for i := range l.of {
		tags := l.of[i].tags
		from := slices.IndexFunc(tags, func(t tag) bool { return t.cyl.ID == c.ID })
		if from < 0 {
			continue
		}
		to := from + 1
		for to < len(tags) && tags[to].cyl.ID == c.ID {
			to++
		}
		return tags[from:to]
	}
	return nil
}

func (c *Cylinder) tags(p *Person, tags []tag) []tag {
	for i := range c.Labels {
		if key := labelKey(c.Labels[i].Label); key != "" {
			tags = append(tags, tag{key, c.Labels[i].Moment, p, c})
		}
	}
	if key := labelKey(c.Label); key != "" &&
		!slices.ContainsFunc(c.Labels, func(l Labelling) bool { return labelKey(l.Label) == key }) {
		tags = append(tags, tag{key, c.Added, p, c})
	}
	return tags
}

// physical is one cylinder of steel: all the places where it stood.
type physical struct {
	parts []part
	since [][]evidence.Moment // between two parts: since when they are known to be one
	all   evidence.History
}

// part is a physical cylinder in one place.
type part struct {
	owner *Person
	cyl   *Cylinder
	tags  []tag
}

// physical is everything that is one cylinder with c, worked out once a look.
func (l *look) physical(owner *Person, c *Cylinder) *physical {
	for _, ph := range l.steel {
		if ph.has(c) {
			return ph
		}
	}
	ph := l.gather(owner, c)
	if len(ph.parts) > 1 {
		ph.tie()
	}
	ph.all = ph.history(l.Trip)
	l.steel = append(l.steel, ph)
	return ph
}

// gather collects the places of a cylinder, from label to label.
func (l *look) gather(owner *Person, c *Cylinder) *physical {
	ph := &physical{parts: []part{{owner, c, l.labels.on(c)}}}
	for i := 0; i < len(ph.parts); i++ {
		for _, mine := range ph.parts[i].tags {
			for other := range l.labels.all() {
				if other.key == mine.key && !ph.has(other.cyl) {
					ph.parts = append(ph.parts, part{other.owner, other.cyl, l.labels.on(other.cyl)})
				}
			}
		}
	}
	return ph
}

func (ph *physical) has(c *Cylinder) bool {
	for i := range ph.parts {
		if ph.parts[i].cyl.ID == c.ID {
			return true
		}
	}
	return false
}

// called tells whether the cylinder carries or carried a label, wherever it stood.
func (ph *physical) called(key string) bool {
	return slices.ContainsFunc(ph.parts, func(p part) bool {
		return slices.ContainsFunc(p.tags, func(t tag) bool { return t.key == key })
	})
}

// place is the index of a part, -1 when there is none.
func (ph *physical) place(id string) int {
	for i := range ph.parts {
		if string(ph.parts[i].cyl.ID) == id {
			return i
		}
	}
	return -1
}

// never is after everything.
var never = evidence.Moment{At: forEver, Nth: 1 << 40}

// tie works out since when each two parts are known to be one: over the labels
// that they share, or over others between them.
func (ph *physical) tie() {
	n := len(ph.parts)
	ph.since = make([][]evidence.Moment, n)
	for i := range ph.since {
		ph.since[i] = make([]evidence.Moment, n)
		for j := range ph.since[i] {
			if i != j {
				ph.since[i][j] = shared(ph.parts[i].tags, ph.parts[j].tags)
			}
		}
	}
	for k := range n {
		for i := range n {
			for j := range n {
				ph.since[i][j] = first(ph.since[i][j], last(ph.since[i][k], ph.since[k][j]))
			}
		}
	}
}

// shared is since when two cylinders share a label.
func shared(a, b []tag) evidence.Moment {
	since := never
	for _, x := range a {
		for _, y := range b {
			if y.key == x.key {
				since = first(since, last(x.from, y.from))
			}
		}
	}
	return since
}

// first and last are the earlier and the later saying.
func first(a, b evidence.Moment) evidence.Moment {
	if b.Nth < a.Nth {
		return b
	}
	return a
}

func last(a, b evidence.Moment) evidence.Moment {
	if b.Nth > a.Nth {
		return b
	}
	return a
}

// joined is since when two places are known to have the same cylinder.
func (ph *physical) joined(place, other string) evidence.Moment {
	i, j := ph.place(place), ph.place(other)
	if i == j && i >= 0 {
		return evidence.Moment{}
	}
	if i < 0 || j < 0 {
		return never
	}
	return ph.since[i][j]
}

// history is everything that was said of the physical cylinder.
func (ph *physical) history(t *Trip) evidence.History {
	n := 0
	for _, p := range ph.parts {
		n += len(p.cyl.Readings)
	}
	h := evidence.History{Readings: make([]evidence.Reading, 0, n)}
	for _, p := range ph.parts {
		id := string(p.cyl.ID)
		owner, asked := string(p.owner.ID), p.cyl.requests()
		h.Holders = append(h.Holders, evidence.Holder{Diver: owner, Place: id})
		for _, r := range p.cyl.Readings {
			e := r.told(id, owner, asked)
			e.Opened, e.Since, e.Came = t.openedBefore(r.Dive, r.Nth), p.cyl.afreshBefore(r.Nth), p.cyl.Added
			if t.Dive(r.Dive) == nil {
				e.Opened = p.cyl.ashoreBefore(r)
			}
			h.Readings = append(h.Readings, e)
		}
		for _, f := range p.cyl.Fills {
			h.Fills = append(h.Fills, evidence.Fill{Moment: f.Moment, Place: id, Own: f.Own, Dated: f.Dated})
		}
		for _, a := range p.cyl.Answers {
			if a.Answer != Kept {
				h.Voids = append(h.Voids, evidence.Void{Moment: a.Moment, Place: id})
			}
		}
		for _, m := range p.cyl.COs {
			h.COs = append(h.COs, evidence.Monoxide{Moment: m.Moment, Place: id, PPM: m.PPM})
		}
	}
	if len(ph.parts) > 1 {
		h.Joined = ph.joined
		slices.SortFunc(h.Readings, func(a, b evidence.Reading) int { return a.Nth - b.Nth })
	}
	return h
}

// openedBefore is the last opening of a dive's boat check before something was said, in
// the order of saying; 0 for none.
func (t *Trip) openedBefore(n, nth int) int {
	if d := t.Dive(n); d != nil {
		for _, o := range slices.Backward(d.Boat) {
			if o.Nth < nth {
				return o.Nth
			}
		}
	}
	return 0
}

// told is a reading as evidence looks at it. An analyser that was named only
// afterwards is as good as none.
func (r *Reading) told(place, of string, asked []evidence.Asked) evidence.Reading {
	e := evidence.Reading{ID: string(r.ID), Nth: r.Nth, Place: place, Of: of, Asked: asked, Percent: r.Percent,
		Said: r.Said, Taken: r.taken(),
		By: string(r.By), Witness: string(r.Witness), Analyser: labelKey(r.Analyser), AirPoint: r.AirPoint,
		Weather: r.Weather, AirLater: r.AirLater, WeatherWas: r.WeatherWas, Altitude: r.Altitude,
		Shown: r.Shown, Hurried: r.Hurried, Puts: string(r.Replaces), Undone: r.Undone, Slip: r.Slip, Stops: r.Stops,
		Beside: r.Beside, Aside: r.Aside != "", AsideAt: r.AsideAt}
	if r.NamedLater {
		e.Analyser = ""
	}
	return e
}
