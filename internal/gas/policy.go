package gas

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// BoatCheck says who analyses again on the boat, before set-up.
type BoatCheck string

// The two boat-check policies.
const (
	BoatCheckAll        BoatCheck = "all"        // every cylinder again
	BoatCheckUnattended BoatCheck = "unattended" // those out of sight, relabelled, topped up, or read over four hours ago
)

// Policy is what a trip holds its gas against. Every field has hard bounds
// (Validate); the zero value is not usable, start from DefaultPolicy.
type Policy struct {
	PPO2      PPO2      `json:"ppo2"`            // working limit, atm: 1.0 to 1.4
	PPO2Max   PPO2      `json:"ppo2_max"`        // contingency limit, atm: PPO2 to 1.6
	MaxO2     Percent   `json:"max_o2"`          // richest gas this check covers: 22 to 40
	Tolerance float64   `json:"tolerance"`       // points between asked and measured that are let pass: 0.1 to 1.0
	TellShop  float64   `json:"tell_shop"`       // points from which leader and diver must plan again: Tolerance to 2.0
	GF        float64   `json:"gf"`              // gradient factor high, percent: 30 to 95
	FreshFor  float64   `json:"fresh_for_hours"` // hours a reading counts before the dive's start: 1 to 24
	BoatCheck BoatCheck `json:"boat_check"`
	MaxCO     float64   `json:"max_co"` // carbon monoxide, ppm: more than 0, to 10
	// Deepest is the deepest depth that anybody may plan or be named: 18 to 60 m,
	// in the trip's unit. Zero is not given, for a check without a trip.
	Deepest Depth `json:"deepest,omitzero"`
	// OxygenCredit lets the single-exposure CNS clock fall at the surface with
	// a half-time of 90 minutes: a custom of the trade, without a published
	// source. The default is no credit.
	OxygenCredit bool `json:"oxygen_credit,omitempty"`
}

// DefaultPolicy is what a trip in units u gets that says nothing: 1.4 and 1.6 atm
// (NOAA), 40 %, 1.0 point (EN 12021:2014), 5 ppm CO (EN 12021:2014), 40 m or 130 ft
// (common practice, no source).
func DefaultPolicy(u Unit) Policy {
	return Policy{PPO2: 1.4, PPO2Max: 1.6, MaxO2: 40, Tolerance: 1, TellShop: 2, GF: 85,
		FreshFor: 24, BoatCheck: BoatCheckUnattended, MaxCO: 5, Deepest: M(40).NamedIn(u)}
}

// Fault is one value that can't be used.
type Fault struct {
	Field       string // its name in JSON
	Value       string // as given
	Least, Most string // what would be: from Least to Most, each with its unit where it needs one
	Above       bool   // Least itself would not be
	Words       string // or one of these
	Unit        string
}

// Error names field, value and what is accepted.
func (f Fault) Error() string {
	return fmt.Sprintf("%s is %s; accepted: %s", f.Field, f.Value, f.accepted())
}

func (f Fault) accepted() string {
	from := "from"
	switch {
	case f.Words != "":
		return f.Words
	case f.Above:
		from = "more than"
	}
	return strings.TrimSpace(fmt.Sprintf("%s %s to %s %s", from, f.Least, f.Most, f.Unit))
}

// bound is the range of one number of a policy.
type bound struct {
	field   string
	value   func(*Policy) float64
	lo, hi  func(*Policy) float64
	openLow bool // lo itself is not accepted
	unit    string
}

func fixed(v float64) func(*Policy) float64 { return func(*Policy) float64 { return v } }

func ppo2Of(p *Policy) float64      { return float64(p.PPO2) }
func toleranceOf(p *Policy) float64 { return p.Tolerance }

// bounds are the hard bounds of every number: nothing, not even a leader's
// consent, goes beyond them. Of each, the larger value is the looser one.
var bounds = []bound{
	{field: "ppo2", value: ppo2Of, lo: fixed(1.0), hi: fixed(1.4), unit: "atm"},
	{field: "ppo2_max", value: func(p *Policy) float64 { return float64(p.PPO2Max) }, lo: ppo2Of, hi: fixed(1.6),
		unit: "atm"},
	{field: "max_o2", value: func(p *Policy) float64 { return float64(p.MaxO2) }, lo: fixed(22), hi: fixed(40),
		unit: "percent"},
	{field: "tolerance", value: toleranceOf, lo: fixed(0.1), hi: fixed(1.0), unit: "points"},
	{field: "tell_shop", value: func(p *Policy) float64 { return p.TellShop }, lo: toleranceOf, hi: fixed(2.0),
		unit: "points"},
	{field: "gf", value: func(p *Policy) float64 { return p.GF }, lo: fixed(30), hi: fixed(95), unit: "percent"},
	{field: "fresh_for_hours", value: func(p *Policy) float64 { return p.FreshFor }, lo: fixed(1), hi: fixed(24),
		unit: "hours"},
	{field: "max_co", value: func(p *Policy) float64 { return p.MaxCO }, lo: fixed(0), hi: fixed(10), openLow: true,
		unit: "ppm"},
}

