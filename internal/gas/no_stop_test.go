package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestNoStopTime checks against the no-stop minutes of the reference notes
// (testdata/gas/SOURCES.md), computed independently from the same definition,
// to 0.02 min.
func TestNoStopTime(t *testing.T) {
	for _, c := range []struct {
		name  string
		place Place
		o2    Percent
		d     Depth
		gf    float64
		want  float64
	}{
		{"air 18 m", Place{}, 21, M(18), 100, 62.38},
		{"air 30 m", Place{}, 21, M(30), 100, 20.62},
		{"32 18 m", Place{}, 32, M(18), 100, 110.28},
		{"32 30 m", Place{}, 32, M(30), 100, 32.62},
		{"36 27 m", Place{}, 36, M(27), 100, 50.42},
		{"air 30 m, GF 85", Place{}, 21, M(30), 85, 15.62},
		{"32 30 m, GF 85", Place{}, 32, M(30), 85, 24.30},
		{"air 30 m at 500 m", Place{Altitude: 500}, 21, M(30), 100, 19.69},
		{"air 30 m of fresh water", Place{Water: Fresh}, 21, M(30), 100, 21.68},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := c.place.NoStopTime(c.o2, c.d, c.gf)
			if got.State != NoStopLimited || math.Abs(got.Minutes-c.want) > 0.02 {
				t.Errorf("got %v %.3f, want %.2f min", got.State, got.Minutes, c.want)
			}
		})
	}
}

// slowNoStop is an integration by small steps that shares nothing with the
// closed form but the table: it walks down, stays, and at each step tries the
// ascent, looking at the limit at every depth on the way.
func slowNoStop(start tissues, w water, nitrogen, metres, gf, step float64) NoStop {
	load := func(t *tissues, depth, dt float64) {
		alv := (w.surface + w.perMetre*depth - 0.0627) * nitrogen
		for i, c := range zhl16c {
			k := math.Ln2 / c[0]
			// Midpoint rule for dP/dt = k (alv - P).
			mid := t[i] + k*(alv-t[i])*dt/2
			t[i] += k * (alv - mid) * dt
		}
	}
	breaks := func(t *tissues, depth float64) bool {
		amb := w.surface + w.perMetre*depth
		for i, c := range zhl16c {
			if t[i] > amb+gf*(c[1]+amb/c[2]-amb) {
				return true
			}
		}
		return false
	}
	ascends := func(t tissues) bool {
		n := math.Ceil(metres / 9 / step)
		dt := metres / 9 / n
		for j := range int(n) {
			from, to := metres*(1-float64(j)/n), metres*(1-float64(j+1)/n)
			load(&t, (from+to)/2, dt)
			if breaks(&t, to) {
				return false
			}
		}
		return true
	}
	now := start
	n := math.Ceil(metres / 18 / step)
	dt := metres / 18 / n
	for j := range int(n) {
		load(&now, metres*(float64(j)+0.5)/n, dt)
	}
	if !ascends(now) {
		return NoStop{State: NoStopNone}
	}
	// Whole strides first, then single steps, so that an ascent is tried
	// hundreds of times and not hundreds of thousands.
	minutes := metres / 18
	for stride := 4096.0; stride >= 1; stride /= 8 {
		for {
			next := now
			for range int(stride) {
				load(&next, metres, step)
			}
			if !ascends(next) {
				break
			}
			if now, minutes = next, minutes+stride*step; minutes > 2000 {
				return NoStop{State: NoStopUnlimited}
			}
		}
	}
	return NoStop{State: NoStopLimited, Minutes: minutes}
}

// TestNoStopTimeAgainstAnIntegration: the closed form agrees with a slow
// integration of another kind within two of its steps, at two step sizes, so
// that the integration is seen to converge.
func TestNoStopTimeAgainstAnIntegration(t *testing.T) {
	for _, c := range []struct {
		name  string
		place Place
		o2    Percent
		m, gf float64
	}{
		{"air 18 m", Place{}, 21, 18, 0.85},
		{"air 40 m", Place{}, 21, 40, 0.85},
		{"32 30 m", Place{}, 32, 30, 1},
		{"36 24 m", Place{}, 36, 24, 0.7},
		{"28 at 1500 m in a lake", Place{Water: Fresh, Altitude: 1500}, 28, 25, 0.85},
		{"air 55 m, GF 30", Place{}, 21, 55, 0.3},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := c.place.physical()
			start := saturated(w.surface)
			got := start.noStop(w, 1-c.o2.Fraction(), c.m, c.gf)
			for _, step := range []float64{0.02, 0.005} {
				want := slowNoStop(start, w, 1-c.o2.Fraction(), c.m, c.gf, step)
				if got.State != want.State || math.Abs(got.Minutes-want.Minutes) > 2*step {
					t.Errorf("step %v: got %v %.4f, want %v %.4f", step, got.State, got.Minutes, want.State, want.Minutes)
				}
			}
		})
	}
}

