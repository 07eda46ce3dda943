package judge

import (
	"math"
	"testing"

	"gasmuster/internal/gas"
)

// No-stop minutes of reference/README.md, computed independently with these definitions; here whole,
// rounded down.
func TestNoStop(t *testing.T) {
	for _, c := range []struct {
		name           string
		o2, metres, gf float64
		plan           Dive
		want           int
	}{
		{"air 18 m", 21, 18, 100, Dive{}, 62},
		{"air 30 m", 21, 30, 100, Dive{}, 20},
		{"32 % 18 m", 32, 18, 100, Dive{}, 110},
		{"32 % 30 m", 32, 30, 100, Dive{}, 32},
		{"36 % 27 m", 36, 27, 100, Dive{}, 50},
		{"GF 85 air 30 m", 21, 30, 85, Dive{}, 15},
		{"GF 85 32 % 30 m", 32, 30, 85, Dive{}, 24},
		{"at 500 m air 30 m", 21, 30, 100, Dive{Altitude: 500}, 19},
		{"fresh air 30 m", 21, 30, 100, Dive{Water: gas.Fresh}, 21},
		{"shallow has no end", 36, 6, 85, Dive{}, unlimited},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := seaOf(c.plan)
			if got := startOfDay(w).noStop(w, c.o2, c.metres, c.gf); got != c.want {
				t.Errorf("got %d, want %d", got, c.want)
			}
		})
	}
}

// a + 1/b at 1 bar is the published surfacing M-value: reference/zhl16c_surfacing_m.csv (Baker 1998, from
// memory there), in metres of sea water of 0.1 bar, to 0.1.
func TestCoefficients(t *testing.T) {
	published := [16]float64{29.6, 25.4, 22.5, 20.3, 18.5, 16.9, 15.9, 15.2, 14.7, 14.3, 14.0, 13.7, 13.4, 13.1,
		12.9, 12.7}
	for i, c := range zhl16c {
		if got := 10 * (c[1] + 1/c[2]); math.Abs(got-published[i]) > 0.1 {
			t.Errorf("compartment %d: got %.2f, want %.1f", i+1, got, published[i])
		}
	}
}
