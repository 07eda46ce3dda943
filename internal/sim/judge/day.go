package judge

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Day is everything that was said of a trip, sorted by what it is about.
type Day struct {
	units          gas.Unit
	departs        time.Time
	firstDiveAfter float64
	policy         Policy
	dives          []*dive // dive 1 is dives[0]

	people    []*person
	places    []*place
	bodies    []*body
	readings  []*reading
	airPoints []airPoint
	weather   gas.Weather
	limits    map[limitKey]Limit
	promises  []*promise
	questions map[string][]*body

	invite    bool // the open invite is open
	calledOff bool
	waiting   map[roster.PersonID]Person
	sentAway  map[roster.PersonID]bool

	booked     Booked
	heard      [][]Said // the changes, to tell how it was before
	held       []Said   // what the shop changed and no leader has agreed to yet
	signatures []*signature
	count      int // of what was heard
	noStops    map[noStopAsked]int
}

// mark is a moment in the day: a time, and for equal times the order of saying.
type mark struct {
	at time.Time
	n  int
}

func (m mark) before(o mark) bool { return m.at.Before(o.at) || m.at.Equal(o.at) && m.n < o.n }

// dive is a dive of the day.
type dive struct {
	number   int
	plan     Dive
	agreed   float64   // the interval of before the shop alone made it shorter, by which readings age
	checks   []mark    // the boat check's openings
	startAt  time.Time // the planned start when it was opened last
	dived    bool
	notDived bool      // a leader said that it is not dived at all
	answered mark      // when the leader said it
	began    time.Time // as it was planned or signed, whichever was later, not after the answer
	all      Dived     // what was dived by all
	frozen   DiveVerdict
	gases    map[roster.PersonID]breathed // as they were when it was dived
	then     answered                     // the day at that answer
}

// person is somebody of the trip.
type person struct {
	Person
	left, forgot   bool
	helium, last24 bool
	outs, outsides map[int]bool // by dive, 0 for the trip
	outSince       map[int]time.Time
	outByOther     map[int]bool  // somebody else than they sat them out
	teams          []string      // whose limits hold for them; the last is theirs
	stuck          []stuckLimit  // team limits that they can't loosen for themselves
	dived          map[int]Dived // as a leader said
	afterDived     map[int]Dived // as a leader said for all after that
	saidDived      map[int]Dived // as they said themself
	ownWords       map[int]Dived // the same, whatever a leader said in its place
}

type limitKey struct {
	person roster.PersonID
	team   string
	dive   int
}

type stuckLimit struct {
	key   limitKey
	limit Limit
}

// place is where a diver's cylinder for a dive stands: which cylinder it is may change.
type place struct {
	id        roster.CylinderID
	owner     *person
	dive      int   // 0 when retired
	leftOn    []int // dives that it was taken from without a leader's word
	label     string
	body      *body
	past      []stood // what stood there before
	moves     []moved
	added     time.Time    // after the trip was booked
	came      mark         // when what stands here came, after the trip was booked
	since     mark         // readings before it don't count here
	moved     map[int]mark // and on a dive none before this: it was moved there without a leader's word
	changes   int          // how often another cylinder was put here
	asked     []ask
	boat      []boatWord
	replanned []float64 // the values that counted when it was planned again
	witness   roster.PersonID
}

type boatWord struct {
	mark
	answer Boat
	dive   int // of the place then
}

// moved is that a place was taken away from a dive.
type moved struct {
	from int
	at   time.Time
}

// stood is a cylinder that stood in a place, for a dive, until another came.
type stood struct {
	body  *body
	came  mark
	until mark
	dive  int
}

type ask struct {
	n     int
	value float64
}

// body is one cylinder as it can be touched: whatever its labels were.
type body struct {
	into   *body // the same cylinder, known under another label before
	joined mark  // when that was said
	labels []string
	fills  []mark // by somebody else than its diver
	own    []mark // that only its diver reports
	voids  []mark // "changed" and "not sure"
	carbon []carbon
}

type carbon struct {
	mark
	said mark
	ppm  float64
}

// real is the cylinder itself.
func (b *body) real() *body {
	for b.into != nil {
		b = b.into
	}
	return b
}

