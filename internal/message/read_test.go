package message

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gasmuster/internal/asjson/asjsontest"
	"gasmuster/internal/gas"
)

// checkRead holds what is read of raw, and the fault, against encoding/json.
func checkRead(t rapid.TB, raw []byte) {
	t.Helper()
	var got Message
	var want plainly
	err, wantErr := json.Unmarshal(raw, &got), json.Unmarshal(raw, &want)
	if (err == nil) != (wantErr == nil) {
		t.Fatalf("%s: %v, encoding/json says %v", raw, err, wantErr)
	}
	if err == nil && !reflect.DeepEqual(got, Message(want)) {
		t.Fatalf("%s:\ngot  %+v\nwant %+v", raw, got, want)
	}
}

func TestReadStored(t *testing.T) {
	kinds := allKinds()
	rapid.Check(t, func(t *rapid.T) {
		var m Message
		asjsontest.Fill(t, &m, kinds, []gas.Unit{gas.Metres, gas.Feet}, byName)
		checkRead(t, m.AppendJSON(nil))
		m.Picture = nil
		raw := m.AppendJSON(nil)
		if _, quick := readStored(raw); !quick && !strings.Contains(string(raw), `\`) {
			t.Fatalf("%s is read the long way", raw)
		}
	})
}

// Bytes that are no message, or one that something else wrote.
func FuzzReadStored(f *testing.F) {
	for _, s := range []string{"", "null", "{}", "[]", `{"lines":null}`, `{"lines":[]}`, `{"lines":[{"k":"a","a":{}}]}`, `{"lines":[{"a":{"x":{"k":"count","n":01}}}]}`,
		`{"lines":[{"a":{"b":{"k":"name"},"a":{"k":"name"}}}]}`, `{"lines":[{"a":{"b":{"k":"colour","s":"red"}}}]} `, `{"lines":[{"K":"a"}]}`, `{"lines":[{"k":"a","k":"b"}]}`,
		`{"lines":[{"a":{"x":{"k":"clock","t":"2027-05-15T08:30:00+02:00"}}}],"buttons":[null,[{"l":{"k":"c"},"d":"undo r1"}]]}`, `{"lines":[,]}`, `{"lines":[{"k":"a"}`,
		`{"lines":[{"a":{"x":{"k":"list","l":[{"k":"line","i":{"k":"b"}}]}}}]}`, `{"lines":[{"a":{"x":{"k":"line","i":null}}}]}`, `{"lines":[{"k":"\u00e9"}]}`, storedBefore} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) { checkRead(t, raw) })
}
