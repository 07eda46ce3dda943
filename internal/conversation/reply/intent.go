package reply

import (
	"slices"
	"strings"
)

// intent is what was said in words. A message that gives numbers says it only
// beside them; any other says one thing, known as a whole, with nothing beside
// it but neutral words and those that it has room for.
func (m *message) intent() {
	if m.refused {
		if m.reason.Why == Question {
			m.result.Intent = Asks
		}
		return
	}
	m.aloneYes()
	m.keeping()
	said := m.said()
	if m.states() {
		m.also(said)
		return
	}
	in, ok := m.one(said)
	if !ok || in != None && !m.roomFor(in) || in == None && !m.roomFor(Hello) {
		in = m.overheard(said)
		if in == None && len(said) == 0 && m.plans() {
			in = NotYet
		}
		if in == None {
			m.result, m.doubts = Result{}, nil
			m.orderDoubts()
			return
		}
		m.result = Result{Label: m.result.Label, Later: m.result.Later}
	}
	m.result.Intent, m.result.Loose = in, in == No && m.loose()
	stops := func(t token) bool { return m.words.stops[lowerCase(t.text)] }
	m.result.Stop = in == Cancel && slices.ContainsFunc(m.toks, stops)
}

// plans tells whether the message says no more than where or when: "on the
// boat then", to whoever waits for a reading.
func (m *message) plans() bool {
	placed := false
	for _, t := range m.toks {
		placed = placed || t.plays(inPlace, will)
		word := t.kind == kWord && t.plays(neutral, inPlace, will, past, act, when, on, saidThanks)
		if !word && !t.kind.separates() && t.kind != kEmoji && t.is != isLabel {
			return false
		}
	}
	return placed
}

// aloneYes makes a yes of a word that is one only when nothing else is said: 是.
func (m *message) aloneYes() {
	yes := -1
	for i, t := range m.toks {
		switch {
		case t.kind == kNumber, t.kind == kLabel:
			return
		case t.kind != kWord || t.role == neutral || t.role == saidYes || t.role == when || t.role == act:
		case m.words.aloneYes[lowerCase(t.text)]:
			yes = i
		default:
			return
		}
	}
	if yes >= 0 {
		m.toks[yes].role = saidYes
	}
}

// keeping makes an answer to the boat question of "with me", whatever verb of
// staying stands beside it, and of "at mine" when one does. Anything else beside
// it has no room.
func (m *message) keeping() {
	if m.states() {
		return
	}
	m.unparted()
	m.unaccented()
	stays := slices.ContainsFunc(m.toks, func(t token) bool { return t.plays(stay, always, withMe) })
	for i, t := range m.toks {
		if t.role == withMe || t.role == atMine && stays {
			m.toks[i].role = saidKept
			return
		}
	}
}

// unaccented makes a yes of a first word that also means if, where an answer follows
// without a comma: "si la tuve siempre conmigo". A condition has another clause.
func (m *message) unaccented() {
	one := !slices.ContainsFunc(m.toks, func(t token) bool { return t.kind.separates() && t.kind != kStop })
	kept := slices.ContainsFunc(m.toks, func(t token) bool { return t.plays(saidKept, unparted, withMe, atMine) })
	if kept && one && m.toks[0].role == maybeYes && m.toks[1].kind == kWord {
		m.toks[0].role = saidYes
	}
}

// unparted makes an answer to the boat question of a phrase that denies in it,
// "never left my side", when nothing stands beside it but a yes, a courtesy and
// the cylinder.
func (m *message) unparted() {
	at := slices.IndexFunc(m.toks, func(t token) bool { return t.role == unparted })
	if at < 0 {
		return
	}
	for i, t := range m.toks {
		room := t.plays(neutral, vocative, labelled, both, always, saidYes, saidHello, saidThanks)
		if i != at && !(t.kind == kWord && room && !m.passes(t)) && t.is != isLabel && !t.kind.separates() &&
			t.kind != kEmoji {
			return
		}
	}
	m.toks[at].role = saidKept
}

// said are the intents of the words, each once, in their order.
func (m *message) said() []Intent {
	var all []Intent
	for _, t := range m.toks {
		name, ok := strings.CutPrefix(string(t.role), intentPrefix)
		if in := Intent(name); ok && !slices.Contains(all, in) && !(t.done && (in == NotYet || in == Undo)) && in != No {
			all = append(all, in)
		}
	}
	if m.no {
		all = append([]Intent{No}, all...)
	}
	return all
}

// also is what was said beside numbers.
func (m *message) also(said []Intent) {
	for _, in := range said {
		weak := m.result.Intent == None || polite[m.result.Intent] && !polite[in] || m.result.Intent == Yes && !polite[in]
		if in != No && weak {
			m.result.Intent = in
		}
	}
}

