package reply

import "gasmuster/internal/gas"

// Parse understands text. It never fails: what it can't understand is in
// Result.Unclear, and a Result always says something.
func Parse(text string, ctx Context) Result {
	words := wordsOf(ctx.Language)
	w := &walker{ctx: ctx, words: words, toks: name(lex(text, ctx, words), words),
		unknown: map[int]int{}, vagueIn: map[int]bool{}, sameIn: map[int]bool{}, question: map[int]bool{}}
	w.findQuestions()
	w.walk()
	w.finish(text)
	return w.result
}

// findQuestions marks sentences that begin as a question does.
func (w *walker) findQuestions() {
	sentence := -1
	for _, t := range w.toks {
		if t.sentence == sentence || t.kind != kWord || t.class == filler || t.class == unknownWord && !w.words.questions[lowerCase(t.text)] {
			if t.kind == kWord && t.class == unknownWord {
				sentence = t.sentence
			}
			continue
		}
		sentence = t.sentence
		if w.words.questions[lowerCase(t.text)] {
			w.question[t.sentence] = true
		}
	}
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

// correct makes "no, 31.4" a correction.
func (w *walker) correct() {
	if w.no && len(w.found) > 0 {
		w.result.Correction, w.no = true, false
	}
}

// judge turns numbers into doubts that stand in a question, beside vague
// words, beside words that are not understood, or that only say what was
// ordered.
func (w *walker) judge() {
	kept := w.found[:0:0]
	for _, f := range w.found {
		switch {
		case w.question[f.sentence]:
			w.demote(f, Question)
		case w.vagueIn[f.clause]:
			w.demote(f, Vague)
		case w.sameIn[f.sentence] && f.whole:
			w.demote(f, Blend)
		case w.unknown[f.sentence] > 0 && !f.explicit:
			w.demote(f, Words)
		default:
			kept = append(kept, f)
		}
	}
	w.found = kept
}

func (w *walker) demote(f found, why Doubtful) {
	suggest := f.Percent
	if why == Blend {
		suggest = 0
	}
	w.doubts = append(w.doubts, bare{Doubt: Doubt{Text: clip(f.text), Why: why, Suggest: suggest, Label: f.Label}, sentence: f.sentence, labelled: f.Label != ""})
}

// spread gives "both" and the analyser to the readings they were said of. A
// reading without a cylinder beside another number that is in doubt is in
// doubt as well: which of the two is it?
func (w *walker) spread() {
	plain := 0
	for _, d := range w.doubts {
		if !d.labelled {
			plain++
		}
	}
	kept := w.found[:0:0]
	for _, f := range w.found {
		if plain > 0 && !f.explicit {
			w.demote(f, TooMany)
			continue
		}
		kept = append(kept, f)
	}
	w.found = kept
	if w.both && len(w.found) == 1 && !w.found[0].explicit {
		w.found[0].Both = true
	}
	for i := range w.found {
		if w.found[i].Analyser == "" {
			w.found[i].Analyser = w.meter
		}
	}
}

// airDoubt asks when "air 20.9" may also be a cylinder of air.
func (w *walker) airDoubt() {
	p := w.result.AirPoint
	if !p.Known() || w.airExplicit {
		return
	}
	airCylinder := false
	for _, a := range w.ctx.Asked {
		airCylinder = airCylinder || a == gas.Air
	}
	bareOrder := len(w.found) == 0 && isWhole(float64(p))
	if !airCylinder && !bareOrder {
		return
	}
	why := AirOrReading
	if bareOrder {
		why = Blend
	}
	w.result.AirPoint = 0
	w.doubts = append(w.doubts, bare{Doubt: Doubt{Text: w.airText, Why: why, Suggest: plausibly(float64(p))}, labelled: true})
}

// count doubts more readings than there are cylinders, and two for one.
func (w *walker) count() {
	seen := map[string]bool{}
	free, twice := 0, false
	for _, f := range w.found {
		if f.Label == "" {
			free++
		} else if twice = twice || seen[f.Label]; !twice {
			seen[f.Label] = true
		}
	}
	tooMany := w.ctx.Cylinders > 0 && free+len(seen) > w.ctx.Cylinders && free > 0 || w.both && len(w.found) > 1 || len(w.found) > mostReadings
	if !tooMany && !twice {
		return
	}
	for _, f := range w.found {
		w.demote(f, TooMany)
	}
	w.found = nil
}

// mostReadings in one message: as many as a person may have cylinders.
const mostReadings = 6

// move understands "sorry, 17 not 22".
func (w *walker) move() {
	if len(w.found) > 0 {
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

// decideIntent takes the first thing said; yes and no only when nothing else
// was, and when they do not contradict each other.
func (w *walker) decideIntent() {
	strangers := 0
	for _, n := range w.unknown {
		strangers += n
	}
	for _, in := range w.intents {
		if in != Hello && in != Thanks {
			w.result.Intent = in
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
	case len(w.intents) > 0 && !w.yes:
		w.result.Intent = w.intents[0]
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
	for _, d := range from {
		w.result.Unclear = append(w.result.Unclear, d.Doubt)
	}
	r := w.result
	if len(r.Unclear) == 0 && r.Intent == None && r.Label == "" && r.Analyser == "" && !r.Correction {
		w.result.Unclear = []Doubt{{Text: clip(fold(text)), Why: NotNumber}}
	}
}
