package message

import (
	"math"

	"gasmuster/internal/gas"
)

// Label is what to write on a cylinder: the percentage as measured and the MOD,
// which is of the gas and says nothing of what a diver may do; see
// gas.Policy.OnLabel. Air is AIR with its percentage, and a depth only where
// there is one to keep to.
func Label(p gas.Policy, o2 gas.Percent, mod gas.Depth) Line {
	shown := o2
	if hundredths := float64(o2) * 100; math.Abs(hundredths-math.Round(hundredths)) > lastDigit {
		shown = gas.Percent(math.Ceil(float64(o2)*10-lastDigit) / 10) // reckoned from an air point: written no leaner
	}
	a := Args{"percent": Percent(shown)}
	key := "label"
	if o2 < gas.EnrichedFrom {
		key = "label.air"
	}
	if mod = p.OnLabel(o2, mod); mod.Known() {
		key, a["mod"] = key+".mod", Limit(mod)
	}
	return Say(key, a)
}
