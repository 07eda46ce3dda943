package conversation

import (
	"encoding/json"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/asjson/asjsontest"
	"gasmuster/internal/gas"
)

// TestHappeningAppendJSON holds what is stored against encoding/json. The data
// is filled by its types, so that a field that was added and isn't appended is
// found.
func TestHappeningAppendJSON(t *testing.T) {
	for name, data := range map[string]func(t *rapid.T) any{
		"a reading": filled[readingNews],
		"a verdict": filled[verdictNews],
		"a map": func(t *rapid.T) any {
			return map[string]any{"was": gas.Percent(32.4), "texts": filled[[]string](t), "by": "<p1>"}
		},
		"nothing": func(*rapid.T) any { return nil },
	} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				var h Happening
				asjsontest.Fill(t, &h.Type)
				asjsontest.Fill(t, &h.At)
				h.Data = data(t)
				want, err := json.Marshal(h)
				if err != nil {
					t.Fatal(err)
				}
				if got := string(h.AppendJSON([]byte("x"))); got != "x"+string(want) {
					t.Fatalf("got  %s\nwant x%s", got, want)
				}
			})
		})
	}
}

func filled[T any](t *rapid.T) any {
	var v T
	asjsontest.Fill(t, &v)
	return v
}

// BenchmarkHappeningStored is writing what one reading tells the shop's systems.
func BenchmarkHappeningStored(b *testing.B) {
	all := []Happening{
		{Type: "reading.recorded", At: leaderNow, Data: readingNews{Analyser: "A", Asked: 32, Cylinder: "c12", Entrant: gas.ByDiver, Label: "17",
			Percent: 32.4, Person: "p3", Reading: "r40"}},
		{Type: "verdict.changed", At: leaderNow, Data: verdictNews{Person: "p3", Status: gas.GoWithLimits}},
	}
	b.Run("append", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, h := range all {
				h.AppendJSON(make([]byte, 0, 320))
			}
		}
	})
	b.Run("encoding-json", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, h := range all {
				if _, err := json.Marshal(h); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
