package blends

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

var dawn = time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)

// NIST Statistical Reference Datasets, univariate summary statistics, dataset
// NumAcc1: 10000001, 10000003, 10000002 has mean 10000002 and standard
// deviation 1; NumAcc4 (1001 values 10000000.2, then 10000000.1 and 10000000.3
// in turn) has mean 10000000.2 and standard deviation 0.1. From memory.
func TestStatisticsAgainstReferenceData(t *testing.T) {
	four := []float64{10000000.2}
	for range 500 {
		four = append(four, 10000000.1, 10000000.3)
	}
	for _, c := range []struct {
		name     string
		values   []float64
		mean, sd float64
		within   float64
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 1e-9},
		{"NumAcc4", four, 10000000.2, 0.1, 1e-8},
	} {
		sd, ok := spread(c.values)
		if got := mean(c.values); math.Abs(got-c.mean) > c.within || !ok || math.Abs(sd-c.sd) > c.within {
			t.Errorf("%s: got mean %.10f, standard deviation %.10f, want %v, %v", c.name, got, sd, c.mean, c.sd)
		}
	}
	if _, ok := spread([]float64{3}); ok {
		t.Error("one value has a standard deviation")
	}
}

// Worked by hand: deviations +0.4, -0.2, +1.0, -1.2 have mean 0; squares 0.16 +
// 0.04 + 1 + 1.44 = 2.64, over 3 is 0.88, its root 0.93808; three of four lie
// within 1.0, the limit included.
func TestSummaryByHand(t *testing.T) {
	var samples []Sample
	for i, measured := range []gas.Percent{32.4, 31.8, 33, 30.8} {
		samples = append(samples, Sample{Trip: "a", Cylinder: roster.CylinderID(string(rune('a' + i))), Asked: 32,
			Measured: measured, Analyser: "A", Day: "2027-05-15"})
	}
	r := Summarise(samples)
	got := r.Overall
	if got.Count != 4 || got.Fills != 4 || got.Inside != 3 || got.Share != 0.75 || math.Abs(got.Off) > 1e-9 ||
		math.Abs(got.Mean-32) > 1e-9 {
		t.Errorf("got %+v", got)
	}
	if got.Spread == nil || math.Abs(*got.Spread-0.938083) > 1e-6 {
		t.Errorf("standard deviation: got %v, want 0.938083", got.Spread)
	}
	if math.Abs(got.Lowest+1.2) > 1e-9 || math.Abs(got.Highest-1) > 1e-9 {
		t.Errorf("lowest and highest: got %v, %v", got.Lowest, got.Highest)
	}
	if len(r.ByBlend) != 1 || r.ByBlend[0].Key != "32" || len(r.ByAnalyser) != 1 || len(r.ByDay) != 1 {
		t.Errorf("groups: got %+v", r)
	}
	empty := Summarise(nil)
	if empty.Overall.Count != 0 || empty.ByBlend == nil {
		t.Errorf("of nothing: got %+v", empty)
	}
}

// trip has one diver with one cylinder of 32 %.
func trip() (*roster.Draft, roster.PersonID, roster.CylinderID) {
	t := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	*t.EditPlan() = roster.Plan{Zone: "Pacific/Auckland", Departs: dawn.Add(time.Hour),
		Policy:    gas.DefaultPolicy(gas.Metres),
		Dives:     []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20}},
		Analysers: []roster.Analyser{{Name: "A"}, {Name: "B"}}}
	p := &roster.Person{Name: "Tomasz", Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{Asked: 32, Dive: 1}}}
	t.AddPerson(p, "", dawn)
	return t, p.ID, p.Cylinders[0].ID
}

func reads(t *roster.Draft, c roster.CylinderID, by roster.PersonID, percent gas.Percent, minute int) *roster.Reading {
	at := dawn.Add(time.Duration(minute) * time.Minute)
	return t.Record(c, roster.Reading{Percent: percent, At: at, Ref: at.String(), By: by, Analyser: "A"}, at)
}

func measured(t *roster.Draft) []gas.Percent {
	samples, _ := Of(t.Trip)
	var list []gas.Percent
	for _, s := range samples {
		list = append(list, s.Measured)
	}
	return list
}

