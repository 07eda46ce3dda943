package gas

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
	GF        float64   `json:"gf"`              // gradient factor high, percent: 30 to 100
	FreshFor  float64   `json:"fresh_for_hours"` // hours a reading counts before the dive's start: 1 to 24
	BoatCheck BoatCheck `json:"boat_check"`
	MaxCO     float64   `json:"max_co"` // carbon monoxide, ppm: more than 0, to 10
}

// DefaultPolicy is what a trip gets that says nothing: 1.4 and 1.6 atm (NOAA),
// 40 %, 1.0 point (EN 12021:2014), 5 ppm CO (EN 12021:2014).
func DefaultPolicy() Policy {
	return Policy{PPO2: 1.4, PPO2Max: 1.6, MaxO2: 40, Tolerance: 1, TellShop: 2, GF: 85,
		FreshFor: 24, BoatCheck: BoatCheckUnattended, MaxCO: 5}
}
