package message

import "gasmuster/internal/gas"

// Verdict is the verdict's symbol and words, so that none can be mistaken for
// another: ✅ GO; ⚠️ GO, MAX 30 m; ⛔ STOP, NO-GO; ❓ ANALYSE FIRST. A limit
// that is no depth is said as one.
func Verdict(s gas.Status, max gas.Depth) Line {
	key := "verdict." + s.String()
	if s != gas.GoWithLimits {
		return Loud(key, nil)
	}
	if !max.Known() {
		return Loud(key+".other", nil)
	}
	return Loud(key, Args{"depth": Limit(max)})
}
