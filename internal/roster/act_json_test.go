package roster_test

import (
	"encoding/json"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/asjson/asjsontest"
	"gasmuster/internal/roster"
)

// TestActAppendJSON holds the stored form against encoding/json.
func TestActAppendJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var a roster.Act
		asjsontest.Fill(t, &a)
		a.Detail = rapid.MapOfN(rapid.String(), rapid.String(), 0, 10).Draw(t, "detail")
		want, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		if got := string(a.AppendJSON([]byte("x"))); got != "x"+string(want) {
			t.Fatalf("got  %s\nwant x%s", got, want)
		}
	})
}
