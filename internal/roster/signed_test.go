package roster_test

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// signature is one under a board that holds something of everything: a team,
// limits, somebody who sat out.
func signature(t *testing.T) roster.SignOff {
	d := ready()
	d.Edit(tomasz).Team, d.Edit(marit).Team = "1", "1"
	d.SetLimit(marit, roster.Limit{Depth: gas.M(29), By: ines, Why: "ears"}, at(9))
	d.AddPerson(&roster.Person{ID: yusuf, Name: "Yusuf", Cylinders: []*roster.Cylinder{{ID: "c9", Dive: 1, Asked: 32}}},
		"", at(9))
	for _, p := range []roster.PersonID{"p11", "p12"} {
		d.AddPerson(&roster.Person{ID: p, Name: "Kenji",
			Cylinders: []*roster.Cylinder{{ID: "c" + roster.CylinderID(p), Dive: 1, Asked: 21}}}, "", at(9))
		read(d, "c"+roster.CylinderID(p), 20.8, p, at(20+len(d.People)))
		d.Replan("c"+roster.CylinderID(p), ines, at(30))
	}
	d.SitOut(yusuf, 0, ines, "gear", at(10))
	signOff(t, d, 1, at(40))
	return d.SignOffs[0]
}

// What was signed comes back as it was, to the byte, and takes little room.
func TestASignedBoardIsPackedOnce(t *testing.T) {
	signed := signature(t)
	stored, err := json.Marshal(signed)
	if err != nil {
		t.Fatal(err)
	}
	var back roster.SignOff
	if err := json.Unmarshal(stored, &back); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(signed.Board.Board, back.Board.Board); diff != "" || len(back.Board.People) != 5 {
		t.Errorf("the board (-signed +read back):\n%s", diff)
	}
	if diff := cmp.Diff(signed, back); diff != "" {
		t.Errorf("(-signed +read back):\n%s", diff)
	}
	if again, err := json.Marshal(back); err != nil || string(again) != string(stored) {
		t.Errorf("stored again: %v\n%s\nwas\n%s", err, again, stored)
	}
	type facts roster.Facts // without its stored form
	plain, err := json.Marshal([]any{signed.Board.Board, facts(signed.Facts)})
	if err != nil {
		t.Fatal(err)
	}
	if len(stored)*3 > len(plain) {
		t.Errorf("stored in %d bytes, board and facts are %d: want a third at most", len(stored), len(plain))
	}
}

// The bytes are kept, not made again: what another version of the packer wrote
// stays as it was stored. RFC 1951 leaves it to the packer how well it packs.
func TestASignedBoardKeepsTheBytesItCameIn(t *testing.T) {
	plain, err := json.Marshal(signature(t).Board.Board)
	if err != nil {
		t.Fatal(err)
	}
	stored := packedText(deflated(t, string(plain), flate.NoCompression))
	var back roster.SignedBoard
	if err := json.Unmarshal([]byte(stored), &back); err != nil {
		t.Fatal(err)
	}
	if again, err := json.Marshal(back); err != nil || string(again) != stored {
		t.Errorf("stored again in %d bytes, was %d, %v", len(again), len(stored), err)
	}
	if back.Equal(signature(t).Board) || !back.Equal(back) {
		t.Error("two boards of other bytes are equal, or one is not equal to itself")
	}
}

func TestASignedBoardThatCannotBeRead(t *testing.T) {
	whole := deflated(t, `{"status":"go"}`, flate.BestCompression)
	for name, stored := range map[string]string{
		"cut off":     packedText(whole[:len(whole)/2]),
		"not packed":  `"////"`,
		"not a board": packedText(deflated(t, "[]", flate.BestCompression)),
		"nothing":     `""`,
		"null":        `null`,
		"no base64":   `"*"`,
		"as it is":    `{"status":"go"}`,
	} {
		s := signature(t)
		err := json.Unmarshal([]byte(`{"dive":1,"board":`+stored+`}`), &s)
		if err == nil || !strings.Contains(err.Error(), "board under a signature") {
			t.Errorf("%s: got %v, want an error that names the board", name, err)
		}
	}
}

func packedText(b []byte) string { return `"` + base64.StdEncoding.EncodeToString(b) + `"` }

func deflated(t *testing.T, text string, level int) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, level)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A dive that was dived keeps its board, also when the trip was stored and loaded
// since.
func TestTheBoardOfADiveThatWasDivedSurvivesALoad(t *testing.T) {
	d := ready()
	signOff(t, d, 1, at(40))
	d.SetDived(1, roster.Dived{By: ines}, at(120))
	want := d.Board(1, at(130))
	if diff := cmp.Diff(want, copyOf(t, d.Trip).Board(1, at(130))); diff != "" || want.Status != gas.Go || !want.Dived {
		t.Errorf("%v (-before +loaded):\n%s", want.Status, diff)
	}
}
