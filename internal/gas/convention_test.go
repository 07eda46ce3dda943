package gas

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// table reads a reference table; its source stands in the file's first line.
func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "gas", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, v := range row {
			m[rows[0][i]] = v
		}
		out = append(out, m)
	}
	return out
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func unitOf(t testing.TB, s string) Unit {
	t.Helper()
	var u Unit
	if err := u.UnmarshalText([]byte(s)); err != nil {
		t.Fatal(err)
	}
	return u
}

// TestMOD checks against testdata/gas/mod.csv, whose first line says which
// values are common practice and which are computed from the formula.
func TestMOD(t *testing.T) {
	for _, row := range table(t, "mod.csv") {
		u := unitOf(t, row["unit"])
		name := row["o2_percent"] + " at " + row["ppo2"] + " in " + row["unit"]
		t.Run(name, func(t *testing.T) {
			got := Place{Unit: u}.MOD(Percent(num(t, row["o2_percent"])), PPO2(num(t, row["ppo2"])))
			if want := num(t, row["exact"]); math.Abs(got.Value-want) > 0.005 || got.Unit != u {
				t.Errorf("exact: got %v, want %v", got, want)
			}
			if want := (Depth{num(t, row["whole"]), u}); got.Floor() != want {
				t.Errorf("whole: got %v, want %v", got.Floor(), want)
			}
		})
	}
}

// TestEAD checks against testdata/gas/ead.csv: published values are whole, so
// they bind to half a unit; the exact ones are those of the file's first line.
func TestEAD(t *testing.T) {
	exact := []float64{49.63, 19.97, 66.65}
	for i, row := range table(t, "ead.csv") {
		u := unitOf(t, row["unit"])
		got := Place{Unit: u}.EAD(Percent(num(t, row["o2_percent"])), Depth{num(t, row["depth"]), u})
		if math.Abs(got.Value-num(t, row["ead_published"])) > 0.5 || math.Abs(got.Value-exact[i]) > 0.005 {
			t.Errorf("%s %% at %s %s: got %v, want %v", row["o2_percent"], row["depth"], u, got, exact[i])
		}
	}
}

func TestEADIsNeverAboveTheSurface(t *testing.T) {
	if got := (Place{}).EAD(40, M(2)); got != M(0) {
		t.Errorf("got %v, want 0 m", got)
	}
}

// TestAirPressure checks against testdata/gas/isa_pressure.csv (ISO 2533),
// given to four places.
func TestAirPressure(t *testing.T) {
	for _, row := range table(t, "isa_pressure.csv") {
		got, want := AirPressure(num(t, row["altitude_m"])), num(t, row["pressure_bar"])
		if math.Abs(got-want) > 0.00005+1e-9 {
			t.Errorf("%s m: got %.5f bar, want %v", row["altitude_m"], got, want)
		}
	}
}

func TestPPO2(t *testing.T) {
	for _, c := range []struct {
		name  string
		place Place
		o2    Percent
		d     Depth
		want  PPO2
	}{
		{"36 at 110 ft", Place{Unit: Feet}, 36, Ft(110), 1.56},            // 0.36 * (1 + 110/33)
		{"36 at 33.5 m", Place{}, 36, M(33.5), 1.566},                     // 0.36 * 4.35
		{"32 at 34 ft of fresh water", fresh(Feet), 32, Ft(34), 0.64},     // 2 atm
		{"32 at 10.3 m of fresh water", fresh(Metres), 32, M(10.3), 0.64}, // 2 atm
		{"air at the surface of 1500 m", Place{Altitude: 1500}, 21, M(0), PPO2(0.21 * 0.8456 / 1.01325)},
		{"feet on a trip in metres", Place{}, 32, Ft(100), PPO2(0.32 * (1 + 3.048))},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.place.PPO2(c.o2, c.d); math.Abs(float64(got-c.want)) > 1e-5 {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func fresh(u Unit) Place { return Place{Unit: u, Water: Fresh} }

// TestBestMix: the richest whole percentage that fits, by the same formula
// turned round; 39.9999 is 40.
func TestBestMix(t *testing.T) {
	for _, c := range []struct {
		name string
		p    Place
		d    Depth
		most Percent
		want Percent
	}{
		{"33.5 m", Place{}, M(33.5), 40, 32},
		{"110 ft", Place{Unit: Feet}, Ft(110), 40, 32},
		{"30 m is exactly 35", Place{}, M(30), 40, 35},
		{"99 ft is exactly 35", Place{Unit: Feet}, Ft(99), 40, 35},
		{"25 m is exactly 40", Place{}, M(25), 40, 40},
		{"never above the most", Place{}, M(10), 40, 40},
		{"nor above a stricter most", Place{}, M(10), 36, 36},
		{"60 m allows not even air", Place{}, M(60), 40, 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.p.BestMix(c.d, 1.4, c.most); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func TestMODOfNothingIsNoDepth(t *testing.T) {
	for _, o2 := range []Percent{0, -1, Percent(math.NaN())} {
		if got := (Place{}).MOD(o2, 1.4); got.Known() {
			t.Errorf("%v %%: got %v, want none", o2, got)
		}
	}
	if got := (Place{}).MOD(5e-324, 1.4); got != M(deepest) {
		t.Errorf("got %v, want the end of all depths", got)
	}
}
