package message

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Wherever a name can stand in a message it is taken out, and nothing else is.
func TestRedact(t *testing.T) {
	trip := &roster.Trip{People: []*roster.Person{{ID: "p1", Name: "Inês"}, {ID: "p2", Name: "Ottokar Unverwechselbar"}}}
	r := trip.Redaction("p2")
	make := func(who, code, typed string) Message {
		name := Name(who)
		return Message{
			Lines: []Line{Loud("board.who", Args{"name": name, "n": Count(3), "percent": Percent(32.1)}), {Style: Gap},
				{Key: "plain"},
				Say("list", Args{"names": List(Name("Inês"), Of(Say("in.line", Args{"name": name}))), "reason": Text(typed)}),
				Say("command", Args{"command": Code(code), "link": Code("https://gas.example/c/x")})},
			Buttons: [][]Button{{{Label: Say("pick", Args{"name": name}), Do: "lwho p2"}, {Label: Say("no", nil), Do: "no"}}},
			Picture: &Picture{Title: Say("title", Args{"name": name}), Planned: gas.M(30),
				Rows: []PictureRow{{Name: name, Cylinder: Say("c", Args{"label": Name("17")}), Reading: 32.1}}},
			Commands: "leader",
		}
	}
	m := make("Ottokar Unverwechselbar", "/for Ottokar 17", "waits for ottokar")
	before, _ := json.Marshal(m)
	got := Redact(m, r)
	raw, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	if s := strings.ToLower(string(raw)); strings.Contains(s, "ottokar") || strings.Contains(s, "unverwechselbar") {
		t.Errorf("still named: %s", raw)
	}
	want := strings.ReplaceAll(string(before),
		`"k":1,"s":"Ottokar Unverwechselbar"}`, `"k":16,"i":{"k":"leader.erased"}}`)
	want = strings.ReplaceAll(strings.ReplaceAll(want, "/for Ottokar 17", "/for erased 17"), "waits for ottokar",
		"waits for erased")
	if d := cmp.Diff(want, string(raw)); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
	if after, _ := json.Marshal(m); string(after) != string(before) {
		t.Error("the message itself was changed")
	}
	other, _ := json.Marshal(make("Inês", "/board", "wind"))
	if kept, _ := json.Marshal(Redact(make("Inês", "/board", "wind"), r)); string(kept) != string(other) {
		t.Errorf("a message about somebody else was changed:\n%s\n%s", other, kept)
	}
}
