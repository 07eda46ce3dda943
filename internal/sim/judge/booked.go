package judge

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Booked is a trip as it was first booked. Depths are in the trip's units.
type Booked struct {
	Units          gas.Unit
	Departs        time.Time
	FirstDiveAfter float64 // minutes
	Dives          []Dive  // the first is dive 1
	Policy         Policy
	People         []Person // in the order of the board
	Invite         bool     // the open invite is open, as of a trip that a host starts
}

// Dive is the plan of one dive, in the trip's units and in minutes.
type Dive struct {
	Site       string
	Depth      float64 // required
	Bottom     float64 // the deepest point reachable; 0 when not given
	Bottomless bool    // bottom "none"
	Minutes    float64 // from leaving the surface until starting up; required
	Interval   float64 // at the surface before this dive; 0 for the first
	Water      gas.Water
	Altitude   float64 // metres
}

// BoatCheck is what the policy asks for on the boat.
type BoatCheck string

// The two boat checks: all cylinders again, or those that were out of sight.
const (
	BoatCheckUnattended BoatCheck = "unattended"
	BoatCheckAll        BoatCheck = "all"
)

// Policy is the policy of a trip; Deepest is in the trip's units.
type Policy struct {
	PPO2, PPO2Max float64 // atm
	MaxO2         float64 // percent
	Deepest       float64
	MaxCO         float64 // ppm
	Tolerance     float64 // points
	TellShop      float64 // points
	GF            float64 // percent
	FreshFor      float64 // hours
	BoatCheck     BoatCheck
	OxygenCredit  bool
}

// DefaultPolicy is the policy of a trip that names none (product.md, "The check").
func DefaultPolicy(u gas.Unit) Policy {
	p := Policy{PPO2: 1.4, PPO2Max: 1.6, MaxO2: 40, Deepest: 40, MaxCO: 5, Tolerance: 1, TellShop: 2,
		GF: 85, FreshFor: 24, BoatCheck: BoatCheckUnattended}
	if u == gas.Feet {
		p.Deepest = 130
	}
	return p
}

// Card is what is known of a diver's card for enriched air.
type Card string

// The three cards; anything else weighs as unseen.
const (
	CardUnseen Card = "unseen"
	CardSeen   Card = "seen"
	CardNone   Card = "none"
)

// Person is somebody of the trip. A leader or a crew member dives when they have
// a cylinder or are set down as diver.
type Person struct {
	ID            roster.PersonID
	Leader, Crew  bool
	Diver         bool // booked as diver
	Card          Card
	Qualification gas.Depth // zero when not known
	Team          string
	Outside       string // a reason, for who is not checked here
	Cylinders     []Cylinder
}

// Cylinder is a place of a diver for a cylinder on a dive; which cylinder stands
// there is told by its label and may change.
type Cylinder struct {
	ID    roster.CylinderID
	Label string  // empty until given
	Asked float64 // percent; 21 is air
	Dive  int     // 1, 2, ...
}
