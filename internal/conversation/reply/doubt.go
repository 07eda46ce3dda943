package reply

import (
	"slices"
	"strings"

	"gasmuster/internal/gas"
)

// reading makes a number a reading, if it can be one.
func (m *message) reading(i int) {
	t := m.toks[i]
	confirmed := m.ctx.Confirming.Known() && gas.Percent(t.value) == m.ctx.Confirming &&
		t.value >= leastPercent && t.value <= mostPercent
	if t.plausible() || confirmed {
		m.claim(i, isReading)
		return
	}
	why, suggest := t.doubtful()
	m.doubt(i, why, suggest)
}

// doubt asks about a number, and accounts for it.
func (m *message) doubt(i int, why Doubtful, suggest gas.Percent) {
	m.claim(i, isDoubt)
	d := Doubt{Text: clip(m.toks[i].text), Why: why, Suggest: suggest}
	for j := i - 1; j >= 0 && m.toks[j].clause == m.toks[i].clause; j-- {
		if m.toks[j].is == isReading || m.toks[j].is == isDoubt {
			break
		}
		if m.toks[j].is == isLabel {
			d.Label = m.toks[j].name
			m.toks[j].is = isOrder // it has its number
			break
		}
	}
	m.doubts = append(m.doubts, d)
}

// demote makes a doubt of what would have been a reading.
func (m *message) demote(f found, why Doubtful) {
	d := Doubt{Text: clip(m.toks[f.tok].text), Why: why, Suggest: f.Percent, Label: f.Label}
	if why == Blend {
		d.Suggest = 0
	}
	m.blame(d)
}

// blame notes a doubt with the word that was not accounted for.
func (m *message) blame(d Doubt) {
	d.Word, d.Role = m.reason.Word, m.reason.Role
	d.Others = slices.ContainsFunc(m.toks, func(t token) bool { return t.role == subject && !t.done })
	m.doubts = append(m.doubts, d)
}

// clip keeps a piece of text short enough to be quoted.
func clip(s string) string {
	r := []rune(strings.TrimSpace(s))
	if len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return string(r)
}

// conclude writes the result down.
func (m *message) conclude(text string) {
	if m.result.Outside {
		return
	}
	if m.refused {
		m.refuseAll()
	}
	for _, f := range m.found {
		m.result.Readings = append(m.result.Readings, f.Reading)
	}
	m.intent()
	if len(m.result.Readings) > 0 {
		m.result.Label = ""
	}
	m.result.Unmade = (m.result.Intent == NotYet || len(m.result.Later) > 0) && m.unmade()
	m.result.Unclear = append(m.result.Unclear, m.doubts...)
	if m.saysNothing() {
		m.blame(Doubt{Text: clip(fold(text)), Why: NotNumber})
		m.result.Unclear = m.doubts
		m.result.Keeping = m.speaksOfKeeping()
	}
	if len(m.result.Unclear) > 0 && !m.ofOwnLabel() && m.saysMonoxide() {
		m.raise(BadGas)
	}
}

// speaksOfKeeping tells whether words that were not understood may be about where a
// cylinder was, or take back what was said of that: "it was not with me", "sorry, yes".
func (m *message) speaksOfKeeping() bool {
	return slices.ContainsFunc(m.toks, func(t token) bool {
		return t.plays(withMe, atMine, stay, always, unparted, wrong, correction, meant,
			saidYes, saidKept, saidUnsure, saidOutOfSight, saidDontKnow)
	})
}

// saysMonoxide tells whether a message names more carbon monoxide than may be passed
// over. Where it is not clear which cylinder that is in, a leader hears the words:
// asking for them again could lose the number.
func (m *message) saysMonoxide() bool {
	named := slices.ContainsFunc(m.toks, func(t token) bool { return t.role == monoxide })
	return named && slices.ContainsFunc(m.toks, func(t token) bool {
		return t.value > noteMonoxide && (t.is == isMonoxide || t.unit == unitPPM)
	})
}

// ofOwnLabel tells whether all that is unclear is one of the person's labels beside
// carbon monoxide, which can be nothing else: "18 CO 9".
func (m *message) ofOwnLabel() bool {
	d := m.result.Unclear[0]
	own := slices.ContainsFunc(m.ctx.Labels, func(l string) bool { return l == d.Text })
	return own && len(m.result.Unclear) == 1 && d.Why == LabelOrReading && len(m.result.Monoxide) == 1
}

// refuseAll takes everything back that would have been recorded or answered.
func (m *message) refuseAll() {
	why := m.reason.Why
	for i := range m.doubts { // the word says more than the count
		if d := &m.doubts[i]; d.Why == TooMany && m.reason.Word != "" && why != TooMany {
			d.Why, d.Word, d.Role = m.whyBeside(why), m.reason.Word, m.reason.Role
		}
	}
	for _, f := range m.found {
		m.demote(f, m.whyBeside(why))
	}
	if m.result.AirPoint.Known() {
		m.blame(Doubt{Text: m.airText(), Why: AirOrReading, Suggest: plausibly(float64(m.result.AirPoint))})
	}
	if len(m.doubts) == 0 || why == Pressure || why == OtherUnit {
		m.otherDoubts(why)
	}
	m.found = nil
	m.result = Result{}
	m.yes, m.no = false, false
}

// whyBeside is the reason of a number beside what was refused.
func (m *message) whyBeside(why Doubtful) Doubtful {
	if why == OtherUnit || why == Pressure || why == AirOrReading || why == Blend && m.ordered {
		return Words
	}
	return why
}

// otherDoubts are of the numbers that no reading could be made of.
func (m *message) otherDoubts(why Doubtful) {
	if why == Blend {
		m.orderDoubts()
		return
	}
	before := m.doubts
	m.doubts = nil
	for _, t := range m.toks {
		switch {
		case t.is == isDenied:
			m.blame(Doubt{Text: clip(t.text), Why: Words, Suggest: plausibly(t.value)})
		case t.is == isBar:
			m.doubts = append(m.doubts, Doubt{Text: clip(t.text), Why: Pressure})
		case t.is == isOther, t.is == isCount:
			m.doubts = append(m.doubts, Doubt{Text: clip(t.text), Why: OtherUnit})
		}
	}
	m.doubts = append(m.doubts, before...)
}

// saysNothing tells whether the result would be empty.
func (m *message) saysNothing() bool {
	r := m.result
	numbers := len(r.Readings) + len(r.Unclear) + len(r.Monoxide) + len(r.Later)
	names := r.Label + r.Analyser + r.MoveTo
	return numbers == 0 && names == "" && r.Intent == None && !r.AirPoint.Known() && !r.Correction
}
