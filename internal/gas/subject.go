package gas

import (
	"math"
	"time"
)

// subject is one cylinder of a diver with everything that a rule may look at,
// worked out once.
type subject struct {
	policy *Policy
	diver  *Diver
	cyl    *Cylinder
	now    time.Time

	readings []Reading // those that count, oldest first; may be the cylinder's own list
	refused  Reading   // the newest reading, when it doesn't count because of its air point
	rich     Percent   // what counts for depth, 0 without a reading
	lean     Percent   // what counts for time, 0 without a reading

	planned bool  // policy, place and depth can be used
	depth   Depth // to be checked: planned, or set by the leader; unit of the place
	bottom  Depth // unit of the place; zero when not given

	// At the working limit unless said; valid when planned and read.
	mod, label, modMax Depth
	ppo2, ppo2Bottom   PPO2

	// Of the day; see day.go.
	load                load
	noStop, noStopAsked NoStop
	oxygen              Oxygen
	clocked             bool // oxygen holds the day up to and with this dive
}

func newSubject(p *Policy, d *Diver, c *Cylinder) *subject {
	s := &subject{policy: p, diver: d, cyl: c}
	s.look()
	return s
}

// look works out everything that the cylinder alone tells.
func (s *subject) look() {
	s.read()
	s.plan()
	if s.planned && s.hasReading() {
		s.work()
	}
}

// hasReading tells whether some reading counts.
func (s *subject) hasReading() bool { return len(s.readings) > 0 }

// asked is the requested blend, 0 when none was or it is no percentage.
func (s *subject) asked() Percent {
	if !s.cyl.Asked.Known() {
		return 0
	}
	return s.cyl.Asked
}

// newest is the newest reading that counts, the zero reading when none does.
func (s *subject) newest() *Reading {
	if !s.hasReading() {
		return &Reading{}
	}
	return &s.readings[len(s.readings)-1]
}

// read finds the readings that count and what they come to: of the last two
// the richer for depth, the leaner for time.
func (s *subject) read() {
	s.readings = s.cyl.Readings
	for i := range s.readings {
		if r := &s.readings[i]; s.beside(r) || s.airPointOff(r) {
			s.sift()
			break
		}
	}
	for i := max(0, len(s.readings)-2); i < len(s.readings); i++ {
		lo, hi := s.readings[i].span()
		s.rich = max(s.rich, hi)
		if !s.lean.Known() || lo < s.lean {
			s.lean = lo
		}
	}
}

// sift leaves out the readings that don't count.
func (s *subject) sift() {
	s.readings = nil
	for i := range s.cyl.Readings {
		switch r := &s.cyl.Readings[i]; {
		case s.beside(r):
		case s.airPointOff(r):
			s.refused = *r
		default:
			s.readings, s.refused = append(s.readings, *r), Reading{}
		}
	}
}

// beside tells whether a reading is none, or of an earlier fill.
func (s *subject) beside(r *Reading) bool { return !r.valid() || r.At.Before(s.cyl.Filled) }

// valid tells whether the reading holds a percentage at all.
func (r *Reading) valid() bool { return r.Percent.Known() }

// span is what a reading may stand for: an analyser without decimals shows 32
// for anything from 31.5 to 32.5.
func (r *Reading) span() (lo, hi Percent) {
	if r.Shown == ShownNoDecimal {
		return max(r.Percent-0.5, math.SmallestNonzeroFloat64), min(r.Percent+0.5, 100)
	}
	return r.Percent, r.Percent
}

// valid tells whether a depth is a number that a dive can have.
func (d Depth) valid() bool { return d.Value > 0 && d.Value <= deepest && d.Unit <= Feet }

// valid tells whether the dive has what a depth check requires.
func (d *Dive) valid() bool { return d.Place.Valid() && d.Depth.valid() }

// plan works out the depth to check.
func (s *subject) plan() {
	dive := &s.cyl.Dive
	if !dive.valid() || !s.policy.usable() {
		return
	}
	s.planned = true
	s.depth = dive.Depth.PlannedIn(dive.Place.Unit)
	if set := s.setDepth(); set.Known() && s.depth.DeeperThan(set) {
		s.depth = set
	}
	if dive.Bottom.valid() {
		s.bottom = dive.Bottom.PlannedIn(dive.Place.Unit)
	}
}

// setDepth is the leader's limit for this diver in the unit of the place.
func (s *subject) setDepth() Depth { return s.limitHere(s.diver.SetDepth) }

// limitHere is a limit in the unit of the place: as given, or converted to the
// shallower side.
func (s *subject) limitHere(d Depth) Depth {
	if !d.valid() || d.Unit == s.cyl.Dive.Place.Unit {
		return d
	}
	return d.LimitIn(s.cyl.Dive.Place.Unit)
}

// work fills in what follows from gas and depth.
func (s *subject) work() {
	place := s.cyl.Dive.Place
	s.mod = place.MOD(s.rich, s.policy.PPO2)
	s.label = s.mod.Floor()
	s.modMax = place.MOD(s.rich, s.policy.PPO2Max)
	s.ppo2 = place.PPO2(s.rich, s.depth)
	if s.bottom.Known() {
		s.ppo2Bottom = place.PPO2(s.rich, s.bottom)
	}
}

// bestMix is the richest whole percentage for the depth to check.
func (s *subject) bestMix() Percent {
	return s.cyl.Dive.Place.BestMix(s.depth, s.policy.PPO2, s.policy.MaxO2)
}

// numbers are the figures of the cylinder, before any rule has looked.
func (s *subject) numbers() Numbers {
	n := Numbers{Cylinder: s.cyl.Key, Dive: s.cyl.Dive.Number, Rich: s.rich, Lean: s.lean}
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
		n.EAD = s.cyl.Dive.Place.EAD(s.lean, s.depth)
		n.NoStop, n.NoStopAsked = s.noStop, s.noStopAsked
		n.Navy = NoStop{State: NoStopNone}
		if s.load.first {
			n.Navy = s.cyl.Dive.Place.NavyNoStop(s.lean, s.depth)
		}
	}
	if s.clocked {
		n.CNS, n.CNS24, n.OTU = Of(s.oxygen.CNS), Of(s.oxygen.CNS24), Of(s.oxygen.OTU)
	}
	return n
}

// over tells whether v is more than limit, with the tolerance that lets an
// exact hit pass.
func over(v, limit float64) bool { return v > limit+exactly }
