package conversation

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
)

// What a text asks people to say is understood as it is in English.
func TestWordsOfTheHelpAreUnderstood(t *testing.T) {
	want := []reply.Intent{reply.NotYet, reply.Pass, reply.NewCylinder, reply.Refilled, reply.NotDiving}
	for _, tag := range message.Languages() {
		text := message.New().Line(message.Say("diver.help.other", nil), message.Reader{Language: tag})
		_, list, _ := strings.Cut(strings.ReplaceAll(text, "：", ":"), ":")
		var got []reply.Intent
		for _, word := range regexp.MustCompile(`[,，、،]`).Split(strings.TrimRight(list, ".。"), -1) {
			word, _, _ = strings.Cut(word, "（") // what it means
			word = strings.Trim(strings.TrimSpace(word), `"“”„«»「」`)
			got = append(got, reply.Parse(word, reply.Context{Cylinders: 1, Language: tag}).Intent)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q is understood as %q, want %q", tag, text, got, want)
		}
	}
}
