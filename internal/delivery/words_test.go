package delivery

import (
	"strings"
	"testing"

	"gasmuster/internal/message"
)

// Everything that is said at the door has words in the catalogue.
func TestEveryRefusalHasWords(t *testing.T) {
	keys := []string{"door.fault", "door.not-recorded", "door.invite-used-leader", "door.invite-used-do"}
	for _, r := range refusals {
		keys = append(keys, r.key)
	}
	words := message.New()
	for _, key := range keys {
		a := message.Args{"id": message.Code("abcd"), "name": message.Name("Tomasz"), "command": message.Code("/revoke")}
		m := message.Message{Lines: []message.Line{message.Say(key, a)}}
		if got := words.Text(m, message.Reader{}, message.Plain); got == "" || strings.Contains(got, key) ||
			strings.Contains(got, "no value") {
			t.Errorf("%s: %q", key, got)
		}
	}
}