// one is the only thing that was said. Courtesies stand beside anything, a yes
// or a no beside what it affirms.
func (m *message) one(said []Intent) (Intent, bool) {
	var main, courtesies []Intent
	for _, in := range said {
		if polite[in] {
			courtesies = append(courtesies, in)
		} else {
			main = append(main, in)
		}
	}
	if len(main) == 2 && affirms[main[0]][main[1]] {
		main = main[1:]
	} else if len(main) == 2 && affirms[main[1]][main[0]] {
		main = main[:1]
	}
	switch {
	case len(main) > 1:
		return None, false
	case len(main) == 1:
		return main[0], true
	case len(courtesies) > 0:
		return courtesies[0], true
	}
	return None, true
}

var polite = map[Intent]bool{Hello: true, Thanks: true}

// affirms are the answers that a yes or a no may stand before: "no, not
// yet", "yes, they topped it up". To the boat question "no, it stayed with me"
// is no answer: it denies.
var affirms = map[Intent]map[Intent]bool{
	Yes: {Kept: true, OutOfSight: true, Refilled: true, NewCylinder: true, NoDecimals: true},
	No:  {NotYet: true, DontKnow: true, Unsure: true, NoDecimals: true, NotDiving: true},
}

// passes tells whether a word says that something is so now, at last or after a
// while, which is not all the time. Of the neutral words an answer to the boat
// question has room for single ones only: phrases say more.
func (m *message) passes(t token) bool {
	return m.words.passing[lowerCase(t.text)] || t.role == neutral && strings.Contains(t.text, " ")
}

// roomFor tells whether the words beside an answer or a wish have room beside it.
func (m *message) roomFor(in Intent) bool {
	for i, t := range m.toks {
		said := strings.HasPrefix(string(t.role), intentPrefix)
		if in == Kept && m.passes(t) {
			m.reason = Doubt{Why: NotNumber, Word: clip(t.text), Role: string(t.role)}
			return false
		}
		if t.kind != kWord || t.done || said || t.plays(neutral, vocative) || roomBeside[in][t.role] {
			continue
		}
		if t.role == and && i+1 < len(m.toks) && m.isLabelAt(m.left(i)) && m.isLabelAt(m.right(i, labelled)) {
			continue // "17 and 22 stayed with me"
		}
		if (in == None || in == Hello) && t.plays(on, analyser, labelled) {
			continue
		}
		m.reason = Doubt{Why: NotNumber, Word: clip(m.toks[i].text), Role: string(t.role)}
		return false
	}
	switch in {
	case Kept:
		return m.saidOfOneOrAll() && !m.result.Correction
	case OutOfSight:
		return m.saidOfOneOrAll()
	case Yes: // "yes, a mistake" says two things
		return m.result.Label == "" && !m.result.Correction
	case No: // "no, cylinder 9" answers another question
		return m.result.Label == "" && !m.abbreviates()
	}
	return true
}

// saidOfOneOrAll tells whether an answer names no cylinder, one, or each of the
// person's: of one it is that one's answer, of some of several nobody's.
func (m *message) saidOfOneOrAll() bool {
	named := len(m.labelsNamed())
	return named == 0 || named == 1 && m.result.Label != "" || named == m.ctx.Cylinders
}

// besideKeeping tells whether the message says where cylinders were, or what was
// done to them, and all its numbers are labels of the person's.
func (m *message) besideKeeping() bool {
	said := false
	for _, t := range m.toks {
		said = said || t.plays(saidKept, unparted, withMe, atMine, saidOutOfSight)
		if t.kind == kTwoWays || t.kind == kBad || t.kind == kCompound || t.kind == kNumber && t.is != isMeter &&
			!m.isKnown(t) {
			return false
		}
	}
	return said
}

// loose tells whether a no says only that there was none, that no dive was made, or
// that nothing is wanted, or stands beside a word of correction ("rather no") or of a
// while ("no, just briefly"): it denies, but not all of what was asked of a cylinder.
func (m *message) loose() bool {
	return m.result.Correction || slices.ContainsFunc(m.toks, func(t token) bool {
		return t.plays(answerNo, saidThanks) || m.words.loose[lowerCase(t.text)] || m.passes(t)
	})
}

// abbreviates tells whether a letter that is a no by itself has something beside
// it: "n/a".
func (m *message) abbreviates() bool {
	return len(m.toks) > 1 && slices.ContainsFunc(m.toks, func(t token) bool {
		return t.kind == kWord && t.role == maybeNo && len(t.text) == 1
	})
}
