package message

import "gasmuster/internal/gas"

// Verdict is the verdict's symbol and words, so that none can be mistaken for
// another: ✅ GO; ⚠️ GO, MAX 30 m; ⛔ STOP, NO-GO; ❓ ANALYSE FIRST. A limit
// that is no depth is said as one.
func Verdict(s gas.Status, max gas.Depth) Line { return VerdictWithin(s, max, 0) }

// VerdictWithin is Verdict with a limit in minutes too; 0 for none.
func VerdictWithin(s gas.Status, max gas.Depth, minutes float64) Line {
	key := "verdict." + s.String()
	if s != gas.GoWithLimits {
		return Loud(key, nil)
	}
	switch a := (Args{"depth": Limit(max), "minutes": Minutes(minutes)}); {
	case max.Known() && minutes > 0:
		return Loud(key+".both", a)
	case max.Known():
		return Loud(key, a)
	case minutes > 0:
		return Loud(key+".minutes", a)
	}
	return Loud(key+".other", nil)
}