// reading is one number of an analyser.
type reading struct {
	id        roster.ReadingID
	n         int
	place     *place
	owner     *person
	body      *body
	by        roster.PersonID
	who       whose
	value     float64
	taken     mark
	said      time.Time
	analyser  string
	air       airJudged
	airLater  bool    // the air point was said only when it was asked for
	altitude  float64 // of the dive that it was taken for, metres
	expected  float64 // O2 of the air by the weather, percent; 0 when not known
	message   string
	undone    bool
	undoneAt  mark // or put right
	slip      bool
	twice     bool     // said twice: the earlier one stands for both
	first     *reading // which one that is
	asideAt   mark
	aside     bool // of a series of the shop's that was set aside
	corrects  bool
	inPlaceOf *reading // the slip that it puts right
	beside    *reading // the number of which it was said, where it only adds one
	ownToo    bool     // who watched has the same cylinder
	late      bool     // taken before a fill, a "changed" or another cylinder that was stored before it was said
	shown     bool
	noDecimal bool
}

// diveOf is the dive that the cylinder of a reading is for, or was for before another came or it went out of use.
func (d *Day) diveOf(r *reading) *dive {
	q := r.place
	for _, s := range q.past {
		if s.body.real() == r.cylinder() && r.n < s.until.n {
			return d.dive(s.dive)
		}
	}
	if n := len(q.moves); q.dive == 0 && n > 0 {
		return d.dive(q.moves[n-1].from)
	}
	return d.dive(q.dive)
}

func (r *reading) cylinder() *body { return r.body.real() }

// Open opens the day of a trip as it was booked.
func Open(b Booked) *Day {
	d := &Day{booked: b, invite: b.Invite,
		units: b.Units, departs: b.Departs, firstDiveAfter: b.FirstDiveAfter, policy: b.Policy,
		limits: map[limitKey]Limit{}, questions: map[string][]*body{}, noStops: map[noStopAsked]int{},
		waiting: map[roster.PersonID]Person{}, sentAway: map[roster.PersonID]bool{}}
	for i, plan := range b.Dives {
		d.dives = append(d.dives, &dive{number: i + 1, plan: plan})
	}
	for _, p := range b.People {
		d.add(p)
	}
	return d
}

// Judge tells the verdicts of a trip, of everything that was said, at a moment.
func Judge(b Booked, said []Said, now time.Time) Verdicts {
	d := Open(b)
	for len(said) > 0 {
		n := 1
		for n < len(said) && said[0].Change != 0 && said[n].Change == said[0].Change {
			n++
		}
		d.Hear(said[:n]...)
		said = said[n:]
	}
	return d.At(now)
}

func (d *Day) add(p Person) {
	q := &person{Person: p, teams: []string{p.Team},
		outs: map[int]bool{}, outSince: map[int]time.Time{}, outByOther: map[int]bool{}, outsides: map[int]bool{},
		dived: map[int]Dived{}, afterDived: map[int]Dived{}, saidDived: map[int]Dived{},
		ownWords: map[int]Dived{}}
	q.outsides[0] = p.Outside != ""
	q.Cylinders = nil
	d.people = append(d.people, q)
	for _, c := range p.Cylinders {
		d.addPlace(q, c)
	}
}

func (d *Day) addPlace(p *person, c Cylinder) {
	q := &place{id: c.ID, owner: p, dive: c.Dive, moved: map[int]mark{}, asked: []ask{{d.count, c.Asked}}}
	d.places = append(d.places, q)
	q.label = plainLabel(c.Label)
	q.body = d.bodyOf(q.label)
}

func (d *Day) person(id roster.PersonID) *person {
	for _, p := range d.people {
		if p.ID == id {
			return p
		}
	}
	return nil
}

func (d *Day) place(id roster.CylinderID) *place {
	for _, p := range d.places {
		if p.id == id {
			return p
		}
	}
	return nil
}

func (d *Day) reading(id roster.ReadingID) *reading {
	for _, r := range d.readings {
		if r.id == id {
			return r
		}
	}
	return nil
}

func (d *Day) dive(n int) *dive {
	if n < 1 || n > len(d.dives) {
		return nil
	}
	return d.dives[n-1]
}

// on are the places of a person that belong to a dive: those in use, and those
// whose findings stayed behind on it.
func (d *Day) on(p *person, dive int) (places []*place, inUse bool) {
	for _, q := range d.places {
		if q.owner != p || q.dive != dive && !slices.Contains(q.leftOn, dive) {
			continue
		}
		places = append(places, q)
		inUse = inUse || q.dive == dive
	}
	return places, inUse
}

// isDiver tells whether somebody is a diver of the trip: booked as one, or ever
// given a cylinder.
func (d *Day) isDiver(p *person) bool {
	return p.Diver || slices.ContainsFunc(d.places, func(q *place) bool { return q.owner == p })
}

// askedSince are the requests of a place that held at entry n or later:
// a request that is changed after a reading helps nobody.
func (q *place) askedSince(n int) []float64 {
	var values []float64
	for i, a := range q.asked {
		if i == len(q.asked)-1 || q.asked[i+1].n > n {
			values = append(values, a.value)
		}
	}
	return values
}
