package reply

import (
	"strings"
	"unicode"
)

// isEmoji tells whether a sign is one that says no more than a smile: faces
// that are glad, hands that greet or thank, animals, the sea. Any other sign is
// not accounted for: 🤔 is a doubt, ❌ a denial.
func isEmoji(r rune) bool {
	return r >= '\U0001F400' && r <= '\U0001F43E' || // animals
		r >= '\U0001F3FB' && r <= '\U0001F3FF' || // colours of skin
		strings.ContainsRune(smiles, r)
}

// isSign tells whether a token is a sign and no letters.
func isSign(s string) bool {
	return !strings.ContainsFunc(s, unicode.IsLetter)
}

const smiles = "😀😁😂😃😄😅😆😇😉😊😋😎😍🙂🤗🤩🥳☺🥰😘🤙✌👋🙏🙌👏💪🙇🫶🤘😴🥶" +
	"🤿🏊🌊🏝🏖🌴⚓🚤⛵🛥🚢🎉✨💯❤💙💚🫡🦈🦑🦀🐚☀🌞🌅🦞🪸♂♀📟📱📲🧪🍀☕🎊🏅🎯🥁🎶🍻🥂🌈⭐🌟🚀📝🌧☔"
