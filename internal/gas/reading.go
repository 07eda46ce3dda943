package gas

import "time"

// Stage is where a reading was taken.
type Stage uint8

// The dock, after the fill; the boat, before set-up.
const (
	Dock Stage = iota
	Boat
)

// String is "dock" or "boat".
func (s Stage) String() string {
	if s == Boat {
		return "boat"
	}
	return "dock"
}

// MarshalText writes "dock" or "boat".
func (s Stage) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads "dock" or "boat"; anything else is the dock.
func (s *Stage) UnmarshalText(b []byte) error {
	*s = Dock
	if string(b) == "boat" {
		*s = Boat
	}
	return nil
}

// Entrant is who took a reading.
type Entrant string

// The diver who breathes it; the leader, who watched it being taken; the shop.
const (
	ByDiver   Entrant = "diver"
	Witnessed Entrant = "witnessed"
	ByShop    Entrant = "shop"
)

// Shown is whether a suspiciously round or quick reading was asked about.
type Shown string

// What is known of how the number came from the analyser.
const (
	ShownUnasked   Shown = ""           // not asked
	ShownDecimals  Shown = "decimals"   // yes, to one decimal that is what it showed
	ShownNoDecimal Shown = "no-decimal" // the analyser shows whole numbers only
)

// Reading is one analysis of one cylinder, as far as the check needs it.
// Readings that were undone or lie before the last fill are not given to the
// check at all; the value that a correction replaced is given in Replaced.
type Reading struct {
	Percent    Percent
	At         time.Time
	Analyser   string // "" when not said
	Stage      Stage
	By         Entrant
	Shown      Shown
	Hurried    bool    // less than 15 s after another message on the same analyser
	Replaced   Percent // the value this entry corrected, 0 when it is no correction
	Calibrated bool    // taken after a calibration; asked of a reading that settles a repeat
	AirPoint   Percent // what this analyser showed in fresh air, 0 when not asked
	Weather    Weather // where the analyser was calibrated; zero when not known
}

// Card is what is known of a diver's enriched-air qualification.
type Card string

// The zero value counts as unseen.
const (
	CardUnseen Card = "unseen"
	CardSeen   Card = "seen"
	CardNone   Card = "none"
)

// Due is which reading a cylinder owes at this moment of the day.
type Due uint8

// What may be owed.
const (
	DueAny          Due = iota // any valid reading counts
	DueBoatQuestion            // the boat check is open and "out of your sight?" not answered
	DueBoatReading             // a reading of stage Boat is required
)

// Cylinder is what a check needs to know of one cylinder for one dive.
type Cylinder struct {
	Key       string    // opaque; findings carry it
	Asked     Percent   // requested blend, 0 when nothing was requested
	Readings  []Reading // since the last fill, oldest first
	Filled    time.Time // last fill, zero when not known
	Claims    int       // how many divers say it is theirs
	Due       Due
	Replanned bool   // diver and leader have re-planned after a reading far from asked
	CO        Amount // carbon monoxide, ppm; not known when not measured
	Dive      Dive
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

	// What was dived, once the leader has entered it; zero while the plan
	// stands. Later dives count on it, this one is still held to its plan.
	DivedDepth   Depth
	DivedMinutes float64
}

// Diver is one diver with all cylinders, as a check needs it.
type Diver struct {
	Card       Card
	DepthLimit Depth // of the qualification; zero when not given
	SetDepth   Depth // set for this diver (or team) by the leader; zero when none
	Cylinders  []Cylinder
	Past       []Cylinder // those breathed on earlier dives of the day, no longer checked; they count for the times of later ones
	// OwnComputer: dived in the 24 hours before the trip. Times here don't
	// count for this diver, their own computer does.
	OwnComputer bool
}