func TestWhichReadingsCount(t *testing.T) {
	for name, c := range map[string]struct {
		day  func(t *roster.Draft, p roster.PersonID, c roster.CylinderID)
		want []gas.Percent
	}{
		"nothing read": {func(*roster.Draft, roster.PersonID, roster.CylinderID) {}, nil},
		"the first, not the second look": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			reads(t, c, p, 32.4, 1)
			reads(t, c, p, 32.1, 5)
		}, []gas.Percent{32.4}},
		"the shop's and the diver's": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			reads(t, c, "", 31.9, 1)
			reads(t, c, p, 32.4, 5)
			reads(t, c, "", 31.8, 9)
		}, []gas.Percent{31.9, 32.4}},
		"the corrected value": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			r := reads(t, c, p, 23.4, 1)
			t.Correct(r.ID, 32.4, p, dawn.Add(2*time.Minute), dawn.Add(2*time.Minute))
		}, []gas.Percent{32.4}},
		"not what was taken back": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			t.Undo(reads(t, c, p, 35, 1).ID, p, dawn.Add(2*time.Minute))
		}, nil},
		"each fill's": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			reads(t, c, p, 35, 1)
			t.Fill(c, dawn.Add(10*time.Minute), "", dawn.Add(10*time.Minute))
			reads(t, c, p, 32.2, 12)
		}, []gas.Percent{35, 32.2}},
		"not a faulty analyser's": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) { reads(t, c, p, 12, 1) },
			nil},
		"not air": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			t.SetAsked(c, gas.Air, p, dawn)
			reads(t, c, p, 20.9, 1)
		}, nil},
		"of a cylinder that was changed": {func(t *roster.Draft, p roster.PersonID, c roster.CylinderID) {
			reads(t, c, p, 36, 1)
			t.Swap(c, "", p, "", dawn.Add(5*time.Minute))
		}, []gas.Percent{36}},
	} {
		t.Run(name, func(t *testing.T) {
			trip, p, cyl := trip()
			c.day(trip, p, cyl)
			if diff := cmp.Diff(c.want, measured(trip)); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

func TestFaultsAreCounted(t *testing.T) {
	trip, p, c := trip()
	reads(trip, c, p, 12, 1)
	if _, faults := Of(trip.Trip); faults != 1 {
		t.Errorf("got %d, want 1", faults)
	}
}

func TestBlendAskedForAtTheTime(t *testing.T) {
	trip, p, c := trip()
	reads(trip, c, p, 32.3, 1)
	trip.SetAsked(c, 28, p, dawn.Add(30*time.Minute))
	samples, _ := Of(trip.Trip)
	if len(samples) != 1 || samples[0].Asked != 32 {
		t.Errorf("got %+v, want it held against 32", samples)
	}
	// 07:01 UTC on 15 May is 19:01 of the same day in Auckland, 13:01 UTC the next day.
	if samples[0].Day != "2027-05-15" {
		t.Errorf("day: got %s", samples[0].Day)
	}
	trip.Fill(c, dawn.Add(6*time.Hour), "", dawn.Add(6*time.Hour))
	reads(trip, c, p, 28.1, 361)
	if samples, _ = Of(trip.Trip); len(samples) != 2 || samples[1].Day != "2027-05-16" || samples[1].Asked != 28 {
		t.Errorf("second: got %+v", samples)
	}
}

// Groups partition the samples, and the whole is the weighted sum of its parts.
func TestGroupsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "n")
		var samples []Sample
		for range n {
			samples = append(samples, Sample{Asked: gas.Percent(rapid.IntRange(22, 40).Draw(t, "asked")),
				Day:      rapid.SampledFrom([]string{"1", "2", "3"}).Draw(t, "day"),
				Measured: gas.Percent(rapid.IntRange(200, 450).Draw(t, "measured")) / 10,
				Analyser: rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "analyser")})
		}
		r := Summarise(samples)
		for _, groups := range [][]Group{r.ByBlend, r.ByAnalyser, r.ByDay} {
			count, inside, off := 0, 0, 0.0
			for _, g := range groups {
				count, inside, off = count+g.Count, inside+g.Inside, off+g.Off*float64(g.Count)
				if g.Spread != nil && (*g.Spread < 0 || *g.Spread > g.Highest-g.Lowest+1e-9) || g.Off < g.Lowest-1e-9 ||
					g.Off > g.Highest+1e-9 {
					t.Fatalf("impossible: %+v", g)
				}
			}
			if count != r.Overall.Count || inside != r.Overall.Inside || math.Abs(off-r.Overall.Off*float64(n)) > 1e-6 {
				t.Fatalf("groups %+v don't add up to %+v", groups, r.Overall)
			}
		}
	})
}
