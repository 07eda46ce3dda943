package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Another cylinder, or the same one filled again: what was read before counts
// no more.

// The states wait for which cylinder it is.
const (
	stateSwap   State = "diver.swap"
	stateRefill State = "diver.refill"
)

// change is one of the two.
type change struct {
	verb  string // also the kind of its question
	state State
	ask   string // key of the question
	do    func(t *turn, c *roster.Cylinder)
}

var (
	swapping  = change{roster.QuestionSwap, stateSwap, "diver.swap.ask", (*turn).swapMine}
	refilling = change{roster.QuestionRefill, stateRefill, "diver.refill.ask", (*turn).refillMine}
)

func (t *turn) newCylinder(label string) { t.replaceCylinder(swapping, label) }

func (t *turn) refilled(label string) { t.replaceCylinder(refilling, label) }

// replaceCylinder asks which cylinder it is. It is asked also when there is
// only one: it can't be undone. Until it is answered none of them is cleared.
func (t *turn) replaceCylinder(k change, label string) {
	if !t.mayRead() {
		return
	}
	cs := t.current(t.me())
	if c := t.labelledMine(label); c != nil {
		cs = []*roster.Cylinder{c}
	}
	t.closeChange(k.verb, false)
	t.openQuestion(k.verb, 0, cs)
	t.ask(k.state, nil, t.changeMessage(k, t.me(), cs))
}

// changeMessage asks which of the cylinders it is.
func (t *turn) changeMessage(k change, p *roster.Person, cs []*roster.Cylinder) message.Message {
	a := message.Args{"count": message.Count(len(cs)), "cylinder": message.Of(t.calledBy(p, cs[0]))}
	m := message.Message{Lines: []message.Line{message.Loud(k.ask, a)}}
	for _, c := range cs {
		m.Buttons = append(m.Buttons, oneButton(k.verb+" "+string(c.ID), t.calledBy(p, c)))
	}
	if len(cs) == 1 {
		m.Buttons[0][0].Label = message.Say(k.ask+".yes", a)
	}
	m.Buttons = append(m.Buttons, oneButton(k.verb+" none", message.Say("diver.no-change", nil)))
	return m
}

// closeChange ends the acting person's open question of that kind.
func (t *turn) closeChange(kind string, answered bool) {
	for _, c := range t.me().Cylinders {
		t.closeKind(c, kind, answered)
	}
}

// closeKind ends the open questions of that kind about a cylinder, whosever it is.
func (t *turn) closeKind(c *roster.Cylinder, kind string, answered bool) {
	for _, q := range slices.Clone(c.Questions) {
		if q.Kind == kind {
			t.closeQuestion(q.ID, answered)
		}
	}
}

func (t *turn) changePressed(k change, args []string) {
	if len(args) == 0 { // offered with a card: ask which
		t.replaceCylinder(k, "")
		return
	}
	if args[0] == "none" {
		t.done()
		t.closeChange(k.verb, false)
		t.send(t.standing(message.Say("diver.cancelled", nil)))
		return
	}
	c := t.mine(roster.CylinderID(args[0]))
	if c == nil || t.trip.Over(t.now) {
		t.questionGone()
		return
	}
	named := t.namedWith(k)
	t.done()
	k.do(t, c)
	if named != "" && t.session.State == stateRetype { // changed for the other one
		t.askMeaningOf(reply.Doubt{Text: named, Why: reply.LabelOrReading}, t.labelWanted())
	}
}

// changeData is a number that was said with another cylinder.
type changeData struct {
	Named string `json:"named,omitempty"` // as a label is written
}

// keepNamed keeps the number of "another cylinder 33" until it is said which one it
// takes the place of: with no decimals it may be the label of the other.
func (t *turn) keepNamed(r reply.Result) {
	x := r.Readings[0]
	if t.session.State == stateSwap && x.Label == "" && shownWhole(t.event.Text, x.Percent, t.knownOf(0)) {
		t.wait(stateSwap, changeData{digits(float64(x.Percent))})
	}
}

// namedWith is the number that waits with a change, "" for none.
func (t *turn) namedWith(k change) string {
	var d changeData
	if k.state == stateSwap && t.session.State == stateSwap {
		t.data(&d)
	}
	return d.Named
}

func (t *turn) changeTyped(k change, text string) {
	cs := t.current(t.me())
	if c := t.cylinderNamed(text); c != nil {
		t.changePressed(k, []string{string(c.ID)})
		return
	}
	switch intent := t.answer(text); {
	case intent == reply.Yes && len(cs) == 1:
		t.changePressed(k, []string{string(cs[0].ID)})
	case intent == reply.No || intent == reply.Cancel:
		t.changePressed(k, []string{"none"})
	default:
		t.freely(text)
	}
}

