package roster_test

import (
	"encoding/json"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/asjson/asjsontest"
	"gasmuster/internal/roster"
)

// TestEnvelopeAppendJSON holds the stored form against encoding/json.
func TestEnvelopeAppendJSON(t *testing.T) {
	payloads := []json.RawMessage{nil, json.RawMessage(`{}`), json.RawMessage(`{"lines":[{"k":"a","a":{"n":{"k":"name","s":"\u003cAnn\u003e"}}}]}`)}
	rapid.Check(t, func(t *rapid.T) {
		var e roster.Envelope
		asjsontest.Fill(t, &e, payloads)
		want, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		if got := string(e.AppendJSON([]byte("x"))); got != "x"+string(want) {
			t.Fatalf("got  %s\nwant x%s", got, want)
		}
	})
}