// TestNoStopTimeWithResidualNitrogen does the same after a first dive and an
// hour at the surface.
func TestNoStopTimeWithResidualNitrogen(t *testing.T) {
	w := Place{}.physical()
	for _, second := range []float64{10, 18, 30} {
		now := saturated(w.surface)
		now.dive(w, 0.79, 30, 15)
		now.rest(w, 60)
		got := now.noStop(w, 0.68, second, 0.85)
		want := slowNoStop(now, w, 0.68, second, 0.85, 0.01)
		if got.State != want.State || math.Abs(got.Minutes-want.Minutes) > 0.02 {
			t.Errorf("%v m: got %v %.4f, want %v %.4f", second, got.State, got.Minutes, want.State, want.Minutes)
		}
		fresh := saturated(w.surface)
		if first := fresh.noStop(w, 0.68, second, 0.85); first.Minutes <= got.Minutes {
			t.Errorf("%v m: %.2f min after a dive, %.2f before", second, got.Minutes, first.Minutes)
		}
	}
}

// TestSurfacingLimits checks a + 1/b against the published surfacing M-values
// of testdata/gas/zhl16c_surfacing_m.csv (Baker 1998), 10 msw = 1 bar.
func TestSurfacingLimits(t *testing.T) {
	for i, row := range table(t, "zhl16c_surfacing_m.csv") {
		got := (zhl16c[i][1] + 1/zhl16c[i][2]) * 10
		if want := num(t, row["m0_msw"]); math.Abs(got-want) > 0.1 {
			t.Errorf("compartment %d: got %.2f msw, want %v", i+1, got, want)
		}
	}
}

// TestCompartmentsAreThoseOfTheTable checks testdata/gas/zhl16c_nitrogen.csv.
func TestCompartmentsAreThoseOfTheTable(t *testing.T) {
	for i, row := range table(t, "zhl16c_nitrogen.csv") {
		want := [3]float64{num(t, row["half_time_min"]), num(t, row["a_bar"]), num(t, row["b"])}
		if zhl16c[i] != want {
			t.Errorf("compartment %d: got %v, want %v", i+1, zhl16c[i], want)
		}
	}
}

// TestSaturatedTissuesStayAsTheyAre: at the surface, breathing air, nothing
// moves; and a long stay comes to rest where the Haldane form says.
func TestSaturatedTissuesStayAsTheyAre(t *testing.T) {
	w := Place{Altitude: 800}.physical()
	now := saturated(w.surface)
	now.rest(w, 1e4)
	if want := saturated(w.surface); now != want {
		t.Errorf("got %v, want %v", now, want)
	}
	now.stay(3, 1e6)
	for i := range now {
		if math.Abs(now[i]-3) > 1e-9 {
			t.Errorf("compartment %d: got %v, want 3 bar", i+1, now[i])
		}
	}
}

// ends is the last minute that a no-stop state stands for.
func ends(n NoStop) float64 {
	switch n.State {
	case NoStopUnlimited:
		return math.Inf(1)
	case NoStopLimited:
		return n.Minutes
	default:
		return 0
	}
}

func TestNoStopTimeIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Place{Water: rapid.SampledFrom([]Water{Salt, Fresh}).Draw(t, "water"),
			Altitude: rapid.Float64Range(0, 3000).Draw(t, "altitude")}
		shallow := rapid.Float64Range(1, 90).Draw(t, "shallow")
		deep := rapid.Float64Range(shallow, 90).Draw(t, "deep")
		lean := Percent(rapid.Float64Range(16, 50).Draw(t, "lean"))
		rich := Percent(rapid.Float64Range(float64(lean), 50).Draw(t, "rich"))
		strict := rapid.Float64Range(30, 100).Draw(t, "strict")
		loose := rapid.Float64Range(strict, 100).Draw(t, "loose")
		at := func(o2 Percent, m, gf float64) float64 { return ends(p.NoStopTime(o2, M(m), gf)) + 1e-9 }
		if at(lean, deep, strict) > at(lean, shallow, strict)+1e-6 {
			t.Fatalf("deeper lasts longer: %v m %v, %v m %v", shallow, at(lean, shallow, strict), deep, at(lean, deep, strict))
		}
		if at(lean, deep, strict) > at(rich, deep, strict)+1e-6 {
			t.Fatalf("leaner lasts longer: %v and %v", lean, rich)
		}
		if at(lean, deep, strict) > at(lean, deep, loose)+1e-6 {
			t.Fatalf("stricter lasts longer: %v and %v", strict, loose)
		}
	})
}

func TestNoStopTimeOfNothing(t *testing.T) {
	for _, got := range []NoStop{
		Place{}.NoStopTime(0, M(30), 85), Place{}.NoStopTime(32, Depth{}, 85), Place{}.NoStopTime(32, M(30), 0),
		Place{}.NoStopTime(32, M(math.NaN()), 85), Place{Altitude: 9000}.NoStopTime(32, M(30), 85),
	} {
		if got != (NoStop{}) {
			t.Errorf("got %+v, want none computed", got)
		}
	}
	if got := (Place{}).NoStopTime(32, M(3), 85); got.State != NoStopUnlimited {
		t.Errorf("3 m: got %+v, want unlimited", got)
	}
}

func BenchmarkNoStopTime(b *testing.B) {
	w := Place{}.physical()
	t := saturated(w.surface)
	b.ReportAllocs()
	for b.Loop() {
		_ = t.noStop(w, 0.68, 30, 0.85)
	}
}
