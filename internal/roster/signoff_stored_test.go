package roster_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// What was signed comes back as it was, and takes little room.
func TestSignOffIsStoredPacked(t *testing.T) {
	signed := eventful(t).SignOffs[0]
	stored, err := json.Marshal(signed)
	if err != nil {
		t.Fatal(err)
	}
	var back roster.SignOff
	if err := json.Unmarshal(stored, &back); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(signed, back); diff != "" {
		t.Errorf("(-signed +read back):\n%s", diff)
	}
	plain, err := json.Marshal(signed.Board)
	if err != nil {
		t.Fatal(err)
	}
	if len(stored)*3 > len(plain) {
		t.Errorf("stored in %d bytes, the board alone is %d: want a third at most", len(stored), len(plain))
	}
}

// Forms before this one had the board as it is.
func TestSignOffOfAnOlderForm(t *testing.T) {
	signed := eventful(t).SignOffs[0]
	older, err := json.Marshal(map[string]any{"dive": signed.Dive, "by": signed.By, "at": signed.At, "board": signed.Board, "reopened": signed.Reopened})
	if err != nil {
		t.Fatal(err)
	}
	var back roster.SignOff
	if err := json.Unmarshal(older, &back); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(signed, back); diff != "" {
		t.Errorf("(-signed +read back):\n%s", diff)
	}
}

func TestSignOffThatCannotBeRead(t *testing.T) {
	for name, stored := range map[string]string{
		"cut off":     `{"dive":1,"packed":"qlZKSSxJVLIy"}`,
		"not packed":  `{"dive":1,"packed":"////"}`,
		"not a board": `{"dive":1,"packed":"SywqBgA="}`,
	} {
		var s roster.SignOff
		if err := json.Unmarshal([]byte(stored), &s); err == nil || !strings.Contains(err.Error(), "board under a signature") {
			t.Errorf("%s: got %v, want an error that names the board", name, err)
		}
	}
}
