package conversation

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Whom words of alarm are about, other than who said them: "17 is leaking", "Yusuf and I
// swapped cylinders". Better one diver too many is held until a leader has settled it.

// ofOthers are the kinds of words that may be about somebody else's gas.
var ofOthers = []roster.SpeakKind{roster.SpeakLeak, roster.SpeakBadGas, roster.SpeakWrongCylinder, roster.SpeakDistress}

// holdConcerned keeps those not cleared, tells them, and tells the leaders of each.
func (t *turn) holdConcerned(kind roster.SpeakKind, words string) {
	if !slices.Contains(ofOthers, kind) {
		return
	}
	for _, p := range t.concerned(words) {
		id := t.trip.MustSpeak(p.ID, roster.Speak{At: t.now, Was: words, Kind: kind, By: t.actor})
		if id == "" {
			continue
		}
		t.showed(p.ID)
		t.saidAll[speakKey(t.trip.Person(p.ID))] = true
		a := message.Args{"name": message.Name(t.me().Name), "text": message.Text(words)}
		said := []message.Line{message.Loud("pass-on."+string(kind), a), message.Say("pass-on.text", a)}
		t.tell(p.ID, roster.LevelVerdict, true, message.Message{Lines: append([]message.Line{
			message.SpeakTo(t.trip.Trip, p.ID)}, said...)})
		about := message.Loud("board.person", message.Args{"name": t.nameOf(p.ID),
			"verdict": message.Of(message.Cleared(t.trip.Trip, t.clearance(p.ID, t.dive())))})
		t.alertLeaders(message.Message{Lines: append(slices.Clone(said), about),
			Buttons: row(slipButton(p.ID, []string{id}), t.outButton(p))})
	}
}

// concerned are the others who dive that words name, or name the cylinder of.
func (t *turn) concerned(words string) []*roster.Person {
	said := wordsOf(words)
	return those(t.trip.People, func(p *roster.Person) bool {
		if p.ID == t.actor || p.Erased || !p.Left.IsZero() || !p.Dives() || t.leadsAlone(p) {
			return false
		}
		return named(p, said, words) || slices.ContainsFunc(p.InUse(), func(c *roster.Cylinder) bool {
			return c.Label != "" && !t.trip.WasDived(c.Dive) && said[orders.FoldName(c.Label)]
		})
	})
}

// named tells whether the first word of somebody's name is among words; in scripts that
// part no words, anywhere in the text.
func named(p *roster.Person, said map[string]bool, text string) bool {
	first, _, _ := strings.Cut(orders.FoldName(p.Name), " ")
	if first == "" {
		return false
	}
	if strings.ContainsFunc(first, unspaced) {
		return strings.Contains(orders.FoldName(text), first)
	}
	return said[first]
}

func unspaced(r rune) bool { return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) }

// wordForm is a word or a number, with its decimals.
var wordForm = regexp.MustCompile(`[\pL\pN]+(?:[.,]\pN+)*`)

// wordsOf are the words and numbers of a text, folded. Parts per million are none.
func wordsOf(text string) map[string]bool {
	words := map[string]bool{}
	all := wordForm.FindAllString(orders.FoldName(text), -1)
	for i, w := range all {
		ppm := i > 0 && all[i-1] == "co" || i+1 < len(all) && all[i+1] == "ppm"
		if !ppm {
			words[w] = true
		}
	}
	return words
}
