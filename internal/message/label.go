package message

import "gasmuster/internal/gas"

// Label is what to write on a cylinder: the percentage as measured and the MOD,
// which is of the gas and says nothing of what a diver may do; see
// gas.Policy.OnLabel. Air is AIR with its percentage, and a depth only where
// there is one to keep to.
func Label(p gas.Policy, o2 gas.Percent, mod gas.Depth) Line {
	a := Args{"percent": Percent(o2)}
	key := "label"
	if o2 < gas.EnrichedFrom {
		key = "label.air"
	}
	if mod = p.OnLabel(o2, mod); mod.Known() {
		key, a["mod"] = key+".mod", Limit(mod)
	}
	return Say(key, a)
}
