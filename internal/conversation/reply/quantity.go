package reply

import (
	"fmt"

	"gasmuster/internal/gas"
)

// The greatest depth that is accepted anywhere: 100 m.
const deepest = 100

// Depth reads a depth as people type it: "30", "30m", "33,5 m", "110 feet". A
// number without a unit is in unit. The error names the accepted forms.
func Depth(text string, unit gas.Unit) (gas.Depth, error) {
	t, ok := single(text)
	switch {
	case !ok, t.percent, t.unit != noUnit && t.unit != unitMetres && t.unit != unitFeet:
		return gas.Depth{}, fmt.Errorf("depth %q: accepted are 30m, 33.5 m, 110ft, 110 feet", clip(text))
	case t.unit == unitMetres:
		unit = gas.Metres
	case t.unit == unitFeet:
		unit = gas.Feet
	}
	d := gas.Depth{Value: t.value, Unit: unit}
	if !d.Known() || d.DeeperThan(gas.M(deepest)) {
		return gas.Depth{}, fmt.Errorf("depth %q: accepted is more than 0, to 100 m or 328 ft", clip(text))
	}
	return d, nil
}

// Percent reads one percentage from 5 to 100: "32.4", "31,8 %". The error
// names the accepted forms.
func Percent(text string) (gas.Percent, error) {
	t, ok := single(text)
	if !ok || t.unit != noUnit {
		return 0, fmt.Errorf("oxygen %q: accepted is one number, as 32.4 or 31,8 %%", clip(text))
	}
	if t.value < leastPercent || t.value > mostPercent {
		return 0, fmt.Errorf("oxygen %q: accepted is a percentage from 5 to 100, as 32.4", clip(text))
	}
	return gas.Percent(t.value), nil
}

// Minutes reads a time in minutes: "40", "40 min". The error names the
// accepted forms.
func Minutes(text string) (float64, error) {
	t, ok := single(text)
	if !ok || t.percent || t.unit != noUnit && t.unit != unitMinutes || t.value <= 0 || t.value > 600 {
		return 0, fmt.Errorf("time %q: accepted are minutes from 1 to 600, as 40 or 40 min", clip(text))
	}
	return t.value, nil
}

// single is the text's only token, when that is a number.
func single(text string) (token, bool) {
	words := wordsOf("en")
	toks := name(lex(text, Context{}, words), words)
	if len(toks) > 1 && toks[len(toks)-1].kind == kStop {
		toks = toks[:len(toks)-1]
	}
	if len(toks) != 1 || toks[0].kind != kNumber && toks[0].kind != kTwoWays {
		return token{}, false
	}
	return toks[0], true
}