func swapPressed(t *turn, args []string)   { t.changePressed(swapping, args) }
func refillPressed(t *turn, args []string) { t.changePressed(refilling, args) }
func swapTyped(t *turn, text string)       { t.changeTyped(swapping, text) }
func refillTyped(t *turn, text string)     { t.changeTyped(refilling, text) }

func (t *turn) swapMine(c *roster.Cylinder) { t.swapFor(c, "") }

// swapFor puts another cylinder in the place of c. After a stop, or while
// readings disagree, it takes another label, or somebody else's word: the same
// cylinder must not come back as a new one.
func (t *turn) swapFor(c *roster.Cylinder, label string) {
	old, dive := t.calledBy(t.me(), c), c.Dive
	a := message.Args{"name": message.Name(t.me().Name), "old": message.Of(old), "dive": message.Count(dive),
		"asked":  message.Blend(c.Asked),
		"leader": t.leaderNames()}
	now := t.trip.Swap(c.ID, label, t.me().ID, "", t.now)
	if now == nil {
		t.askSwapLabel(c.ID, label, a)
		return
	}
	t.closeChange(roster.QuestionSwap, true)
	t.showed(t.me().ID, dive)
	t.ask(stateRetype, retypeData{Cylinder: now.ID},
		message.Message{Lines: []message.Line{message.Loud("diver.swap.done", a), message.Say("diver.swap.do", nil)}})
}

// stateSwapLabel waits for the label of another cylinder.
const stateSwapLabel State = "diver.swap-label"

type swapData struct {
	Cylinder roster.CylinderID `json:"cylinder"`
}

func (t *turn) askSwapLabel(c roster.CylinderID, label string, a message.Args) {
	key := "diver.swap.label"
	if label != "" {
		key = "diver.swap.same-label"
		a["label"] = message.Name(label)
	}
	t.ask(stateSwapLabel, swapData{c}, message.Message{Lines: []message.Line{message.Loud(key, a),
		message.Say("diver.swap.label.do", a)}})
}

// swapLabelTyped takes a label, or a label with a number. A number alone is of
// the cylinder in question, which is not known before its label is.
func swapLabelTyped(t *turn, text string) {
	var d swapData
	t.data(&d)
	c := t.mine(d.Cylinder)
	r := t.parse(text, 0)
	label, percent, both := t.labelAndPercent(text)
	switch {
	case c == nil, len(r.Readings) > 0 && r.Readings[0].Label != "":
		t.freely(text) // of a cylinder that is known
	case both && t.isName(label, reply.Result{}):
		t.done()
		t.swapFor(c, label)
		if now := t.labelledMine(label); now != nil && t.mayRead() {
			t.take(pendings{Items: []pending{{Percent: percent, Cylinder: now.ID}}, Ref: t.event.Ref, At: t.sent()})
		}
	case len(r.Readings) > 0 && !wholeNumber(text), len(r.Unclear) > 0 && !usableLabel(text):
		a := message.Args{"old": t.called(c), "leader": t.leaderNames()}
		t.say(message.Loud("diver.swap.first-label", nil), message.Say("diver.swap.label.do", a))
	case !usableLabel(text) || !t.isName(text, r):
		t.freely(text)
	default:
		t.done()
		t.swapFor(c, t.labelIn(text))
	}
}

// labelAndPercent reads "18 31.9" or "18: 31.9": a new label with its number.
func (t *turn) labelAndPercent(text string) (label string, p gas.Percent, ok bool) {
	words := strings.Fields(text)
	if len(words) != 2 || wholeNumber(words[1]) {
		return "", 0, false
	}
	p, err := reply.Percent(words[1])
	label = t.labelIn(words[0])
	return label, p, err == nil && usableLabel(label)
}

func (t *turn) refillMine(c *roster.Cylinder) {
	t.showed(t.me().ID, c.Dive)
	t.trip.Fill(c.ID, t.now, t.me().ID, t.now)
	t.closeChange(roster.QuestionRefill, true)
	a := message.Args{"name": message.Name(t.me().Name), "cylinder": t.called(c)}
	t.ask(stateRetype, retypeData{Cylinder: c.ID},
		message.Message{Lines: []message.Line{message.Loud("diver.refill.done", a), message.Say("diver.refill.do", nil)}})
}
