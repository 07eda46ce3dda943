package reply

import (
	"gasmuster/internal/gas"
)

// after is the index of the number that token i leads to: across blanks,
// arrows, words like "is", "reads" and "tank", but no comma. plain says that
// only blanks lie between, arrow that an arrow does.
func (w *walker) after(i int) (j int, plain, arrow bool) {
	plain = true
	for j = i + 1; j < len(w.toks); j++ {
		t := w.toks[j]
		switch {
		case t.kind == kNumber || t.kind == kTwoWays || t.kind == kBad:
			return j, plain, arrow
		case t.kind == kArrow:
			arrow = true
		case t.kind == kDash && !t.glued:
			arrow = true
		case t.kind == kWord && (t.class == filler || t.class == measured || t.class == labelled):
		default:
			return -1, false, arrow
		}
		plain = false
	}
	return -1, false, arrow
}

func (w *walker) before(i int) token {
	if i == 0 {
		return token{kind: kStop}
	}
	return w.toks[i-1]
}

// takesLabel tells whether a number names a cylinder; it then remembers the
// label, or notes the doubt.
func (w *walker) takesLabel(i int) bool {
	t := w.toks[i]
	if t.percent {
		return false
	}
	name, known := w.known(t)
	if w.label != "" {
		return known && t.whole() && (w.loose || w.marked(i)) && w.labelOrReading(i, name, true) // "17, 22": two labels?
	}
	if !known {
		name = t.text
		if t.decimals > 0 {
			return false
		}
	}
	next, plain, arrow := w.after(i)
	marked := w.marked(i)
	switch {
	case arrow && next >= 0:
		return w.useLabel(i, name)
	case marked && next >= 0:
		return w.leads(i, next, name)
	case marked && known && !t.plausible():
		return w.useLabel(i, name)
	case marked:
		return w.labelOrReading(i, name, known)
	case known && w.labelAfter(i, name):
		return true
	case known && next >= 0:
		return w.labelBefore(i, next, name)
	case known:
		return w.labelAlone(i, name)
	case plain && next >= 0 && w.toks[next].decimals > 0 && w.toks[next].plausible():
		return w.newLabelBefore(i, name)
	}
	return false
}

// marked tells whether a word or sign before the number says that it is a
// cylinder's: "tank 17", "#17", "no. 17".
func (w *walker) marked(i int) bool {
	b := w.before(i)
	if b.kind == kHash || b.class == labelled {
		return true
	}
	if b.class == class(intentPrefix+string(No)) && b.kind == kWord {
		_, known := w.known(w.toks[i])
		next, _, _ := w.after(i)
		if known && next >= 0 {
			w.no = false // it said "number"
			return true
		}
	}
	return false
}

func (w *walker) useLabel(i int, name string) bool {
	next, _, _ := w.after(i)
	w.label, w.loose = name, next < 0
	return true
}

func (w *walker) labelOrReading(i int, name string, known bool) bool {
	if known {
		w.result.Label = name
	}
	w.bareWhole = name
	w.doubt(i, LabelOrReading, w.suggestion(i))
	return true
}

func (w *walker) suggestion(i int) gas.Percent { return plausibly(w.toks[i].value) }

// labelBefore is one of the person's labels followed by a number. "22 36"
// could also be two readings.
func (w *walker) labelBefore(i, next int, name string) bool {
	t, n := w.toks[i], w.toks[next]
	if t.plausible() && n.kind == kNumber && n.whole() && n.plausible() && w.ctx.Cylinders != 1 && !w.paired() {
		return w.labelOrReading(i, name, true)
	}
	return w.leads(i, next, name)
}

// leads takes a label with the number after it, unless that is a label, too.
func (w *walker) leads(i, next int, name string) bool {
	n := w.toks[next]
	w.useLabel(i, name)
	if !w.joined(i, next) && n.whole() && n.plausible() && w.isKnown(n) { // "17 22": two labels?
		w.doubt(next, LabelOrReading, w.suggestion(next))
		w.toks[next].kind = kTaken
	}
	return true
}

