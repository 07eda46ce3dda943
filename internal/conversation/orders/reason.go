package orders

import (
	"strings"
	"sync"

	"gasmuster/internal/message"
)

// Because splits "... because REASON" off.
func Because(text string) (rest, reason string) {
	lower := strings.ToLower(text)
	for _, word := range []string{"because of ", "because "} {
		if i := strings.Index(lower, word); i == 0 || i > 0 && lower[i-1] == ' ' {
			// Lower case can change a text's length in bytes; then there is no
			// telling where the word stands in the original.
			if len(lower) == len(text) {
				return strings.TrimSpace(text[:i]), Clip(text[i+len(word):], LongestReason)
			}
		}
	}
	return text, ""
}

// LongestReason is how much of a reason is kept, in characters.
const LongestReason = 200

// Clip keeps the first n characters of what somebody typed.
func Clip(s string, n int) string {
	r := []rune(strings.Join(strings.Fields(s), " "))
	if len(r) > n {
		r = r[:n]
	}
	return string(r)
}

// OutReasons are the reasons for sitting out that others may see, each a word of
// the catalogue ("reason.out.gas").
var OutReasons = []string{"not-diving", "gas", "gear", "other"}

// IsReasonWord tells whether text is one of the reasons that a button offers.
func IsReasonWord(text string) bool {
	_, is := reasonWords()[FoldName(text)]
	return is
}

// reasonWords are the words for these reasons in all languages, folded.
var reasonWords = sync.OnceValue(func() map[string]string {
	words, renderer := map[string]string{}, message.New()
	for _, reason := range OutReasons {
		words[FoldName(strings.ReplaceAll(reason, "-", " "))] = reason
		for _, tag := range message.Languages() {
			said := message.Message{Lines: []message.Line{message.Say("reason.out."+reason, nil)}}
			text := renderer.Text(said, message.Reader{Language: tag}, message.Plain)
			words[FoldName(text)] = reason
		}
	}
	return words
})

// WordedReason is a typed reason as one of the few words where it says just that.
func WordedReason(typed string) string {
	if reason, ok := reasonWords()[FoldName(strings.Trim(typed, " .!"))]; ok {
		return reason
	}
	return typed
}
