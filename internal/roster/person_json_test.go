package roster_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gasmuster/internal/asjson/asjsontest"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// checkPersonStored holds what is stored of a person against encoding/json,
// which reads it: Person has no MarshalJSON, so that goes by the fields there are.
func checkPersonStored(t rapid.TB, what string, p *roster.Person) {
	t.Helper()
	want, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	got, err := p.AppendJSON([]byte("x"))
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	if string(got) != "x"+string(want) {
		t.Errorf("%s:\ngot  %s\nwant x%s", what, got, want)
	}
}

// TestEveryFieldOfAPersonIsStored goes by the types: it fails for a field that
// was added and is not appended. From a person with everything one field after
// the other is changed, lists are emptied and pointers taken away; and from one
// with nothing but empty things one field after the other is set.
func TestEveryFieldOfAPersonIsStored(t *testing.T) {
	var full roster.Person
	roster.Full(t, &full)
	empty := roster.Person{Addresses: []roster.Address{{}}, Out: &roster.Out{}, Cylinders: []*roster.Cylinder{{
		Fills: []roster.Fill{{}}, Readings: []*roster.Reading{{}}, CO: &roster.Monoxide{}, Replanned: &roster.Replanned{}, Changed: []roster.Asked{{}}}}}
	for name, p := range map[string]*roster.Person{"full": &full, "empty": &empty, "zero": {}} {
		checkPersonStored(t, name, p)
		leaves := roster.Leaves(t, p)
		if len(leaves) < 20 {
			t.Fatalf("only %d fields of a %s person", len(leaves), name)
		}
		for _, l := range leaves {
			l.Change()
			checkPersonStored(t, name+", another "+l.Path, p)
			l.Back()
		}
	}
}

func TestAnyPersonIsStored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p roster.Person
		asjsontest.Fill(t, &p)
		checkPersonStored(t, "anybody", &p)
	})
}

// What encoding/json calls zero: -0 is, and of instants so is the first one in
// any zone, but not what holds it.
func TestPersonWithNothingToSay(t *testing.T) {
	minus, first := math.Copysign(0, -1), time.Time{}.In(time.FixedZone("", 3600))
	for name, p := range map[string]*roster.Person{
		"minus nothing": {DepthLimit: gas.M(minus), SetDepth: gas.Ft(minus), Told: roster.Told{MaxMinutes: minus},
			Cylinders: []*roster.Cylinder{{Asked: gas.Percent(minus), Changed: []roster.Asked{{Was: gas.Percent(minus)}}, CO: &roster.Monoxide{PPM: minus}}}},
		"the first instant": {SetAt: first, Told: roster.Told{At: first}, Out: &roster.Out{At: first},
			Cylinders: []*roster.Cylinder{{Attended: roster.Attended{At: first}, Added: first, Readings: []*roster.Reading{{At: first, Void: first}}}}},
	} {
		checkPersonStored(t, name, p)
	}
}

// The days of the tests hold what people do.
func TestPeopleOfADayAreStored(t *testing.T) {
	for _, p := range append(ready().People, eventful(t).People...) {
		checkPersonStored(t, p.Name, p)
	}
}

func TestPersonWhoCantBeStored(t *testing.T) {
	late := time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)
	for name, p := range map[string]*roster.Person{
		"no number":  {DepthLimit: gas.M(math.NaN())},
		"infinite":   {Cylinders: []*roster.Cylinder{{Readings: []*roster.Reading{{Percent: gas.Percent(math.Inf(1))}}}}},
		"a far year": {Joined: late},
	} {
		if _, err := json.Marshal(p); err == nil {
			t.Fatalf("%s: encoding/json writes it", name)
		}
		if b, err := p.AppendJSON(nil); err == nil {
			t.Errorf("%s: stored as %s", name, b)
		}
	}
}

// BenchmarkPersonStored is writing a diver with two cylinders, each analysed
// twice, for the store.
func BenchmarkPersonStored(b *testing.B) {
	trip := boatload(1)
	p := trip.People[1]
	for i, c := range p.Cylinders {
		trip.Record(c.ID, roster.Reading{Percent: 32.2, At: at(60 + i), Ref: "m1", By: p.ID, Analyser: "A"}, at(60+i))
	}
	b.Run("append", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := p.AppendJSON(nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("encoding-json", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := json.Marshal(p); err != nil {
				b.Fatal(err)
			}
		}
	})
}
