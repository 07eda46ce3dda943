package reply

import (
	"slices"

	"gasmuster/internal/gas"
)

// stating goes over the tokens once and gives every reading its place.
type stating struct {
	*message
	open   []Reading // labels and dives that were named, for the number to come
	joined bool      // "14 and 22": the open places are joined
	later  bool      // the place to come is of a cylinder that is done later
	put    int       // the clause that says so of a place, or says more of it; -1 when none does
	both   int       // the clause in which "both" was said, -1 when it was not
	listed bool      // "both: 12 is 31.8, 23 is 33": it came before any label
	asked  gas.Percent
}

func (m *message) state() {
	s := &stating{message: m, both: -1, put: -1}
	for i := range m.toks {
		s.token(i)
	}
	s.close()
}

func (s *stating) token(i int) {
	t := &s.toks[i]
	switch {
	case t.is == isMeter:
		s.useMeter(t.meter)
	case t.is == isLabel, t.is == isDive:
		s.place(i)
	case t.is == isOrder:
		s.asked = gas.Percent(t.value)
	case t.is == isReading:
		s.give(i)
	case t.role == both:
		s.bothWord(i)
	case t.role == alike:
		s.alikeWord(i)
	case t.role == saidNotYet, t.role == will, t.role == inPlace && s.putOff(i):
		s.laterWord(i)
	case t.role == and:
		s.joined = len(s.open) > 0
	case t.kind == kBreak, t.kind == kStop, t.kind == kAsk:
		s.asked = 0
		s.leaveOpen()
	case t.role == monoxide:
		s.open = s.open[:min(len(s.open), 1)]
	case t.is == isMonoxide:
		s.give(i)
	}
}

func (s *stating) placeOf(i int) Reading {
	t := s.toks[i]
	if t.is == isDive {
		return Reading{Dive: t.n}
	}
	return Reading{Label: t.name}
}

// place is a label or a dive: of the number before it in the clause, or of the
// one to come.
func (s *stating) place(i int) {
	p := s.placeOf(i)
	last := len(s.found) - 1
	switch {
	case s.later:
		s.later = false
		next := i + 1
		if next < len(s.toks) && s.toks[next].role == labelled { // 8番も
			next++
		}
		if next < len(s.toks) && s.toks[next].role == and {
			s.refuse(i, TooMany) // later both, or the second now?
		}
		s.result.Later = append(s.result.Later, p.Label)
		s.put = s.toks[i].clause
	case last >= 0 && s.found[last].placed && len(s.open) == 0 && s.echoes(i):
		s.echo(i, p)
	case last >= 0 && s.found[last].clause == s.toks[i].clause && !s.found[last].placed && s.follows(i):
		s.found[last].Label, s.found[last].Dive, s.found[last].placed = p.Label, p.Dive, true
	case len(s.open) == 1 && (s.open[0].Dive > 0) != (p.Dive > 0): // "17, dive 2: 32.4"
		s.open[0].Label += p.Label
		s.open[0].Dive += p.Dive
	default:
		s.open = append(s.open, p)
	}
}

// follows tells whether a place is that of the number before it: a word leads
// to it, or no number comes after it in the clause.
func (s *stating) follows(i int) bool {
	if i > 0 && (s.toks[i-1].role == on || s.toks[i-1].role == labelled && i > 1 && s.toks[i-2].role == on) {
		return true
	}
	for j := i + 1; j < len(s.toks) && s.toks[j].clause == s.toks[i].clause; j++ {
		if is := s.toks[j].is; is == isReading || is == isLabel || is == isDive || s.toks[j].plays(saidNotYet, will) {
			return false
		}
	}
	return true
}

// give gives a number the places that are open for it.
func (s *stating) give(i int) {
	t := s.toks[i]
	if t.is == isMonoxide {
		s.giveMonoxide(t)
		return
	}
	if t.kind == kCompound {
		return // it has its label already
	}
	r := Reading{Percent: gas.Percent(t.value), Asked: s.asked}
	f := found{Reading: r, tok: i, clause: t.clause, proved: s.proves(i)}
	s.asked = 0
	if len(s.open) > 1 && !s.joined {
		s.refuse(i, TooMany)
	}
	if len(s.open) == 0 {
		s.found = append(s.found, f)
	}
	for _, p := range s.open {
		f.Label, f.Dive, f.placed = p.Label, p.Dive, true
		s.found = append(s.found, f)
	}
	s.open, s.joined = nil, false
}

func (s *stating) giveMonoxide(t token) {
	x := Monoxide{PPM: t.value}
	if len(s.open) > 0 {
		x.Label = s.open[0].Label
	}
	s.result.Monoxide = append(s.result.Monoxide, x)
	s.open = nil
}

// proves tells whether a verb of an instrument stands beside a number.
func (s *stating) proves(i int) bool {
	for _, j := range []int{s.left(i, labelled, on, percent, but, and), s.right(i, percent)} {
		if j >= 0 && (s.toks[j].role == measured || s.toks[j].role == analyser) {
			return true
		}
	}
	return false
}

// bothWord says that a number is of all cylinders, or of the two just named.
func (s *stating) bothWord(i int) {
	s.toks[i].done = true
	switch {
	case s.meters() > 1: // both analysers?
		s.refuse(i, TooMany)
	case s.countsTimes(i), s.measuredTwice(i):
	case len(s.open) > 1 && s.joined:
	case len(s.open) > 0:
		s.refuse(i, TooMany)
	case len(s.found) > 1 && s.found[len(s.found)-1].clause == s.toks[i].clause && s.found[len(s.found)-1].placed:
		// "la 14 y la 22 dan 32,4 las dos"
	default:
		s.both, s.listed = s.toks[i].clause, len(s.found) == 0
	}
}

