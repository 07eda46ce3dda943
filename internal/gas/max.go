package gas

import "math"

// named are the depths that the trade takes as equal by name, in metres and in
// feet, as qualification and as a policy's deepest. Common practice, no source.
var named = [...][2]float64{{12, 40}, {18, 60}, {21, 70}, {30, 100}, {40, 130}}

// NamedIn gives a qualification or a policy's deepest depth in unit u: by the
// trade's name where it has one (30 m is 100 ft), else like any limit.
func (d Depth) NamedIn(u Unit) Depth {
	if d.Unit != u {
		for _, n := range named {
			if math.Abs(d.Value-n[d.Unit]) < exactly {
				return Depth{n[u], u}
			}
		}
	}
	return d.LimitIn(u)
}

// Max is the diver's max: the one depth that may be named to or about a diver,
// in whole units u. It is the shallowest of the label's MOD, the qualification,
// the policy's deepest and the limits of leaders; what is not known, or no depth, counts for
// nothing, and the zero depth is that nothing is known.
func Max(u Unit, mod, qualification, deepest Depth, limits ...Depth) Depth {
	shallowest := Depth{Unit: u}
	take := func(d Depth, in func(Depth, Unit) Depth) {
		if d.valid() {
			shallowest = shallower(shallowest, in(d, u))
		}
	}
	take(mod, Depth.LimitIn)
	take(qualification, Depth.NamedIn)
	take(deepest, Depth.NamedIn)
	for _, d := range limits {
		take(d, Depth.LimitIn)
	}
	if !shallowest.Known() {
		return Depth{}
	}
	return shallowest
}

// shallower is the shallower of two depths of one unit, ignoring unknown ones.
func shallower(a, b Depth) Depth {
	if !a.Known() || (b.Known() && a.DeeperThan(b)) {
		return b
	}
	return a
}

// shorter is the shorter of two times in minutes, ignoring zeroes.
func shorter(a, b float64) float64 {
	if a <= 0 || (b > 0 && b < a) {
		return b
	}
	return a
}
