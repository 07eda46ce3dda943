package reply

// Parse understands text. It never fails: what it can't understand is in
// Result.Unclear, and a Result always says something.
func Parse(text string, ctx Context) Result {
	if len(text) > longestText {
		return Result{Unclear: []Doubt{{Text: clip(fold(text[:clipBytes])), Why: NotNumber}}}
	}
	words := wordsOf(ctx.Language)
	m := &message{ctx: ctx, words: words, toks: lex(text, ctx, words)}
	m.ellipses()
	m.toks = name(m.toks, words)
	m.ownName()
	m.signed()
	if m.alarm() {
		return m.result
	}
	if len(m.toks) > mostTokens {
		m.result.Unclear = []Doubt{{Text: clip(fold(text)), Why: NotNumber}}
		return m.result
	}
	m.names()
	m.orders()
	m.clocks()
	m.overruled()
	m.claims()
	m.denials()
	m.settled()
	m.places()
	m.state()
	m.judge()
	m.conclude(text)
	return m.result
}

// longestText is how many bytes are read: four for each of the 4,096
// characters of the longest message that a channel takes. Nobody types a
// reading in more; clipBytes of it are quoted.
const (
	longestText = 4 * 4096
	clipBytes   = 400
	// mostTokens is what is looked at: six cylinders, and all that may be said of each.
	mostTokens = 300
)

// message is one message on its way from tokens to a result.
type message struct {
	ctx    Context
	words  *vocabulary
	toks   []token
	result Result

	found   []found
	doubts  []Doubt // of single numbers: a slip, a label or a reading
	refused bool    // a token is not accounted for
	reason  Doubt   // Word, Role and Why of the first such token

	denied  []int // tokens of numbers that were taken back
	no      bool  // a plain no, to be a correction or an answer
	yes     bool
	ordered bool   // a word of ordering has a number of its own
	meter   string // the analyser named last
}

// found is a number that becomes a reading when all is accounted for.
type found struct {
	Reading
	tok    int
	clause int
	placed bool // a label, a dive or "both" says which cylinder it is of
	proved bool // a verb of an instrument stands beside it
}

// refuse notes the first token that is not accounted for.
func (m *message) refuse(i int, why Doubtful) {
	if m.refused {
		return
	}
	t := m.toks[i]
	m.refused, m.reason = true, Doubt{Why: why, Word: clip(t.text), Role: string(t.role)}
}

// left is the nearest token before i that is not neutral, -1 at the start of
// the clause; right the same after i.
func (m *message) left(i int, skip ...role) int { return m.beside(i, -1, skip) }

func (m *message) right(i int, skip ...role) int { return m.beside(i, 1, skip) }

func (m *message) beside(i, step int, skip []role) int {
	for j := i + step; j >= 0 && j < len(m.toks); j += step {
		t := m.toks[j]
		switch {
		case t.kind.separates():
			return -1
		case t.kind == kWord && (t.plays(neutral, particle) || has(skip, t.role)), t.kind == kArrow, t.kind == kEmoji:
		default:
			return j
		}
	}
	return -1
}

func has(list []role, r role) bool {
	for _, x := range list {
		if x == r {
			return true
		}
	}
	return false
}

// number tells whether token i is a plain number that nothing has claimed yet.
func (m *message) number(i int) bool {
	return i >= 0 && m.toks[i].kind == kNumber && m.toks[i].is == isOpen && m.toks[i].unit == noUnit
}

// claim says what token i is, and that it is accounted for.
func (m *message) claim(i int, what is) {
	m.toks[i].is, m.toks[i].done = what, true
}
