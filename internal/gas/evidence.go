package gas

import "time"

// Evidence is what the readings of one cylinder come to, for one diver on one
// dive at an instant. Package evidence finds it; here it is only looked at. The
// zero value is a cylinder that nobody has read.
type Evidence struct {
	Counting []Value // readings that count, in the order of saying
	Compared []Value // all that are compared, counting or not; each makes stricter
	Rich     Percent // the richest of all compared, as it counts for depth; 0 without one
	Lean     Percent // the leanest of all compared, as it counts for time
	Dry      Percent // Lean without what humid air takes from it
	Absent   Absent  // why nothing counts

	Dated     bool    // Age is known
	Age       float64 // hours, of the youngest that counts or would but for its age
	Limit     float64 // hours that it may be old
	Apart     Apart   // the two compared readings that lie farthest beyond their bounds
	Unsettled bool
	Settled   bool // a watched reading on a calibrated analyser settled it
	Slip      Slip
	Measured  Measured
	Deviation Deviation
	AirPoint  AirPoint
	CO        Amount // the highest since the fill, ppm

	RichestAsked Percent // of now, and of those that held when a number was said, or since
	AirAsked     bool    // air was asked for, now or ever
	LeanUnseen   bool    // less than enriched air was read, and nobody watched it

	// Until is when the clock alone may change any of this; zero is never.
	Until time.Time
}

// Value is one reading as the check sees it.
type Value struct {
	ID         string
	Percent    Percent // as shown
	Rich, Lean Percent // as it counts for depth, for time
	Dry        Percent // Lean without what humid air takes from it
	At         time.Time
	Analyser   string
	AirPoint   Percent
	By         Entrant
}

// Absent is why no reading of a cylinder counts. The zero value is that nobody
// has read it; whether something counts is told by Evidence.Counts.
type Absent uint8

// Not read at all; by the shop alone; before a fill; before it was out of
// sight; before it was breathed on another dive; too old; at the boat check the
// question is not answered, or it is to be analysed again; its analyser's air
// point is off; a correction has to be shown first; it came from elsewhere; all
// was taken back.
const (
	AbsentUnread Absent = iota
	AbsentShopOnly
	AbsentRefilled
	AbsentChanged
	AbsentDived
	AbsentStale
	AbsentBoatQuestion
	AbsentBoatReading
	AbsentAirPoint
	AbsentSlip
	AbsentElsewhere
	AbsentUndone
)

// Counts tells whether some reading counts.
func (e *Evidence) Counts() bool { return len(e.Counting) > 0 }

// read tells whether something was read, counting or not.
func (e *Evidence) read() bool { return e.Rich.Known() && e.Lean.Known() }

// Apart is two readings of one cylinder and how far they lie from each other.
type Apart struct {
	Known   bool
	Points  float64
	Note    float64 // from here on it is remarked
	Settle  float64 // beyond it has to be settled
	Earlier Percent
	Later   Percent
}

// Slip is a number that was taken back as a slip, and what has to be shown
// again before the number said instead of it counts.
type Slip struct {
	State SlipState
	Was   Percent
	Is    Percent // 0 while nothing was said instead
}

// SlipState is how far a slip has come.
type SlipState uint8

// None; put right, with nothing to show; shown again; to be shown again; the
// same, and the slip was a no-go, which stays.
const (
	SlipNone SlipState = iota
	SlipSmall
	SlipShown
	SlipOpen
	SlipStops
)

// Measured is a number that looks as if no analyser had shown it.
type Measured struct {
	State   MeasuredState
	Reading string
	Percent Percent
}

// MeasuredState is what has to be asked of a number.
type MeasuredState uint8

// Nothing; it was asked and answered; whole numbers only; equal to the request;
// faster than an analyser settles. The last two wait for an answer.
const (
	MeasuredPlain MeasuredState = iota
	MeasuredConfirmed
	MeasuredWhole
	MeasuredRound
	MeasuredHurried
)

// Deviation is the largest distance of a reading from what was asked for.
type Deviation struct {
	Known     bool
	Off       float64 // points, positive for richer
	Asked     Percent
	Replanned bool // planned again for it
}

// AirPoint is the worst that an analyser of the readings that count showed in air,
// or of those that would count but for it when none does.
type AirPoint struct {
	State  AirPointState
	Shown  Percent
	Lo, Hi Percent // what it may show there
}

// AirPointState is how an air point is judged.
type AirPointState uint8

// Not said; as it has to be; lower than usual; outside: the reading does not count.
const (
	AirPointNone AirPointState = iota
	AirPointFits
	AirPointLow
	AirPointOff
)

// Read is the evidence of one plain reading that counts: for tables, requests
// and the check on the command line.
func Read(p Percent) Evidence {
	v := Value{Percent: p, Rich: p, Lean: p, Dry: p, By: ByDiver}
	if !p.Known() {
		return Evidence{}
	}
	return Evidence{Counting: []Value{v}, Compared: []Value{v}, Rich: p, Lean: p, Dry: p}
}
