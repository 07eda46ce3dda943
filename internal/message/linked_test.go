package message

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

func TestLinked(t *testing.T) {
	m := Message{Lines: []Line{
		Say("revoke.page", nil), Row("revoke.link", Args{"link": PageLink("p3", 2)}),
		Say("revoke.chat", nil), Row("revoke.link", Args{"link": ChatLink("p3", 2)}),
		Say("revoke.kept", Args{"name": Name("Aoife")}),
	}}
	stored, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	var back Message
	if err := json.Unmarshal(stored, &back); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		page, chat string
		keys       []string
	}{
		"both": {"https://charter.example/c/x", "https://t.me/b?start=x",
			[]string{"revoke.page", "revoke.link", "revoke.chat", "revoke.link", "revoke.kept"}},
		"page only": {"https://charter.example/c/x", "", []string{"revoke.page", "revoke.link", "revoke.kept"}},
		"neither":   {"", "", []string{"revoke.kept"}},
	} {
		t.Run(name, func(t *testing.T) {
			got := Linked(back, func(k Kind, p roster.PersonID, generation int) string {
				if p != "p3" || generation != 2 {
					t.Errorf("asked for %s of generation %d", p, generation)
				}
				return map[Kind]string{KindPage: c.page, KindChat: c.chat}[k]
			})
			var keys []string
			for _, l := range got.Lines {
				keys = append(keys, l.Key)
			}
			if !cmp.Equal(keys, c.keys) {
				t.Error(cmp.Diff(c.keys, keys))
			}
			text := New().Text(got, Reader{}, Plain)
			for _, want := range []string{c.page, c.chat} {
				if !strings.Contains(text, want) {
					t.Errorf("%q is missing in %q", want, text)
				}
			}
			if strings.Contains(text, "⟦") {
				t.Errorf("a link was left open: %q", text)
			}
		})
	}
}
