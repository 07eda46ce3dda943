package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What is still to be known of readings that were just stored, one question at
// a time: is that what the analyser showed? which analyser? what did it show
// in fresh air? which label? Each is asked once and none holds the reading up.

// chain is the data of the follow-up questions: the readings they are about.
type chain struct {
	Readings []roster.ReadingID `json:"readings"`
	Analyser string             `json:"analyser,omitempty"` // stateAir: whose air point
	Cylinder roster.CylinderID  `json:"cylinder,omitempty"` // stateLabel
	Asked    []State            `json:"asked,omitempty"`    // questions of this chain that were put
}

const (
	stateShown    State = "diver.shown"
	stateAnalyser State = "diver.analyser"
	stateAir      State = "diver.air"
	stateLabel    State = "diver.label"
)

func (t *turn) followUp(kept []*roster.Reading) {
	var c chain
	for _, r := range kept {
		c.Readings = append(c.Readings, r.ID)
	}
	t.next(c)
}

// next asks the first question of the chain that is still open.
func (t *turn) next(c chain) {
	t.done()
	for _, ask := range []func(*turn, chain) bool{nextShown, nextAnalyser, nextAir, nextLabel, nextOpen, nextBefore} {
		if ask(t, c) {
			return
		}
	}
}

// readings are those of the chain that were not taken back meanwhile.
func (t *turn) readings(c chain) []*roster.Reading {
	var rs []*roster.Reading
	for _, id := range c.Readings {
		if _, r := t.trip.Reading(id); r != nil && r.Undone.IsZero() {
			rs = append(rs, r)
		}
	}
	return rs
}

// put asks a question of the chain and remembers that it was put.
func (t *turn) put(s State, c chain, m message.Message) {
	c.Asked = append(c.Asked, s)
	t.wait(s, c)
	t.sayBeside(m)
}

func whole(p gas.Percent) bool { return p == gas.Percent(int(p)) }

// nextOf goes on with the chain that the session holds, or with r's own.
func (t *turn) nextOf(r *roster.Reading) {
	c := t.chain()
	if !slices.Contains(c.Readings, r.ID) {
		c = chain{Readings: []roster.ReadingID{r.ID}, Asked: []State{shownOf(r.ID)}}
	}
	t.next(c)
}

// chain is the chain in the session, empty when another question is open.
func (t *turn) chain() chain {
	var c chain
	if slices.Contains([]State{stateShown, stateAnalyser, stateAir, stateLabel}, t.session.State) {
		t.data(&c)
	}
	return c
}

// nextOpen asks again what else is being asked about: nothing is cleared before
// it is answered, and this reading did not answer it.
func nextOpen(t *turn, _ chain) bool {
	open := t.questionsOf(t.me())
	if len(open) == 0 {
		return false
	}
	t.sayBeside(t.questionMessage(t.me(), open[0]))
	return true
}

// nextBefore asks last what has nothing to do with the reading: not beside a stop,
// or what is still to be done.
func nextBefore(t *turn, c chain) bool {
	rs := t.readings(c)
	return len(rs) > 0 && t.allGo(rs) && t.askBefore()
}

func filterReadings(rs []*roster.Reading, keep func(*roster.Reading) bool) []*roster.Reading {
	return slices.DeleteFunc(rs, func(r *roster.Reading) bool { return !keep(r) })
}

// nextLabel asks for the label of a cylinder that has none, when the diver has
// several.
func nextLabel(t *turn, c chain) bool {
	if slices.Contains(c.Asked, stateLabel) || len(t.current(t.me())) < 2 {
		return false
	}
	for _, r := range t.readings(c) {
		cylinder, _ := t.trip.Reading(r.ID)
		if cylinder.Label != "" {
			continue
		}
		c.Cylinder = cylinder.ID
		t.put(stateLabel, c, labelQuestion(t, cylinder))
		return true
	}
	return false
}

func labelQuestion(t *turn, c *roster.Cylinder) message.Message {
	return message.Message{Lines: []message.Line{
		message.Loud("diver.label.ask", message.Args{"cylinder": t.called(c)}), message.Say("diver.label.do", nil)},
		Buttons: [][]message.Button{oneButton("label none "+string(c.ID), message.Say("diver.label.none", nil))}}
}

