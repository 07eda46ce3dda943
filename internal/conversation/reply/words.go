package reply

import (
	"regexp"
	"strings"
	"unicode"
)

// word does what a word's class says.
func (w *walker) word(i int) {
	t := w.toks[i]
	if w.markedWord(i) || w.analyserName(i) || w.newName(i) {
		return
	}
	if t.kind == kOther && t.class == unknownWord {
		if unicode.IsNumber([]rune(t.text + " ")[0]) { // ½, ², Ⅻ
			w.doubt(i, Slip, 0)
		}
		return
	}
	switch t.class {
	case unknownWord:
		w.stranger(i)
	case measured:
		w.measuredWord(i)
	case ordered, blend, other:
		w.endAir(i)
		if t.class == ordered && w.orderedBefore(i) {
			return
		}
		w.mode = t.class
		if next, _, _ := w.after(i); t.class == blend && next < 0 && !w.orderedJust(i) {
			w.orderWord(i)
		}
	case same:
		w.sameIn.mark(t.sentence)
		w.orderWord(i)
	case air, calibrated:
		w.airWord(i)
	case vague, span:
		w.vagueWord(i)
	case both:
		w.bothIn.mark(t.clause)
	case ordinal:
		w.dive = t.n
	case correction:
		w.result.Correction = true
	case not:
		w.negated = true
	case again:
		w.result.Again = true
	case but:
		w.closeClause(i)
		w.endMode(i, false)
	case and:
		w.closeClause(i)
		w.endMode(i, true)
	default:
		w.intent(t)
	}
}

func (w *walker) stranger(i int) {
	w.toks[i].stranger = true
	w.unknownIn(w.toks[i].sentence)
}

// unknownIn counts a word that is not understood.
func (w *walker) unknownIn(sentence int) {
	if w.unknown == nil {
		w.unknown = map[int]int{}
	}
	w.unknown[sentence]++
}

// markedWord takes a label of letters that nobody knows yet: "tank blue: 32.4".
func (w *walker) markedWord(i int) bool {
	t := w.toks[i]
	if r := []rune(t.text); t.kind != kWord || w.before(i).class != labelled || t.class != unknownWord && (len(r) > 1 || isUnspaced(r[0])) {
		return false
	}
	if next, _, _ := w.after(i); next < 0 {
		return false
	}
	w.label, w.loose = t.text, !w.arrowAfter(i)
	return true
}

// newName takes a label of a few letters and digits that nobody knows yet, right
// before its reading: "A14: 31.8". Its digits alone are another label.
func (w *walker) newName(i int) bool {
	t := w.toks[i]
	if t.kind != kWord || t.class != unknownWord || !nameForm.MatchString(t.text) || w.mode != unknownWord {
		return false
	}
	next, plain, arrow := w.after(i)
	if next < 0 || !plain && !arrow || w.toks[next].kind != kNumber || w.toks[next].decimals == 0 {
		return false
	}
	w.label, w.loose = t.text, false
	return true
}

var nameForm = regexp.MustCompile(`^[A-Za-z]{1,3}\d{1,4}$`)

// orderedJust tells whether the word before is what was ordered: "32 nitrox".
func (w *walker) orderedJust(i int) bool {
	n := len(w.orders)
	return n > 0 && w.orders[n-1].token == i-1
}

func (w *walker) measuredWord(i int) {
	if w.mode == air || w.mode == calibrated || w.before(i).class == ordered {
		return // "air reads 20.9", "the sticker reads 32"
	}
	w.mode = unknownWord
}

// orderedBefore makes an order of the number that an ordering word closes:
// "habe 32 bestellt".
func (w *walker) orderedBefore(i int) bool {
	next, _, _ := w.after(i)
	n := len(w.found)
	if next >= 0 || n == 0 || w.found[n-1].clause != w.toks[i].clause {
		return false
	}
	f := w.found[n-1]
	w.found = w.found[:n-1]
	w.orders = append(w.orders, bare{Doubt: Doubt{Text: clip(f.text), Why: Blend, Label: f.Label}, sentence: f.sentence, token: i})
	return true
}

// endAir notes "air" as an order when another subject starts.
func (w *walker) endAir(i int) {
	if w.mode == air {
		w.orderWord(i - 1)
	}
}

// airWord starts an air point, or makes one of the number before it: "20.9 in
// air".
func (w *walker) airWord(i int) {
	t := w.toks[i]
	next, _, _ := w.after(i)
	n := len(w.found)
	if next < 0 && n > 0 && w.found[n-1].clause == t.clause && w.found[n-1].Percent >= 15 && w.found[n-1].Percent <= 25 && !w.found[n-1].explicit {
		f := w.found[n-1]
		w.found = w.found[:n-1]
		w.setAirPoint(f.text, f.Percent, t.class == calibrated)
		return
	}
	if next < 0 && t.class == calibrated {
		return // "just calibrated": no number, no matter
	}
	w.mode = t.class
}

func (w *walker) vagueWord(i int) {
	t := w.toks[i]
	if t.class == span && !w.between(i) {
		return
	}
	w.vagueIn.mark(t.clause)
}

// between tells whether numbers stand on both sides.
func (w *walker) between(i int) bool {
	return i > 0 && w.toks[i-1].kind == kNumber && i+1 < len(w.toks) && w.toks[i+1].kind == kNumber
}

// said is an intent, and whether a whole phrase said it: a single word among
// words that are not understood says nothing ("my back hurts").
type said struct {
	Intent
	phrase bool
}

func (w *walker) intent(t token) {
	name, ok := strings.CutPrefix(string(t.class), intentPrefix)
	if !ok {
		return
	}
	if w.negated { // "not refilled", "never": not what the word says
		w.negated = false
		w.unknownIn(t.sentence)
		return
	}
	switch in := Intent(name); in {
	case Yes:
		w.yes = true
		w.mode = unknownWord
	case No:
		w.no = true
	case DontKnow:
		w.vagueIn.mark(t.clause)
		w.intents = append(w.intents, said{in, true})
	case NotYet, NotDiving, Unsure, Trouble:
		w.hedgedIn.mark(t.sentence)
		w.intents = append(w.intents, said{in, strings.Contains(t.text, " ")})
	default:
		w.intents = append(w.intents, said{in, strings.Contains(t.text, " ")})
	}
}

// analyserName takes "A" after "on" or "analyser", or before an arrow.
func (w *walker) analyserName(i int) bool {
	t := w.toks[i]
	if t.kind != kWord {
		return false
	}
	b := w.before(i)
	led := b.class == on || b.class == analyser
	for _, a := range w.ctx.Analysers {
		if !strings.EqualFold(fold(a), t.text) {
			continue
		}
		if led || len([]rune(a)) > 1 || t.text == fold(a) && unicode.IsUpper([]rune(t.text)[0]) || w.arrowAfter(i) {
			w.useAnalyser(a)
			return true
		}
	}
	if led && t.class == unknownWord && len([]rune(t.text)) == 1 {
		w.useAnalyser(strings.ToUpper(t.text))
		return true
	}
	return false
}

func (w *walker) arrowAfter(i int) bool {
	return i+1 < len(w.toks) && w.toks[i+1].kind == kArrow
}
