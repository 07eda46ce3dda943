package gas

import "math"

// subject is one cylinder of a diver with everything that a rule may look at,
// worked out once.
type subject struct {
	policy *Policy
	diver  *Diver
	cyl    *Cylinder
	day    *load
	all    []subject // of the diver on this dive, this one too

	rich Percent // what counts for depth, 0 when nothing was read
	lean Percent // what counts for time, 0 when nothing was read

	planned bool  // policy, place and depth can be used
	depth   Depth // planned, in the unit of the place
	bottom  Depth // unit of the place; zero when not given
	max     Depth // the diver's, over all cylinders

	// At the working limit unless said; valid when planned and read.
	mod, label, modMax Depth
	ppo2, ppo2Bottom   PPO2

	// Of the day; see day.go.
	noStop, noStopAsked NoStop
	oxygen              Oxygen
	clocked             bool // oxygen holds the day up to and with this dive
}

// look works out everything that the cylinder alone tells.
func (s *subject) look() {
	s.rich, s.lean = s.cyl.Rich, s.cyl.Lean
	s.plan()
	if s.planned && s.hasReading() {
		s.work()
	}
}

// hasReading tells whether something was read, whether it counts or not: what
// does not count only makes stricter.
func (s *subject) hasReading() bool { return s.cyl.Evidence.read() }

// asked is the requested blend, 0 when none was or it is no percentage.
func (s *subject) asked() Percent {
	if !s.cyl.Asked.Known() {
		return 0
	}
	return s.cyl.Asked
}

// valid tells whether a depth is a number that a dive can have.
func (d Depth) valid() bool { return d.Value > 0 && d.Value <= deepest && d.Unit <= Feet }

// valid tells whether the dive has what a depth check requires.
func (d *Dive) valid() bool { return d.Place.Valid() && d.Depth.valid() }

// plan works out the depth to check.
func (s *subject) plan() {
	dive := &s.diver.Dive
	if !dive.valid() || !s.policy.usable() {
		return
	}
	s.planned = true
	s.depth = dive.Depth.PlannedIn(dive.Place.Unit)
	if dive.Bottom.valid() {
		s.bottom = dive.Bottom.PlannedIn(dive.Place.Unit)
	}
}

// work fills in what follows from gas and depth.
func (s *subject) work() {
	place := s.diver.Dive.Place
	s.mod = place.MOD(s.rich, s.policy.PPO2)
	s.label = s.mod.Floor()
	s.modMax = place.MOD(s.rich, s.policy.PPO2Max)
	s.ppo2 = place.PPO2(s.rich, s.depth)
	if s.bottom.Known() {
		s.ppo2Bottom = place.PPO2(s.rich, s.bottom)
	}
}

// bestMix is the richest whole percentage for the planned depth.
func (s *subject) bestMix() Percent {
	return s.diver.Dive.Place.BestMix(s.depth, s.policy.PPO2, s.policy.MaxO2)
}

// numbers are the figures of the cylinder, before any rule has looked.
func (s *subject) numbers() Numbers {
	dive := &s.diver.Dive
	n := Numbers{Cylinder: s.cyl.Key, Dive: dive.Number, Rich: s.rich, Lean: s.lean}
	if s.hasReading() {
		n.Computer = Percent(math.Floor(float64(s.lean) + exactly))
	}
	if !s.planned {
		return n
	}
	n.Depth, n.BestMix = s.depth, s.bestMix()
	if s.hasReading() {
		n.MOD, n.Label, n.MODMax = s.mod, s.label, s.modMax
		n.PPO2, n.PPO2Bottom = s.ppo2, s.ppo2Bottom
		n.EAD = dive.Place.EAD(s.lean, s.depth)
		s.times(&n)
	}
	if s.clocked {
		n.CNS, n.CNS24, n.OTU = Of(s.oxygen.CNS), Of(s.oxygen.CNS24), Of(s.oxygen.OTU)
	}
	return n
}

// times fills in the no-stop times, of which none is named to who dived in the 24
// hours before.
func (s *subject) times(n *Numbers) {
	n.Navy = NoStop{State: NoStopNone}
	if s.diver.OwnComputer {
		return
	}
	n.NoStop, n.NoStopAsked = s.noStop, s.noStopAsked
	if s.day.first {
		n.Navy = s.diver.Dive.Place.NavyNoStop(s.lean, s.depth)
	}
}

// over tells whether v is more than limit, with the tolerance that lets an
// exact hit pass.
func over(v, limit float64) bool { return v > limit+exactly }
