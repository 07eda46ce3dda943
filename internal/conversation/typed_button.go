package conversation

import (
	"hash/fnv"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"gasmuster/internal/message"
)

// Who types what stands on a button of the question means that button. A question
// remembers the words on its buttons, so that it need not know them in ten
// languages. A bare number is left to the question: it may be a reading.

// offered is a button of the open question: the hash of its words and what it does.
type offered struct {
	Words uint32 `json:"w"`
	Do    string `json:"d"`
}

// remember notes the buttons of the last message to the acting person with the
// question that is open.
func (t *turn) remember() {
	if t.me() == nil {
		return
	}
	for _, l := range slices.Backward(t.letters) {
		if !l.Group && l.Person == t.me().ID {
			t.waitAgain(l.Message)
			if t.session.State != Idle {
				t.session.Offered = t.offers(l.Message)
			}
			return
		}
	}
}

// waitAgain waits once more for the answer to a change that was asked about again, in
// words as well: it is the last thing that was said.
func (t *turn) waitAgain(m message.Message) {
	if t.session.State != Idle {
		return
	}
	for _, k := range []change{swapping, refilling} {
		if slices.ContainsFunc(slices.Concat(m.Buttons...), func(b message.Button) bool { return b.Do == k.verb+" none" }) {
			t.wait(k.state, nil)
		}
	}
}

// offers are the buttons of a message that words can mean; none of two that say
// the same.
func (t *turn) offers(m message.Message) []offered {
	var all []offered
	twice := map[uint32]int{}
	reader := message.Reader{Language: t.me().Language, Units: t.me().Units, Zone: t.trip.Zone}
	for _, b := range slices.Concat(m.Buttons...) {
		words := bareWords(labels.Line(b.Label, reader))
		if b.Do == "" || !strings.ContainsFunc(words, unicode.IsLetter) {
			continue
		}
		all = append(all, offered{hashOf(words), b.Do})
		twice[hashOf(words)]++
	}
	return slices.DeleteFunc(all, func(o offered) bool { return twice[o.Words] > 1 })
}

// labels writes the words on buttons.
var labels = message.New()

// typedButton presses the button of the open question whose words were typed;
// false when none has them.
func (t *turn) typedButton(text string) bool {
	if !strings.ContainsFunc(text, unicode.IsLetter) || strings.ContainsAny(text, "?？؟") { // who asks presses nothing
		return false
	}
	words := hashOf(bareWords(text))
	i := slices.IndexFunc(t.session.Offered, func(o offered) bool { return o.Words == words })
	if i >= 0 {
		t.event.Do = t.session.Offered[i].Do
		t.pressed()
		return true
	}
	return t.typedBoatButton(words)
}

// typedBoatButton does the same for the boat question, which comes unasked, so
// that no question of the dialogue is open.
func (t *turn) typedBoatButton(words uint32) bool {
	opened := slices.ContainsFunc(t.ahead(), t.trip.BoatOpened)
	if !opened || t.session.State != Idle && t.session.State != stateUnsaid {
		return false
	}
	open := t.boatOpen()
	if len(open) == 0 {
		return false
	}
	for _, o := range t.offers(message.Message{Buttons: t.boatButtons(t.me(), open)}) {
		if o.Words == words {
			t.event.Do = o.Do
			t.pressed()
			return true
		}
	}
	return false
}

// bareWords are words as people type them on a phone: letters and digits alone, in lower
// case and without accents, whatever stands between them. Two numbers stay two, and 3.2
// is not 32.
func bareWords(s string) string {
	var bare, between []rune
	for _, r := range norm.NFKD.String(strings.ToLower(s)) {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			between = append(between, r)
			continue
		}
		if n := len(bare); n > 0 && len(between) > 0 && unicode.IsDigit(bare[n-1]) && unicode.IsDigit(r) {
			bare = append(bare, pointOr(between))
		}
		bare, between = append(bare, r), nil
	}
	return string(bare)
}

// pointOr is what stands between two digits: a decimal sign, or whatever parts numbers.
func pointOr(between []rune) rune {
	if len(between) == 1 && strings.ContainsRune(".,٫", between[0]) {
		return '.'
	}
	return ' '
}

func hashOf(words string) uint32 {
	h := fnv.New32a()
	_, _ = h.Write([]byte(words)) // never fails
	return h.Sum32()
}