// alikeWord is "the same", which says something only of labels that share the
// number to come or have just shared one. Of anything else it is what was said
// before or ordered, and not accounted for.
func (s *stating) alikeWord(i int) {
	said := slices.ContainsFunc(s.toks, func(t token) bool { return t.role == both })
	s.toks[i].done = s.toks[i].done || len(s.open) > 1 && s.joined || s.shared() || said
}

// shared tells whether all labels so far have one number together.
func (s *stating) shared() bool {
	for _, f := range s.found {
		if !f.placed || f.tok != s.found[0].tok {
			return false
		}
	}
	return len(s.found) > 1
}

// laterWord says that a cylinder is done later: the one just named, or the next.
func (s *stating) laterWord(i int) {
	switch {
	case s.gotNext(i): // "mido la 17 y da 31,4"
	case s.numberNext(i), s.joinsPlaced(i), s.numberBefore(i): // "7 tomorrow is 32.2", "32.0 for 7 and 44 later"
	case len(s.open) > 0:
		for _, p := range s.open {
			s.result.Later = append(s.result.Later, p.Label)
		}
		s.open, s.joined = nil, false
		s.toks[i].done, s.put = true, s.toks[i].clause
	case s.labelAhead(i):
		s.later = true
		s.toks[i].done = true
	case s.clauseHas(i, func(t token) bool { return t.role == rest && t.done }):
		s.toks[i].done, s.put = true, s.toks[i].clause
	case s.put >= 0 && s.toks[i].clause <= s.put+1 && !s.clauseHas(i, func(t token) bool { return t.is != isOpen }):
		s.toks[i].done, s.put = true, s.toks[i].clause // "22 later, hands full"
	}
}

// numberNext tells whether the next number of the clause is no label: then the
// word speaks of that, and of nothing that is done later.
func (s *stating) numberNext(i int) bool {
	for j := i + 1; j < len(s.toks) && s.toks[j].clause == s.toks[i].clause; j++ {
		switch t := s.toks[j]; {
		case t.is == isReading, t.is == isDoubt:
			return true
		case t.is == isLabel:
			i = j // "later 22"; but a number behind that is too much
		}
	}
	return false
}

// numberBefore tells whether the clause gave a number that has no place yet.
func (s *stating) numberBefore(i int) bool {
	last := len(s.found) - 1
	return last >= 0 && !s.found[last].placed && s.found[last].clause == s.toks[i].clause
}

// joinsPlaced tells whether the clause of token i begins with an "and" that
// joins its label to one that a number before it was given to: are both done
// later?
func (s *stating) joinsPlaced(i int) bool {
	for ; i > 0 && s.toks[i-1].clause == s.toks[i].clause; i-- {
	}
	return i > 1 && s.toks[i-1].role == and && s.toks[i-2].is == isLabel && len(s.found) > 0 && len(s.open) < 2
}

func (s *stating) labelAhead(i int) bool {
	for j := i + 1; j < len(s.toks) && s.toks[j].clause == s.toks[i].clause; j++ {
		if s.toks[j].is == isLabel {
			return true
		}
	}
	return false
}

// useMeter gives the analyser to the readings before it that have none, and to
// later ones until another is named.
func (s *stating) useMeter(name string) {
	s.meter, s.result.Analyser = name, name
	for n := range s.found {
		if s.found[n].Analyser == "" {
			s.found[n].Analyser = name
		}
	}
}

// leaveOpen remembers a label that no number followed.
func (s *stating) leaveOpen() {
	if len(s.open) > 0 {
		s.result.Label = s.open[len(s.open)-1].Label
		if len(s.open) > 1 {
			s.result.Label = ""
		}
	}
	s.open, s.joined = nil, false
}

// close gives a label that stood apart to the only number ("32.4, 17"), "both"
// to the number that it was said of, and the analyser to all that have none.
func (s *stating) close() {
	left := s.open
	s.leaveOpen()
	if label := s.result.Label; label != "" && len(s.found) > 0 {
		if len(s.found) == 1 && !s.found[0].placed && len(s.doubts) == 0 && len(left) < 2 {
			s.found[0].Label, s.found[0].placed = label, true
		} else if len(s.doubts) == 0 {
			s.doubts = append(s.doubts, Doubt{Text: clip(label), Why: LabelOrReading})
		}
	} else if len(left) > 0 && len(s.found) > 0 && len(s.doubts) == 0 {
		s.doubts = append(s.doubts, Doubt{Text: clip(s.toks[s.found[0].tok].text), Why: TooMany})
	}
	for n := range s.found {
		f := &s.found[n]
		if s.both >= 0 && !f.placed && len(s.found) == 1 {
			f.Both, f.placed = true, true
		}
		if f.Analyser == "" {
			f.Analyser = s.meter
		}
	}
	if s.both >= 0 && len(s.found) > 0 && !s.shared() && !s.eachPlaced() && (!s.found[0].Both || len(s.result.Later) > 0) {
		s.refuse(s.found[0].tok, TooMany)
	}
}

// eachPlaced tells whether "both" was said first, and each of the cylinders got
// a number of its own after it.
func (s *stating) eachPlaced() bool {
	for _, f := range s.found {
		if !f.placed || f.Both {
			return false
		}
	}
	return s.listed && s.both >= 0 && len(s.found) == s.ctx.Cylinders && s.ctx.Cylinders > 1
}
