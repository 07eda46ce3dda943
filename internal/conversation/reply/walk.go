package reply

import (
	"strconv"
	"strings"

	"gasmuster/internal/gas"
)

// found is a number that may become a reading once the whole text is known.
type found struct {
	Reading
	text             string
	whole            bool
	sentence, clause int
	explicit         bool // a label, a dive or an order said which cylinder it is for
}

// bare is a doubt with the place it stands at.
type bare struct {
	Doubt
	sentence int
	token    int
}

// walker goes over the tokens once and keeps what was said so far.
type walker struct {
	ctx    Context
	toks   []token
	words  *vocabulary
	result Result

	found  []found
	doubts []bare
	orders []bare // numbers and words of what was ordered
	others []bare // numbers of other things

	mode    class  // ordered, blend, air, calibrated, other, or measured ("")
	label   string // named last, for the number to come
	loose   bool   // and no number follows it at once
	dive    int
	asked   gas.Percent
	bothIn  places // clauses
	negated bool
	meter   string // the analyser named last

	moveFrom    string
	bareWhole   string      // a whole number that may be a label ("sorry, 17 not 22")
	unknown     map[int]int // words of sentences
	vagueIn     places      // clauses
	hedgedIn    places      // sentences that also say that there is no reading
	sameIn      places      // sentences
	question    places      // sentences
	intents     []said
	yes, no     bool
	airText     string
	airExplicit bool
}

// places are sentences or clauses of which something is so: of most texts, none.
type places map[int]bool

func (p *places) mark(n int) {
	if *p == nil {
		*p = places{}
	}
	(*p)[n] = true
}

func (w *walker) walk() {
	for i := range w.toks {
		w.token(i)
	}
	w.closeClause(len(w.toks))
	w.leftoverLabel()
	if w.mode == air || w.mode == calibrated {
		w.orderWord(len(w.toks) - 1)
	}
}

func (w *walker) token(i int) {
	t := w.toks[i]
	switch t.kind {
	case kNumber:
		w.number(i)
	case kBad:
		w.badNumber(t)
	case kTwoWays:
		w.twoWays(i)
	case kCompound:
		w.compound(i)
	case kBlend:
		w.orders = append(w.orders, w.bareOf(i, Blend, 0))
	case kLabel:
		w.namedLabel(i)
	case kWord, kOther:
		w.word(i)
	case kComma, kBreak, kStop, kAsk:
		w.separator(i)
	case kAround:
		w.vagueIn.mark(t.clause)
	case kHash:
	case kArrow, kDash, kPercent:
	}
}

func (w *walker) bareOf(i int, why Doubtful, suggest gas.Percent) bare {
	t := w.toks[i]
	return bare{Doubt: Doubt{Text: clip(t.text), Why: why, Suggest: suggest, Label: w.label}, sentence: t.sentence, token: i}
}

func (w *walker) doubt(i int, why Doubtful, suggest gas.Percent) {
	w.doubts = append(w.doubts, w.bareOf(i, why, suggest))
	w.label = ""
}

// clip keeps a piece of text short enough to be quoted.
func clip(s string) string {
	r := []rune(strings.TrimSpace(s))
	if len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return string(r)
}

func (w *walker) separator(i int) {
	t := w.toks[i]
	w.closeClause(i)
	if t.kind == kAsk {
		w.question.mark(t.sentence)
	}
	w.endMode(i, t.kind == kComma)
	w.negated = false
}

// endMode ends what the words before said of the numbers to come. A comma
// does not end a list of what was ordered.
func (w *walker) endMode(i int, comma bool) {
	if w.mode == air || w.mode == calibrated {
		w.orderWord(i - 1)
	}
	if !comma || w.mode != ordered && w.mode != blend {
		w.mode = unknownWord
	}
	if k := w.toks[i].kind; k == kBreak || k == kStop || k == kAsk {
		w.asked = 0
	}
}

// orderWord notes that a blend was named in words ("air", "as ordered").
func (w *walker) orderWord(i int) {
	if i >= 0 && i < len(w.toks) {
		w.orders = append(w.orders, w.bareOf(i, Blend, 0))
	}
}

// closeClause gives what was said after a number to it: "32.4 tank 17".
func (w *walker) closeClause(i int) {
	if n := len(w.found); n > 0 && i > 0 {
		last := &w.found[n-1]
		if last.clause == w.toks[i-1].clause {
			if w.label != "" && last.Label == "" {
				last.Label, last.explicit, w.label = w.label, true, ""
			}
			if w.dive != 0 && last.Dive == 0 {
				last.Dive, last.explicit, w.dive = w.dive, true, 0
			}
		}
	}
	if w.label != "" {
		w.result.Label = w.label
	}
	if i > 0 && i < len(w.toks) && w.toks[i].kind != kComma {
		w.label, w.dive = "", 0
	}
}

// leftoverLabel gives a label that stood apart to the only number ("32.4,
// 17"). With several numbers it is not certain which it is for.
func (w *walker) leftoverLabel() {
	label := w.result.Label
	if label == "" || len(w.found) == 0 {
		return
	}
	for _, f := range w.found {
		if f.Label == label {
			return
		}
	}
	switch {
	case len(w.doubts) > 0: // asked about anyway
	case len(w.found) == 1 && w.found[0].Label == "":
		w.found[0].Label, w.found[0].explicit = label, true
		return
	default:
		w.doubts = append(w.doubts, bare{Doubt: Doubt{Text: clip(label), Why: LabelOrReading}})
	}
	for i := range w.found {
		w.found[i].explicit = false
	}
}

// known finds the person's own label that a number is: as typed, or without
// leading zeros.
func (w *walker) known(t token) (string, bool) {
	if t.percent {
		return "", false
	}
	for _, l := range w.ctx.Labels {
		if f := strings.TrimSpace(fold(l)); f == t.text && f != "" {
			return l, true
		}
	}
	n, whole := wholeNumber(t.text)
	if !whole {
		return "", false
	}
	for _, l := range w.ctx.Labels {
		if m, whole := wholeNumber(strings.TrimSpace(fold(l))); whole && m == n {
			return l, true
		}
	}
	return "", false
}

// wholeNumber reads digits, perhaps with a sign; most of what it is asked about
// has others and needs no error made of it.
func wholeNumber(s string) (int, bool) {
	if strings.Trim(s, "+-0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}
