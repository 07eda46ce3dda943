package evidence

import (
	"time"

	"gasmuster/internal/gas"
)

// Moment is when something was said: by our clock, and in the order of saying,
// which decides between equal times.
type Moment struct {
	At  time.Time `json:"at,omitzero"`
	Nth int       `json:"nth,omitempty"`
}

// IsZero tells whether it was never said.
func (m Moment) IsZero() bool { return m.At.IsZero() && m.Nth == 0 }

// Before tells whether m is before n: by the clock, then by the order of saying.
func (m Moment) Before(n Moment) bool {
	if !m.At.Equal(n.At) {
		return m.At.Before(n.At)
	}
	return m.Nth < n.Nth
}

// History is everything that was said of one physical cylinder, wherever on the
// trip it stood. It is the same for everybody who ever had it. Lists are in the
// order of saying.
type History struct {
	Readings []Reading
	Fills    []Fill
	Voids    []Void // "changed" or "not sure", at the boat question
	COs      []Monoxide
	Holders  []Holder // the divers who have or had it, place by place
	// Joined tells since when two places are known to have the same cylinder, zero
	// for always; nil when they all always were.
	Joined func(place, other string) Moment
}

// Holder is a diver with the place where they have or had the cylinder.
type Holder struct{ Diver, Place string }

// Reading is one analysis as it was said, with what was true at that moment and
// stays true.
type Reading struct {
	ID         string
	Nth        int
	Place      string  // where it was said of
	Of         string  // the diver of that place
	Asked      []Asked // the requests for that place, the one of now last
	Percent    gas.Percent
	Said       time.Time // by our clock
	Taken      time.Time // when the analyser showed it
	By         string    // who said it, "" for the shop
	Witness    string    // who watched it, "" for nobody
	Analyser   string    // "" when it was not named with the reading
	AirPoint   gas.Percent
	Weather    gas.Weather // of the analyser's air
	AirLater   bool        // the air point was said only when it was asked for
	WeatherWas gas.Weather // the weather known before that
	Altitude   float64     // of that place, metres
	Shown      gas.Shown
	Hurried    bool
	Puts       string // the id of the number that it puts right
	Opened     int    // the last opening of its dive's boat check before it, in the order of saying; 0 for none
	Came       Moment // when the cylinder came to that place; zero when it was booked there
	Since      Moment // what was read before does not count in its place, of what was said before it
	Undone     Moment
	Slip       bool // taken back as a slip
	Stops      bool // a no-go went with the slip
	Beside     bool // another number within half a point counted when the slip was taken back
	Aside      bool // of a series of the shop that a leader set aside
	AsideAt    Moment
}

// Fill is a fill or top-up. Own is one that only a diver of it reported.
type Fill struct {
	Moment
	Place string
	Own   bool
	Dated bool // At was said with it; else it comes after everything that was said before
}

// Void is a "changed" or "not sure": every reading before it counts no more.
type Void struct {
	Moment
	Place string
}

// Monoxide is a measurement of carbon monoxide, ppm.
type Monoxide struct {
	Moment
	Place string
	PPM   float64
}

// Case is the question: this diver on this dive, with the cylinder in this
// place, at this instant.
type Case struct {
	Diver string
	Place string
	Since Moment // what was read before does not count: it came here then, or was given another label

	FreshFor time.Duration
	All      bool     // every cylinder is analysed again on the boat
	Opened   []Moment // the boat check of the dive
	Kept     Moment   // "stayed with me", the last answer of this place; zero when it was not that
	Start    time.Time
	Now      time.Time
	Used     Moment // when a dive with it that was dived had ended; zero when there was none
	// of what was known to be it when that was said: a label given later answers no question
	UsedAsKnown Moment

	Asked    []Asked // requests for the case's place, the one of now last
	Replan   []gas.Percent
	TellShop float64 // points
}

// Asked is a request and until when it held, in the order of saying; 0 for the
// one of now.
type Asked struct {
	Percent gas.Percent
	Until   int
}

// point is how far two computed values may lie apart and still count as equal.
const point = 1e-9

// over tells whether v is more than limit, with the tolerance that lets an
// exact hit pass.
func over(v, limit float64) bool { return v > limit+point }
