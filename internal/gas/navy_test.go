package gas

import (
	"testing"

	"pgregory.net/rapid"
)

// TestNavyTable checks testdata/gas/navy_no_stop.csv (US Navy Diving Manual,
// Rev 7, Table 9-7) row by row, with air at the row's depth, where the EAD is
// the depth itself.
func TestNavyTable(t *testing.T) {
	rows := table(t, "navy_no_stop.csv")
	if len(rows) != len(navyTable) {
		t.Fatalf("%d rows, want %d", len(navyTable), len(rows))
	}
	for _, row := range rows {
		want := NoStop{State: NoStopUnlimited}
		if row["no_stop_min"] != "" {
			want = NoStop{State: NoStopLimited, Minutes: num(t, row["no_stop_min"])}
		}
		if got := (Place{Unit: Feet}).NavyNoStop(21, Ft(num(t, row["depth_fsw"]))); got != want {
			t.Errorf("%s fsw: got %+v, want %+v", row["depth_fsw"], got, want)
		}
	}
}

func TestNavyNoStop(t *testing.T) {
	for _, c := range []struct {
		name string
		p    Place
		o2   Percent
		d    Depth
		want NoStop
	}{
		{"between two rows the next greater", Place{Unit: Feet}, 21, Ft(61), NoStop{NoStopLimited, 48}},
		// Rev 4, par. 10-2: 50 fsw
		{"32 at 63 ft has an EAD of 49.6", Place{Unit: Feet}, 32, Ft(63), NoStop{NoStopLimited, 92}},
		{"32 at 30 m has an EAD of 24.4 m, 80.2 ft", Place{}, 32, M(30), NoStop{NoStopLimited, 33}},
		{"deeper than the table", Place{Unit: Feet}, 21, Ft(191), NoStop{State: NoStopNone}},
		{"off sea level", Place{Unit: Feet, Altitude: 300}, 21, Ft(60), NoStop{State: NoStopNone}},
		{"an EAD at the surface", Place{Unit: Feet}, 40, Ft(8), NoStop{State: NoStopUnlimited}},
		{"no gas", Place{}, 0, M(30), NoStop{State: NoStopNone}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.p.NavyNoStop(c.o2, c.d); got != c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
}

// TestBothTablesAgreeInOrder: for 18 to 40 m and 21 to 40 %, by either way a
// richer mix never has less time and a deeper dive never more.
func TestBothTablesAgreeInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shallow := float64(rapid.IntRange(180, 400).Draw(t, "shallow")) / 10
		deep := float64(rapid.IntRange(int(shallow*10), 400).Draw(t, "deep")) / 10
		lean := rapid.IntRange(210, 400).Draw(t, "lean")
		rich := rapid.IntRange(lean, 400).Draw(t, "rich")
		a, b := Percent(lean)/10, Percent(rich)/10
		for name, time := range map[string]func(Percent, float64) NoStop{
			"navy":    func(o2 Percent, m float64) NoStop { return Place{}.NavyNoStop(o2, M(m)) },
			"no-stop": func(o2 Percent, m float64) NoStop { return Place{}.NoStopTime(o2, M(m), 85) },
		} {
			if ends(time(a, shallow)) > ends(time(b, shallow)) || ends(time(a, deep)) > ends(time(a, shallow)) {
				t.Fatalf("%s: %v and %v %%, %v and %v m", name, a, b, shallow, deep)
			}
		}
	})
}
