package reply

import (
	"strings"

	"gasmuster/internal/gas"
)

// What a number is, from the words and signs around it.

// number decides what a plain number is.
func (w *walker) number(i int) {
	t := w.toks[i]
	switch {
	case t.unit == unitPressure:
		w.others = append(w.others, w.bareOf(i, Pressure, 0))
	case t.unit != noUnit:
		w.others = append(w.others, w.bareOf(i, OtherUnit, 0))
	case t.weak && w.isKnown(token{kind: kNumber, text: t.text[len(t.text)-1:]}): // "trentadue e quattro", and there is a cylinder 4
		w.doubt(i, LabelOrReading, w.suggestion(i))
	case w.afterHours(i):
		w.others = append(w.others, w.bareOf(i, OtherUnit, 0))
	case w.minus(i):
		w.toks[i].text = "-" + t.text
		w.doubt(i, Slip, w.suggestion(i))
	case w.negated:
		w.negative(i)
	case w.takesDive(i):
		w.dive = int(t.value)
	case w.takesAnalyser(i):
	case w.mode == other, w.namesOther(i):
		w.others = append(w.others, w.bareOf(i, OtherUnit, 0))
		w.mode = unknownWord
	case w.mode == ordered, w.mode == blend && isWhole(t.value), w.namesBlend(i):
		w.order(i)
	case w.slipped(i), w.spanned(i), w.takesLabel(i):
	case w.adrift(i):
		w.doubt(i, Words, w.suggestion(i))
	case w.mode == air, w.mode == calibrated:
		w.airPoint(i)
	default:
		w.take(i)
	}
}

// afterHours tells whether a whole number is the minutes of "20 h 30".
func (w *walker) afterHours(i int) bool {
	b := w.before(i)
	return b.kind == kNumber && b.unit == unitOther && w.toks[i].whole() && w.toks[i].value < 60
}

// minus tells whether a sign that stands off what is before it sticks to the
// number: "-32.4". Perhaps a bullet; no analyser shows it.
func (w *walker) minus(i int) bool {
	return w.before(i).kind == kDash && !w.before(i).glued && w.toks[i].glued
}

func isWhole(v float64) bool { return v == float64(int(v)) }

// namesBlend tells whether a blend's name follows a whole number: "32 nitrox".
func (w *walker) namesBlend(i int) bool {
	return i+1 < len(w.toks) && w.toks[i+1].class == blend && isWhole(w.toks[i].value)
}

// namesOther tells whether the word after a number says that it is something
// else: "33 MOD".
func (w *walker) namesOther(i int) bool {
	if i+1 >= len(w.toks) || w.toks[i+1].class != other {
		return false
	}
	next, _, _ := w.after(i + 1)
	return next < 0
}

// adrift tells whether a number stands after "in", "at", "for" or "dive"
// without being anything that those lead to: "back in 20", "at 20.30".
func (w *walker) adrift(i int) bool {
	t, b := w.toks[i], w.before(i)
	if b.class != on && b.class != dive || t.percent {
		return false
	}
	clock := t.decimals == 2 && t.value < 24 && t.value-float64(int(t.value)) < 0.595
	return t.whole() || clock
}

func (w *walker) order(i int) {
	w.orders = append(w.orders, w.bareOf(i, Blend, 0))
	w.asked = gas.Percent(w.toks[i].value)
}

// take makes a number a reading, if it can be one.
func (w *walker) take(i int) {
	t := w.toks[i]
	confirmed := w.ctx.Confirming.Known() && gas.Percent(t.value) == w.ctx.Confirming &&
		t.value >= leastPercent && t.value <= mostPercent
	if !t.plausible() && !confirmed {
		why, suggest := t.doubtful()
		if why == LabelOrReading {
			w.bareWhole = t.text
		}
		w.doubt(i, why, suggest)
		return
	}
	w.found = append(w.found, found{
		Reading: Reading{Label: w.label, Dive: w.dive, Asked: w.asked, Percent: gas.Percent(t.value), Both: false},
		text:    t.text, whole: t.whole(), sentence: t.sentence, clause: t.clause,
		explicit: w.label != "" || w.dive != 0,
	})
	w.label, w.dive, w.asked = "", 0, 0
	if w.mode == blend || w.mode == same {
		w.mode = unknownWord
	}
}

// negative is the number in "31.4, not 32.4" and "17, not 22".
func (w *walker) negative(i int) {
	w.negated = false
	w.result.Correction = true
	t := w.toks[i]
	if name, ok := w.known(t); ok || t.whole() {
		if !ok {
			name = t.text
		}
		w.moveFrom = name
	}
}

func (w *walker) badNumber(t token) {
	d := Doubt{Text: clip(t.text), Why: Slip, Suggest: plausibly(t.value), Label: w.label}
	if t.unit != noUnit {
		w.others = append(w.others, bare{Doubt: d, sentence: t.sentence})
		return
	}
	w.doubts = append(w.doubts, bare{Doubt: d, sentence: t.sentence})
	w.label = ""
}

// twoWays is 32,36: two numbers, unless there is but one cylinder.
func (w *walker) twoWays(i int) {
	t := &w.toks[i]
	first, _, _ := strings.Cut(t.text, ",")
	_, isLabel := w.known(token{kind: kNumber, text: first})
	if t.percent || w.label != "" || w.ctx.Cylinders == 1 && !isLabel {
		t.kind = kNumber
		w.number(i)
		return
	}
	w.doubt(i, TwoWays, 0)
}

// compound is a date, a time or a phone number, or a label and a whole
// number typed close together: "17:32".
func (w *walker) compound(i int) {
	t := w.toks[i]
	a, b, cut := strings.Cut(t.text, ":")
	v := parseNumber(b)
	name, ok := w.known(token{kind: kNumber, text: a})
	if !cut || !ok || t.unit != noUnit || !wholePlausible(v) || len(b) != 2 || w.wordy() {
		w.others = append(w.others, w.bareOf(i, OtherUnit, 0))
		return
	}
	w.found = append(w.found, found{Reading: Reading{Label: name, Percent: gas.Percent(v)}, text: b, whole: true,
		sentence: t.sentence, clause: t.clause, explicit: true})
}

// wordy tells whether there are any words in the text: with words, 17:32 is a
// time of day.
func (w *walker) wordy() bool {
	for _, t := range w.toks {
		if t.kind == kWord {
			return true
		}
	}
	return false
}

// airPoint is what the analyser showed in fresh air, or a cylinder of air.
func (w *walker) airPoint(i int) {
	t := w.toks[i]
	explicit := w.mode == calibrated
	w.mode, w.loose = unknownWord, true
	if w.isKnown(t) {
		w.doubt(i, LabelOrReading, w.suggestion(i))
		return
	}
	if t.value < 15 || t.value > 25 {
		w.doubt(i, AirOrReading, plausibly(t.value))
		return
	}
	w.setAirPoint(t.text, gas.Percent(t.value), explicit)
}

func (w *walker) setAirPoint(text string, p gas.Percent, explicit bool) {
	w.result.AirPoint, w.airText, w.airExplicit = p, text, explicit
}