// joined tells whether a sign or word between two numbers says that the second
// is what the first reads: "17: 22", "17 is 22".
func (w *walker) joined(i, next int) bool {
	for _, t := range w.toks[i+1 : next] {
		if t.kind == kArrow || t.kind == kDash || t.class == measured {
			return true
		}
	}
	return false
}

// paired tells whether there are more numbers than cylinders, so that some of
// them must be labels.
func (w *walker) paired() bool {
	n := 0
	for _, t := range w.toks {
		if t.kind == kNumber && t.unit == noUnit {
			n++
		}
	}
	return w.ctx.Cylinders > 0 && n > w.ctx.Cylinders
}

// labelAfter is a label that a word leads to from the number before it: "32.4
// on 17 36.1 on 22".
func (w *walker) labelAfter(i int, name string) bool {
	n := len(w.found)
	if w.before(i).class != on || n == 0 {
		return false
	}
	last := &w.found[n-1]
	if last.clause != w.toks[i].clause || last.Label != "" || w.unlabelled(last.clause) > 1 {
		return false
	}
	last.Label, last.explicit = name, true
	return true
}

// unlabelled counts the numbers of a clause that have no label yet, when the
// last number is one of them.
func (w *walker) unlabelled(clause int) int {
	n := 0
	for i := len(w.found) - 1; i >= 0 && w.found[i].clause == clause; i-- {
		if w.found[i].Label != "" {
			break
		}
		n++
	}
	return n
}

// labelAlone is one of the labels with no number after it: "32.4 on 17", "17".
func (w *walker) labelAlone(i int, name string) bool {
	t := w.toks[i]
	switch n := w.unlabelled(t.clause); {
	case n == 1 && !t.plausible():
		last := &w.found[len(w.found)-1]
		last.Label, last.explicit = name, true
		return true
	case n > 1: // "32.4 36.1 17": whose?
		return w.labelOrReading(i, name, true)
	}
	if t.plausible() && w.before(i).class != on {
		return w.labelOrReading(i, name, true)
	}
	w.result.Label = name
	return w.useLabel(i, name)
}

// newLabelBefore is a number that nobody knows as a label right before a
// reading: a label that the diver reads off the cylinder, if it can be nothing else.
func (w *walker) newLabelBefore(i int, name string) bool {
	t := w.toks[i]
	switch {
	case t.plausible():
		return w.labelOrReading(i, name, false)
	case isPressure(t.value):
		return false
	}
	return w.useLabel(i, name)
}

// namedLabel is a label with letters in it.
func (w *walker) namedLabel(i int) {
	name := string(w.toks[i].class)
	next, _, _ := w.after(i)
	if len([]rune(name)) == 1 && next < 0 && w.before(i).class != on && w.before(i).class != labelled && len(w.toks) > 1 {
		return // "a" is a word of its own
	}
	if w.negated {
		w.negated, w.moveFrom, w.result.Correction = false, name, true
		return
	}
	if n := len(w.found); next < 0 && n > 0 && w.found[n-1].clause == w.toks[i].clause && w.found[n-1].Label == "" {
		w.found[n-1].Label, w.found[n-1].explicit = name, true
		return
	}
	w.label = name
	w.result.Label = name
}

// takesDive is the number in "dive 2".
func (w *walker) takesDive(i int) bool {
	t := w.toks[i]
	return w.before(i).class == dive && t.whole() && t.value >= 1 && t.value <= 9
}

// takesAnalyser is an analyser whose name is a number, after a word that says so.
func (w *walker) takesAnalyser(i int) bool {
	b := w.before(i)
	if b.class != on && b.class != analyser {
		return false
	}
	t := w.toks[i]
	for _, a := range w.ctx.Analysers {
		if fold(a) != t.text {
			continue
		}
		if _, isLabel := w.known(t); isLabel && b.class != analyser {
			continue
		}
		w.useAnalyser(a)
		return true
	}
	return false
}

// useAnalyser gives the analyser to the readings before it that have none, and
// to later ones until another is named.
func (w *walker) useAnalyser(name string) {
	w.meter = name
	w.result.Analyser = name
	for n := range w.found {
		if w.found[n].Analyser == "" {
			w.found[n].Analyser = name
		}
	}
}
