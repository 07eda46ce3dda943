package gas

import (
	"math"
	"testing"
)

// TestOxygenOfHumidAir: the worked value of the reference notes
// (testdata/gas/SOURCES.md), 20.25 % at 30 C and 80 %, and saturation
// pressures of water in common tables (23.37 hPa at 20 C, 6.11 at 0; from
// memory).
func TestOxygenOfHumidAir(t *testing.T) {
	for _, c := range []struct {
		name     string
		w        Weather
		altitude float64
		want     Percent
	}{
		{"30 C, 80 %", Weather{30, 80, true}, 0, 20.25},
		{"dry", Weather{30, 0, true}, 0, 20.945},
		{"20 C, saturated", Weather{20, 100, true}, 0, 20.945 * (1 - 23.37/1013.25)},
		{"0 C, saturated", Weather{0, 100, true}, 0, 20.945 * (1 - 6.11/1013.25)},
		{"30 C, 80 % at 1500 m", Weather{30, 80, true}, 1500, 20.945 * (1 - 33.87/845.6)},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.w.Oxygen(c.altitude); math.Abs(float64(got-c.want)) > 0.006 {
				t.Errorf("got %.4f, want %.4f", got, c.want)
			}
		})
	}
	for _, w := range []Weather{{30, 80, false}, {30, 101, true}, {30, -1, true}, {math.NaN(), 80, true}, {99, 80, true}} {
		if got := w.Oxygen(0); got != 0 {
			t.Errorf("%+v: got %v, want none", w, got)
		}
	}
}
