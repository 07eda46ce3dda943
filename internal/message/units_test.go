package message

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/gas"
)

// foot is the international foot in metres, exactly (NIST SP 811, appendix B).
const foot = 0.3048

// shown is the number that a reader in these units and this language sees.
func shown(t *rapid.T, v Value, units, tag string) float64 {
	text := New().Line(Say("list.last", Args{"a": v, "b": Code("x")}), Reader{Units: units, Language: tag})
	text = strings.Map(func(r rune) rune {
		switch {
		case r >= '0' && r <= '9', r == '.', r == '-':
			return r
		case r == ',':
			return '.'
		}
		return -1
	}, text)
	n, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return n
}

// Whatever unit and language somebody reads: a depth not to go below is never
// shown deeper than it is, and a planned depth within one unit of what it is.
func TestDepthsAreShownToTheSafeSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		metres := rapid.Float64Range(1, 99).Draw(t, "metres")
		tag := rapid.SampledFrom(Languages()).Draw(t, "language")
		given := gas.M(metres)
		if rapid.Bool().Draw(t, "given in feet") {
			given = gas.Ft(metres / foot)
		}
		for units, unit := range map[string]float64{"m": 1, "ft": foot} {
			if got := shown(t, Limit(given), units, tag) * unit; got > metres+1e-6 {
				t.Errorf("%s, %s: a limit of %v m is shown as %v m", tag, units, metres, got)
			}
			if got := shown(t, Bottom(given), units, tag) * unit; got < metres-0.005 || got >= metres+unit {
				t.Errorf("%s, %s: a bottom at %v m is shown as %v m", tag, units, metres, got)
			}
			if got := shown(t, Planned(given), units, tag) * unit; math.Abs(got-metres) >= unit {
				t.Errorf("%s, %s: a plan of %v m is shown as %v m", tag, units, metres, got)
			}
		}
	})
}

// A plan and a max are shown as they stand to one another in the trip's unit:
// equal ones equal in the other, the deeper deeper.
func TestPlanAndMaxInTheOtherUnit(t *testing.T) {
	for _, trip := range []gas.Unit{gas.Metres, gas.Feet} {
		other := map[gas.Unit]string{gas.Metres: "ft", gas.Feet: "m"}[trip]
		rapid.Check(t, func(t *rapid.T) {
			most := gas.Depth{Value: float64(rapid.IntRange(3, 200).Draw(t, "max")), Unit: trip}
			plan := gas.Depth{Value: most.Value + float64(rapid.IntRange(-20, 20).Draw(t, "plan against it"))/10, Unit: trip}
			p, m := shown(t, Planned(plan), other, "en"), shown(t, LimitBeside(most, plan), other, "en")
			switch {
			case plan == most && p != m, plan.DeeperThan(most) && p < m, most.DeeperThan(plan) && p > m:
				t.Errorf("plan %v and max %v are shown as %v and %v %s", plan, most, p, m, other)
			case plan.DeeperThan(most) && p == m:
				t.Errorf("plan %v and max %v are both shown as %v %s", plan, most, p, other)
			}
		})
	}
}

// A time not to exceed is never shown longer, a partial pressure never lower.
func TestTimesAndPressuresAreShownToTheSafeSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0.2, 200).Draw(t, "value")
		tag := rapid.SampledFrom(Languages()).Draw(t, "language")
		if got := shown(t, Minutes(v), "", tag); got > v+1e-6 {
			t.Errorf("%s: %v min are shown as %v", tag, v, got)
		}
		if got := shown(t, PPO2(gas.PPO2(v/100)), "", tag); got < v/100-1e-6 {
			t.Errorf("%s: %v atm are shown as %v", tag, v/100, got)
		}
	})
}

// Degrees Fahrenheit: 32 and 212 at the two fixed points of the scale, 86 for 30
// (BIPM SI Brochure for Celsius; NIST SP 811, appendix B.9, for the conversion).
func TestTemperatures(t *testing.T) {
	for celsius, want := range map[float64]string{0: "32 °F", 100: "212 °F", 30: "86 °F", 20.5: "68.9 °F", -40: "-40 °F"} {
		if got := New().writer(Reader{Units: "ft"}).value(Celsius(celsius)); got != want {
			t.Errorf("%v °C: got %q, want %q", celsius, got, want)
		}
		if got := New().writer(Reader{Units: "m"}).value(Celsius(celsius)); got != strconv.FormatFloat(celsius, 'f', -1, 64)+
			" °C" {
			t.Errorf("%v °C: got %q", celsius, got)
		}
	}
}
