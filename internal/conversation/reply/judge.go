package reply

import (
	"gasmuster/internal/gas"
)

// The whole text decides about each number: a question, a guess, a stranger's
// name or a second number beside it make it a doubt.

// judge turns numbers into doubts that stand in a question, beside vague
// words, beside words that are not understood, or that only say what was
// ordered.
func (w *walker) judge() {
	w.spreadVague()
	strangers := w.strangers()
	kept := w.found[:0]
	for _, f := range w.found {
		switch {
		case w.question[f.sentence]:
			w.demote(f, Question)
		case w.vagueIn[f.clause], w.hedgedIn[f.sentence]:
			w.demote(f, Vague)
		case w.sameIn[f.sentence] && isWhole(float64(f.Percent)):
			w.demote(f, Blend)
		case w.unknown[f.sentence] > 0 && !f.explicit, strangers[f.clause]:
			w.demote(f, Words)
		default:
			kept = append(kept, f)
		}
	}
	w.found = kept
}

// strangers are the clauses with a word that is not understood.
func (w *walker) strangers() places {
	var clauses places
	for _, t := range w.toks {
		if t.kind == kWord && t.stranger {
			clauses.mark(t.clause)
		}
	}
	return clauses
}

// spreadVague lets vague words without a number of their own speak of the
// whole sentence: "32.4, I think".
func (w *walker) spreadVague() {
	numbers, sentences := map[int]bool{}, map[int]bool{}
	for _, t := range w.toks {
		switch t.kind {
		case kNumber, kBad, kTwoWays, kCompound, kTaken:
			numbers[t.clause] = true
		}
	}
	for _, t := range w.toks {
		if w.vagueIn[t.clause] && !numbers[t.clause] {
			sentences[t.sentence] = true
		}
	}
	for _, t := range w.toks {
		if sentences[t.sentence] {
			w.vagueIn.mark(t.clause)
		}
	}
}

func (w *walker) demote(f found, why Doubtful) {
	suggest := f.Percent
	if why == Blend {
		suggest = 0
	}
	w.doubts = append(w.doubts, bare{Doubt: Doubt{Text: clip(f.text), Why: why, Suggest: suggest, Label: f.Label}, sentence: f.sentence})
}

// spread gives "both" and the analyser to the readings they were said of. A
// reading without a cylinder beside another number that is in doubt is in
// doubt as well: which of the two is it?
func (w *walker) spread() {
	doubts := len(w.doubts)
	kept := w.found[:0]
	for _, f := range w.found {
		if doubts > 0 && !f.explicit {
			w.demote(f, TooMany)
			continue
		}
		kept = append(kept, f)
	}
	w.found = kept
	if len(w.found) == 1 && w.bothIn[w.found[0].clause] && !w.found[0].explicit {
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
	why, suggest := AirOrReading, plausibly(float64(p))
	if bareOrder {
		why, suggest = Blend, 0
	}
	w.result.AirPoint = 0
	w.doubts = append(w.doubts, bare{Doubt: Doubt{Text: w.airText, Why: why, Suggest: suggest}})
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
	both := false
	for _, f := range w.found {
		both = both || w.bothIn[f.clause]
	}
	tooMany := w.ctx.Cylinders > 0 && free+len(seen) > w.ctx.Cylinders || both && len(w.found) > 1 || len(w.found) > mostReadings
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
