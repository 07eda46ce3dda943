package roster

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// Board is the board as of now. When every dive is signed off it is the board
// under the last signature. Its lists are shared with the trip's memory and are
// not to be written to. Like everything of a trip it is for one goroutine at a
// time.
func (t *Trip) Board(now time.Time) Board {
	if t.CurrentDive() == 0 {
		return t.lastBoard()
	}
	b := t.knows().now(now)
	if checkBoard != nil {
		checkBoard(t, now, b)
	}
	return b
}

// checkBoard is set by tests: it holds every board against one computed afresh.
var checkBoard func(t *Trip, now time.Time, b Board)

// lastBoard is the board of the last dive's signature, the zero board when
// there are no dives at all.
func (t *Trip) lastBoard() Board {
	s := t.signature(len(t.Dives))
	if s == nil {
		return Board{}
	}
	b := s.Board
	b.Dive = 0
	return b
}

// counted are the person's cylinders that count now: all of them before the
// first signature, those of the dives that are not signed after it. They are
// appended to those given.
func (t *Trip) counted(counted []*Cylinder, p *Person) []*Cylinder {
	for _, c := range p.Cylinders {
		if t.counts(c) {
			counted = append(counted, c)
		}
	}
	return counted
}

func (t *Trip) counts(c *Cylinder) bool { return c.Retired.IsZero() && t.signature(c.Dive) == nil }

// cylinder is what the check needs of one cylinder, its readings in the room
// given.
func (t *Trip) cylinder(c *Cylinder, claims map[string]int, room []gas.Reading) gas.Cylinder {
	g := gas.Cylinder{Key: string(c.ID), Asked: c.Asked, Readings: room, Filled: c.Filled().At, Claims: max(1, claims[labelKey(c.Label)]),
		Due: t.due(c), Replanned: c.Replanned != nil, CO: c.monoxide(), Dive: t.dive(c.Dive)}
	for _, r := range c.Readings {
		if r.stands(g.Filled) {
			g.Readings = append(g.Readings, t.reading(c, r))
		}
	}
	return g
}

// reading is what the check needs of one reading. A boat reading counts as one
// only in the boat check of its own dive.
func (t *Trip) reading(c *Cylinder, r *Reading) gas.Reading {
	stage := gas.Dock
	if r.Stage == gas.Boat && r.Dive == t.CurrentDive() {
		stage = gas.Boat
	}
	return gas.Reading{Percent: r.Percent, At: r.taken(), Analyser: r.Analyser, Stage: stage, By: r.Entrant,
		Shown: r.Shown, Hurried: r.Hurried, Replaced: c.Replaced(r), Calibrated: r.Calibrated, AirPoint: r.AirPoint, Weather: t.weather(r)}
}

// dive is what the check needs of dive n; a dive that does not exist has no
// depth, which is no reading.
func (t *Trip) dive(n int) gas.Dive {
	d := t.Dive(n)
	if d == nil {
		return gas.Dive{Number: n}
	}
	return gas.Dive{Number: n, Place: gas.Place{Unit: t.Units, Water: d.Water, Altitude: d.Altitude}, Depth: d.Depth,
		Bottom: d.Bottom, Bottomless: d.Bottomless, Minutes: d.Minutes, Interval: d.Interval, Start: t.Starts(n)}
}

// GasDive is dive n as the check sees it; for tables and for the request check.
func (t *Trip) GasDive(n int) gas.Dive { return t.dive(n) }

// claims counts, by label, the people who say a cylinder is theirs. Leaving
// gives no claim up; only a sit-out by a leader does.
func (t *Trip) claims() map[string]int {
	claims := map[string]int{}
	var mine []string
	for _, p := range t.People {
		if p.Out != nil {
			continue
		}
		mine = mine[:0]
		for _, c := range p.Cylinders {
			if key := labelKey(c.Label); key != "" && t.counts(c) && !slices.Contains(mine, key) {
				mine = append(mine, key)
				claims[key]++
			}
		}
	}
	return claims
}

// Claimants are the people who say that a cylinder with this label is theirs.
func (t *Trip) Claimants(label string) []*Person {
	var people []*Person
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			if p.Out == nil && t.counts(c) && labelKey(label) != "" && labelKey(c.Label) == labelKey(label) {
				people = append(people, p)
				break
			}
		}
	}
	return people
}

// Preview computes what person p's own verdict would be if cylinder c had been
// asked for (and filled exactly as) blend, and analysed an hour before the
// dive: the request check. It looks at this cylinder only; what is known of the
// person's card and depth, and the dives before, count. The verdict is brief, as
// on a board.
func (t *Trip) Preview(p PersonID, c CylinderID, blend gas.Percent, now time.Time) gas.Verdict {
	person, cyl := t.Cylinder(c)
	if cyl == nil || person.ID != p {
		return gas.Verdict{}
	}
	dive := t.dive(cyl.Dive)
	at := dive.Start.Add(-time.Hour)
	if now.Before(at) {
		now = at
	}
	return gas.AssessBriefly(t.Policy, gas.Diver{Card: person.Card, DepthLimit: person.DepthLimit, SetDepth: person.SetDepth,
		OwnComputer: person.DivedBefore == "yes", Past: t.expected(person, cyl.Dive),
		Cylinders: []gas.Cylinder{{Key: string(c), Asked: blend, Claims: 1, Dive: dive,
			Readings: []gas.Reading{{Percent: blend, At: at, By: gas.ByDiver, Shown: gas.ShownDecimals}}}}}, now)
}

// owes are the findings that ask for something, one for each cylinder and rule.
func owes(p *Person, d gas.Diver, v gas.Verdict) []Owed {
	if len(d.Cylinders) == 0 {
		return []Owed{{Person: p.ID, Why: OwesCylinder}}
	}
	var owed []Owed
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Severity != gas.Missing {
			continue
		}
		o := Owed{Person: p.ID, Cylinder: CylinderID(f.Cylinder), Why: string(f.Rule)}
		if f.Rule == gas.RuleNoReading && asksBoatQuestion(d, f.Cylinder) {
			o.Why = OwesBoatAnswer
		}
		if !slices.Contains(owed, o) {
			owed = append(owed, o)
		}
	}
	return owed
}

// asksBoatQuestion tells whether a cylinder that was read owes no more than the
// answer to the boat question.
func asksBoatQuestion(d gas.Diver, key string) bool {
	return slices.ContainsFunc(d.Cylinders, func(c gas.Cylinder) bool {
		return c.Key == key && c.Due == gas.DueBoatQuestion && len(c.Readings) > 0
	})
}

// weight orders the statuses, the worst last.
func weight(s gas.Status) int {
	switch s {
	case gas.GoWithLimits:
		return 1
	case gas.NoReading:
		return 2
	case gas.NoGo:
		return 3
	default:
		return 0
	}
}

func worse(a, b gas.Status) gas.Status {
	if weight(b) > weight(a) {
		return b
	}
	return a
}

// count fills in the counts and the board's own status.
func (b *Board) count() {
	b.Status = gas.Go
	for i := range b.People {
		pb := &b.People[i]
		if pb.Out != nil {
			b.Counts.Out++
		}
		if pb.Active {
			b.Counts.Active++
			*b.Counts.of(pb.Status)++
			b.Status = worse(b.Status, pb.Status)
		}
	}
	if b.Counts.Active == 0 {
		b.Status = gas.NoReading
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
		return &c.NoReading
	}
}

// Of is a person's line, nil when there is none.
func (b *Board) Of(p PersonID) *PersonBoard {
	for i := range b.People {
		if b.People[i].Person == p {
			return &b.People[i]
		}
	}
	return nil
}
