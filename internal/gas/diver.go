package gas

import "time"

// Diver is one diver on one dive, as a check needs it: the unit of every
// decision.
type Diver struct {
	Card       Card
	DepthLimit Depth // of the qualification; zero when not given
	Set        Limit // a leader's, for this diver
	Team       Limit // a leader's, for the diver's team
	InTeam     bool
	Dive       Dive
	Before     []Leg // the earlier dives of the day, in order
	Cylinders  []Cylinder
	// OwnComputer: dived in the 24 hours before the trip. The times here say
	// too much for this diver, their own computer counts; oxygen is a lower bound.
	OwnComputer bool
	Needed      bool // a cylinder in use is needed: a trip's dive
	Left        bool // left, forgot or was removed
	Speak       bool // named helium or a closed circuit
}

// Limit is a leader's limit; a zero depth or time limits nothing.
type Limit struct {
	Depth   Depth
	Minutes float64
}

// usable is the limit without what is no number that a dive can have.
func (l Limit) usable() Limit {
	if !l.Depth.valid() {
		l.Depth = Depth{}
	}
	if !validMinutes(l.Minutes) {
		l.Minutes = 0
	}
	return l
}

// Tighter is the tighter of two limits, in depth and in time.
func (l Limit) Tighter(m Limit) Limit {
	if !l.Depth.Known() || (m.Depth.Known() && l.Depth.DeeperThan(m.Depth)) {
		l.Depth = m.Depth
	}
	l.Minutes = shorter(l.Minutes, m.Minutes)
	return l
}

// Cylinder is what a check needs to know of one cylinder.
type Cylinder struct {
	Key      string  // opaque; findings carry it
	Asked    Percent // requested blend, 0 when nothing was requested
	Claims   int     // how many divers say it is theirs on this dive
	Question bool    // a number is being asked about
	// LeftBehind: it was moved away without a leader's word. What is found of it
	// counts here, but it is not in use.
	LeftBehind bool
	Evidence
}

// Dive is the plan that a gas is held against.
type Dive struct {
	Number     int // 1, 2, ...
	Place      Place
	Depth      Depth   // planned depth; required
	Bottom     Depth   // deepest point reachable; zero when not given
	Bottomless bool    // a wall without a bottom in reach
	Minutes    float64 // from leaving the surface until starting up; 0 when not given
	Interval   float64 // minutes at the surface since the dive before; 0 for the first
	Start      time.Time
}

// Leg is one earlier dive of a diver's day, as it was dived or else as it is
// planned.
type Leg struct {
	Number   int
	Place    Place
	Depth    Depth
	Minutes  float64
	Interval float64 // minutes at the surface before it
	Rich     Percent // counts for oxygen
	Lean     Percent // counts for nitrogen
	// AtSurface: the diver was not on it, and Minutes were spent at the surface.
	AtSurface bool
}
