package shopapi

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// The examples of RFC 7386, appendix A.
func TestMergePatch(t *testing.T) {
	cases := []struct{ target, patch, want string }{
		{`{"a":"b"}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"b"}`, `{"b":"c"}`, `{"a":"b","b":"c"}`},
		{`{"a":"b"}`, `{"a":null}`, `{}`},
		{`{"a":"b","b":"c"}`, `{"a":null}`, `{"b":"c"}`},
		{`{"a":["b"]}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"c"}`, `{"a":["b"]}`, `{"a":["b"]}`},
		{`{"a":{"b":"c"}}`, `{"a":{"b":"d","c":null}}`, `{"a":{"b":"d"}}`},
		{`{"a":[{"b":"c"}]}`, `{"a":[1]}`, `{"a":[1]}`},
		{`["a","b"]`, `["c","d"]`, `["c","d"]`},
		{`{"a":"b"}`, `["c"]`, `["c"]`},
		{`{"a":"foo"}`, `null`, `null`},
		{`{"a":"foo"}`, `"bar"`, `"bar"`},
		{`{"e":null}`, `{"a":1}`, `{"e":null,"a":1}`},
		{`[1,2]`, `{"a":"b","c":null}`, `{"a":"b"}`},
		{`{}`, `{"a":{"bb":{"ccc":null}}}`, `{"a":{"bb":{}}}`},
	}
	for _, c := range cases {
		t.Run(c.target+" "+c.patch, func(t *testing.T) {
			if diff := cmp.Diff(parsed(t, c.want), merge(parsed(t, c.target), parsed(t, c.patch))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func parsed(t *testing.T, s string) any {
	t.Helper()
	v, err := parse(strings.NewReader(s), new(faults))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// RFC 6901, section 3: ~ is ~0 and / is ~1.
func TestPointersAreEscaped(t *testing.T) {
	if got, want := join("/a", "b/c~d"), "/a/b~1c~0d"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestRoutesAreThoseOfTheDocument(t *testing.T) {
	var doc struct {
		Paths map[string]map[string]any
	}
	if err := json.Unmarshal(openAPI, &doc); err != nil {
		t.Fatal(err)
	}
	documented := map[string][]string{}
	for path, item := range doc.Paths {
		for method := range item {
			if method != "parameters" && path != "/v1/openapi.json" {
				documented[path] = append(documented[path], strings.ToUpper(method))
			}
		}
		slices.Sort(documented[path])
	}
	delete(documented, "/v1/openapi.json")
	served := map[string][]string{}
	for path, methods := range routes {
		served[path] = slices.Sorted(maps.Keys(methods))
	}
	if diff := cmp.Diff(documented, served); diff != "" {
		t.Errorf("documented and served calls differ (-documented +served):\n%s", diff)
	}
}

// FuzzReadTrip: no document makes the reader panic, and one that it accepts is
// a trip that the roster accepts.
func FuzzReadTrip(f *testing.F) {
	f.Add(`{"name":"a","time_zone":"Atlantic/Azores","departs_at":"2027-05-15T08:30:00Z","dives":[{"site":"b","depth":30}],"leaders":[{"name":"c"}]}`)
	f.Add(`{"dives":[{"bottom":"none","depth":1e308}],"divers":[{"cylinders":[{"asked":-0}]}]}`)
	f.Add(`[{"a":[[[]]]},null]`)
	now := time.Date(2027, 5, 1, 0, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		var faults faults
		v, err := parse(strings.NewReader(text), &faults)
		if err != nil {
			return
		}
		trip := readTrip(v, now, &faults)
		if found := trip.Validate(); len(faults.list) == 0 && len(found) > 0 {
			t.Errorf("accepted in spite of %v", found)
		}
	})
}
