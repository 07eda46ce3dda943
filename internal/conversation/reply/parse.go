package reply

import (
	"slices"
	"strconv"
	"strings"
)

// Parse understands text. It never fails: what it can't understand is in
// Result.Unclear, and a Result always says something.
func Parse(text string, ctx Context) Result {
	if len(text) > longestText {
		return Result{Unclear: []Doubt{{Text: clip(fold(text[:clipBytes])), Why: NotNumber}}}
	}
	words := wordsOf(ctx.Language)
	w := &walker{ctx: ctx, words: words, toks: name(lex(text, ctx, words), words)}
	w.findQuestions()
	w.walk()
	w.finish(text)
	return w.result
}

// longestText is how many bytes are read: four for each of the 4,096
// characters of the longest message that a channel takes. Nobody types a
// reading in more; clipBytes of it are quoted.
const (
	longestText = 4 * 4096
	clipBytes   = 400
)

// findQuestions marks sentences that begin as a question does.
func (w *walker) findQuestions() {
	for i, t := range w.toks {
		first := i == 0 || w.toks[i-1].sentence != t.sentence
		if first && t.kind == kWord && w.asksWith(t) {
			w.question.mark(t.sentence)
		}
	}
}

// asksWith tells whether a sentence that begins with t is a question. A
// question word may have been joined to a longer phrase.
func (w *walker) asksWith(t token) bool {
	word, _, _ := strings.Cut(lowerCase(t.text), " ")
	return w.words.questions[lowerCase(t.text)] || t.class == unknownWord && w.words.questions[word]
}

// finish judges the numbers now that the whole text is known.
func (w *walker) finish(text string) {
	w.correct()
	w.judge()
	w.spread()
	w.airDoubt()
	w.count()
	w.move()
	w.decideIntent()
	w.collect(text)
}

// correct makes "no, 31.4" and "undo, 31.4" a correction.
func (w *walker) correct() {
	if len(w.found) == 0 {
		return
	}
	undo := slices.ContainsFunc(w.intents, func(s said) bool { return s.Intent == Undo })
	if w.no || undo {
		w.result.Correction, w.no = true, false
	}
	w.intents = slices.DeleteFunc(w.intents, func(s said) bool { return s.Intent == Undo })
}

// move understands "sorry, 17 not 22".
func (w *walker) move() {
	if w.movesLabel() || len(w.found) > 0 {
		return
	}
	to := w.result.Label
	if to == "" && w.moveFrom != "" {
		to = w.bareWhole
	}
	if to == "" || !w.result.Correction || to == w.moveFrom {
		return
	}
	for _, d := range w.doubts {
		if d.Text != to || d.Suggest.Known() {
			return // something else is in doubt, or the label may be a reading
		}
	}
	w.doubts = nil
	w.result.MoveFrom, w.result.MoveTo = w.moveFrom, to
}

// movesLabel is "sorry, 22 not 17" where 17 is one of the labels and 22 is not:
// 22 is the right label. Where the label could itself be a percentage, the
// numbers may as well be readings, and it is asked.
func (w *walker) movesLabel() bool {
	if len(w.found) != 1 || !slices.Contains(w.ctx.Labels, w.moveFrom) {
		return false
	}
	f := w.found[0]
	if !f.whole || f.explicit {
		return false
	}
	w.found = nil
	if n, err := strconv.ParseFloat(w.moveFrom, 64); err == nil && wholePlausible(n) {
		d := Doubt{Text: clip(f.text), Why: LabelOrReading, Suggest: f.Percent, Label: w.moveFrom}
		w.doubts = append(w.doubts, bare{Doubt: d, sentence: f.sentence})
		return true
	}
	w.result.MoveFrom, w.result.MoveTo = w.moveFrom, f.text
	return true
}

// decideIntent takes the first thing said; yes and no only when nothing else
// was, and when they do not contradict each other.
func (w *walker) decideIntent() {
	strangers := 0
	for _, n := range w.unknown {
		strangers += n
	}
	for _, in := range w.intents {
		if in.Intent != Hello && in.Intent != Thanks && (in.phrase || strangers == 0 && len(w.doubts) == 0) {
			w.result.Intent = in.Intent
			return
		}
	}
	asks := false
	for _, q := range w.question {
		asks = asks || q
	}
	switch {
	case asks:
		w.result.Intent = Asks
	case strangers > 0:
	case w.yes && !w.no:
		w.result.Intent = Yes
	case w.no && !w.yes:
		w.result.Intent = No
	case len(w.intents) > 0 && !w.yes && len(w.doubts) == 0:
		w.result.Intent = w.intents[0].Intent
	}
}

// collect writes the result down.
func (w *walker) collect(text string) {
	for _, f := range w.found {
		w.result.Readings = append(w.result.Readings, f.Reading)
	}
	for _, d := range w.doubts {
		w.result.Unclear = append(w.result.Unclear, d.Doubt)
	}
	if len(w.result.Readings) > 0 {
		w.result.Label = ""
		if len(w.result.Unclear) == 0 {
			return
		}
	}
	if w.understood() {
		return
	}
	w.explain(text)
}

// understood tells whether the result says something without further ado.
func (w *walker) understood() bool {
	r := w.result
	return len(r.Readings) > 0 || len(r.Unclear) > 0 || r.MoveTo != "" || r.AirPoint.Known()
}

// explain says why there is no reading: an order, another quantity, nothing.
func (w *walker) explain(text string) {
	from := w.orders
	if len(from) == 0 && w.result.Intent == None {
		from = w.others
	}
	numbered := false
	for _, d := range from {
		numbered = numbered || strings.ContainsAny(d.Text, "0123456789")
	}
	for _, d := range from {
		if !numbered || strings.ContainsAny(d.Text, "0123456789") { // "trimix 21/35": the number says it all
			w.result.Unclear = append(w.result.Unclear, d.Doubt)
		}
	}
	r := w.result
	if len(r.Unclear) == 0 && r.Intent == None && r.Label == "" && r.Analyser == "" && !r.Correction {
		w.result.Unclear = []Doubt{{Text: clip(fold(text)), Why: NotNumber}}
	}
}
