package booking

import (
	"strings"
	"testing"

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
	v, err := Parse(strings.NewReader(s), new(Faults))
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