// holds tells whether the policy's value lies within the bound. Comparisons
// are written so that NaN doesn't.
func (b bound) holds(p *Policy) bool {
	v, lo, hi := b.value(p), b.lo(p), b.hi(p)
	if b.openLow {
		return v > lo && v <= hi
	}
	return v >= lo && v <= hi
}

func (b bound) fault(p *Policy) Fault {
	return Fault{Field: b.field, Value: number(b.value(p)), Least: number(b.lo(p)), Most: number(b.hi(p)),
		Above: b.openLow, Unit: b.unit}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// In is p for a trip in units u, with the deepest depth in them; the default when p is nil.
func (p *Policy) In(u Unit) Policy {
	if p == nil {
		return DefaultPolicy(u)
	}
	out := *p
	out.Deepest = p.Deepest.NamedIn(u)
	return out
}

// Faults are all values outside their hard bounds, nil when there are none.
func (p Policy) Faults() []Fault {
	var faults []Fault
	for _, b := range bounds {
		if !b.holds(&p) {
			faults = append(faults, b.fault(&p))
		}
	}
	if !p.BoatCheck.valid() {
		faults = append(faults, Fault{Field: "boat_check", Value: strconv.Quote(string(p.BoatCheck)),
			Words: fmt.Sprintf("%q or %q", BoatCheckAll, BoatCheckUnattended)})
	}
	if !p.deepestHolds() {
		faults = append(faults, Fault{Field: "deepest", Value: p.Deepest.String(), Least: "18 m (60 ft)",
			Most: "60 m (196 ft)"})
	}
	return faults
}

// deepestHolds tells whether the deepest depth is not given or within its bounds.
func (p *Policy) deepestHolds() bool {
	m := p.Deepest.Metres()
	return p.Deepest == Depth{} || (p.Deepest.Unit <= Feet && m >= 18-exactly && m <= 60+exactly)
}

func (b BoatCheck) valid() bool { return b == BoatCheckAll || b == BoatCheckUnattended }

// Validate is nil, or an error that joins every Fault.
func (p Policy) Validate() error {
	var errs []error
	for _, f := range p.Faults() {
		errs = append(errs, f)
	}
	return errors.Join(errs...)
}

// usable is Validate without the words, for the inside of a check.
func (p *Policy) usable() bool {
	for i := range bounds {
		if !bounds[i].holds(p) {
			return false
		}
	}
	return p.BoatCheck.valid() && p.deepestHolds()
}

// Values are all fields by their JSON names, as text.
func (p Policy) Values() [][2]string {
	values := make([][2]string, 0, len(bounds)+3)
	for _, b := range bounds {
		values = append(values, [2]string{b.field, number(b.value(&p))})
	}
	return append(values, [2]string{"boat_check", string(p.BoatCheck)},
		[2]string{"oxygen_credit", strconv.FormatBool(p.OxygenCredit)},
		[2]string{"deepest", p.Deepest.String()})
}

// Changed are the JSON names of the fields that differ from DefaultPolicy, in
// their order. Boards and records show them.
func (p Policy) Changed() []string {
	var names []string
	def := DefaultPolicy(p.Deepest.Unit)
	for _, b := range bounds {
		if b.value(&p) != b.value(&def) {
			names = append(names, b.field)
		}
	}
	if p.BoatCheck != def.BoatCheck {
		names = append(names, "boat_check")
	}
	if p.OxygenCredit {
		names = append(names, "oxygen_credit")
	}
	if p.Deepest.Known() && p.Deepest != def.Deepest {
		names = append(names, "deepest")
	}
	return names
}

// LooserThan are the JSON names of the fields in which p allows more than was.
// Loosening after the first reading needs the leader's consent.
func (p Policy) LooserThan(was Policy) []string {
	var names []string
	for _, b := range bounds {
		if b.value(&p) > b.value(&was) {
			names = append(names, b.field)
		}
	}
	if was.BoatCheck == BoatCheckAll && p.BoatCheck != BoatCheckAll {
		names = append(names, "boat_check")
	}
	if p.OxygenCredit && !was.OxygenCredit {
		names = append(names, "oxygen_credit")
	}
	if p.Deepest.DeeperThan(was.Deepest) || (!p.Deepest.Known() && was.Deepest.Known()) {
		names = append(names, "deepest")
	}
	return names
}

// Stricter is p where it is stricter than was, and was where p is looser.
func (p Policy) Stricter(was Policy) Policy {
	p.PPO2, p.PPO2Max, p.MaxO2 = min(p.PPO2, was.PPO2), min(p.PPO2Max, was.PPO2Max), min(p.MaxO2, was.MaxO2)
	p.Tolerance, p.TellShop, p.GF = min(p.Tolerance, was.Tolerance), min(p.TellShop, was.TellShop), min(p.GF, was.GF)
	p.FreshFor, p.MaxCO = min(p.FreshFor, was.FreshFor), min(p.MaxCO, was.MaxCO)
	if was.BoatCheck == BoatCheckAll {
		p.BoatCheck = BoatCheckAll
	}
	p.OxygenCredit = p.OxygenCredit && was.OxygenCredit
	if !p.Deepest.Known() || p.Deepest.DeeperThan(was.Deepest) {
		p.Deepest = was.Deepest
	}
	return p
}