// labelPressed: "label none c3" says that it has no label, "label c3" asks for it.
func labelPressed(t *turn, args []string) {
	if argument(args, 0) == "none" {
		c := t.chain()
		t.say(message.Say("diver.label.none-noted", nil))
		t.next(c)
		return
	}
	cylinder := t.mine(roster.CylinderID(argument(args, 0)))
	if cylinder == nil {
		t.questionGone()
		return
	}
	t.put(stateLabel, chain{Cylinder: cylinder.ID}, labelQuestion(t, cylinder))
}

// longestLabel is how long a cylinder's label may be.
const longestLabel = 20

// labelTyped takes a short text as the label. A number with a decimal is no
// label but the next reading.
func labelTyped(t *turn, text string) {
	c := t.chain()
	cylinder := t.mine(c.Cylinder)
	r := t.parse(text, 0)
	switch {
	case cylinder == nil, len(r.Readings) > 0 && !wholeNumber(text), len(r.Readings) > 1, r.AirPoint.Known():
		t.freely(text)
	case r.Intent == reply.No || r.Intent == reply.DontKnow || r.Intent == reply.Cancel:
		t.say(message.Say("diver.label.none-noted", nil))
		t.next(c)
	case r.Intent != reply.None || r.Outside:
		t.freely(text)
	case !usableLabel(text):
		t.say(message.Loud("diver.label.wrong", message.Args{"count": message.Count(longestLabel)}))
	case !t.isName(text, r):
		t.freely(text)
	default:
		t.labelTaken(c, cylinder, t.labelIn(text))
	}
}

// labelTaken gives a cylinder the label that was asked for, unless another one has it.
func (t *turn) labelTaken(c chain, cylinder *roster.Cylinder, label string) {
	if other := t.labelledMine(label); other != nil && other != cylinder {
		t.say(message.Loud("diver.label.taken", message.Args{"label": message.Name(label)}))
		return
	}
	t.labelIs(cylinder, label)
	t.next(c)
}

// labelIn is a label without the words around it. Everywhere a label is asked for it is
// kept like this: "cylinder 17" must not be another one than 17.
func (t *turn) labelIn(text string) string {
	if strings.ContainsAny(text, "<>") { // signs in it are of it: half of them would be another label
		return strings.TrimSpace(text)
	}
	return reply.LabelOf(text, t.knownOf(0))
}

// inName are the roles of words that a name may have: "the shop's analyser".
var inName = map[string]bool{"": true, "neutral": true, "vocative": true, "label": true, "analyser": true, "on": true,
	"subject": true}

// isName tells whether a text that says nothing else may be a label or an
// analyser's name: no word of it denies, doubts, answers or speaks of something.
func (t *turn) isName(text string, r reply.Result) bool {
	if r.Intent != reply.None || r.Outside || r.Correction || len(r.Monoxide) > 0 || len(r.Later) > 0 {
		return false
	}
	for _, word := range strings.Fields(text) {
		w := t.parse(word, 0)
		said := w.Intent != reply.None || w.Outside || w.Correction
		if said || slices.ContainsFunc(w.Unclear, func(d reply.Doubt) bool { return !inName[d.Role] }) {
			return false
		}
	}
	return true
}

func wholeNumber(text string) bool { return !strings.ContainsAny(text, ".,%") }

func usableLabel(text string) bool {
	clean := message.Clean(text)
	return clean == strings.TrimSpace(text) && clean != "" && len([]rune(clean)) <= longestLabel &&
		!strings.HasPrefix(clean, "/")
}

func (t *turn) labelIs(c *roster.Cylinder, label string) {
	t.trip.SetLabel(c.ID, label, t.me().ID, t.now)
	t.send(message.Message{
		Lines:   []message.Line{message.Say("diver.label.noted", message.Args{"label": message.Name(label)})},
		Buttons: [][]message.Button{oneButton("label "+string(c.ID), message.Say("diver.label.change", nil))}})
}
