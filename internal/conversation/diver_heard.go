package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Free text: what was understood decides what happens, whatever was asked. A
// state's own function looks first and hands what isn't an answer on to freely.

func idleTyped(t *turn, text string) { t.heard(t.parse(text, 0)) }

// freely drops the open question and takes the text as if nothing was asked.
func (t *turn) freely(text string) {
	t.done()
	idleTyped(t, text)
}

// parse understands text as from the acting person. confirming is an
// implausible value that they were just asked about.
func (t *turn) parse(text string, confirming gas.Percent) reply.Result {
	known := t.knownOf(confirming)
	r := reply.Parse(text, known)
	if label := t.labelSaid(text, r, known); label != "" && slices.ContainsFunc(r.Monoxide, reply.Monoxide.Notable) {
		r = reply.Result{Intent: reply.Alarmed, Alarm: reply.BadGas} // of another's cylinder: a leader hears the number
	} else if label != "" {
		r = reply.Result{Unclear: []reply.Doubt{{Text: label, Why: reply.LabelOrReading}}}
	}
	return t.meaning(text, r)
}

// knownOf is what is known of the acting person when their words are understood.
func (t *turn) knownOf(confirming gas.Percent) reply.Context {
	mine := t.spokenOf()
	ctx := reply.Context{Cylinders: len(mine), Language: t.me().Language, Confirming: confirming,
		Shown: t.session.State == stateShown, Name: t.ownName(), Others: t.othersNames()}
	for _, c := range mine {
		if c.Label != "" {
			ctx.Labels = append(ctx.Labels, c.Label)
		}
		if c.Asked.Known() {
			ctx.Asked = append(ctx.Asked, c.Asked)
		}
	}
	for _, a := range t.trip.Analysers {
		ctx.Analysers = append(ctx.Analysers, a.Name)
	}
	if len(ctx.Analysers) == 0 {
		ctx.Analysers = []string{usualAnalyser}
	}
	return ctx
}

// ownName is the acting person's name, "" where somebody else on the trip shares a
// word of it: then it says nothing of whose a number is.
func (t *turn) ownName() string {
	own := strings.Fields(orders.FoldName(t.me().Name))
	for _, p := range t.trip.People {
		for _, w := range strings.Fields(orders.FoldName(p.Name)) {
			if p.ID != t.actor && slices.Contains(own, w) {
				return ""
			}
		}
	}
	return t.me().Name
}

// othersNames are the names of the others on the trip; of none while a leader is asked
// for a name or a reason.
func (t *turn) othersNames() (names []string) {
	if strings.HasPrefix(string(t.session.State), "leader.") {
		return nil
	}
	for _, p := range t.trip.People {
		if p.ID != t.actor && !p.Erased && p.Name != t.me().Name {
			names = append(names, p.Name)
		}
	}
	return names
}

// answer is what a text answers to a question of yes and no: nothing where it says
// anything else beside.
func (t *turn) answer(text string) reply.Intent {
	r := t.parse(text, 0)
	if len(r.Unclear) > 0 || len(r.Readings) > 0 || len(r.Monoxide) > 0 || r.AirPoint.Known() || r.Correction ||
		r.MoveTo != "" {
		return reply.None
	}
	return r.Intent
}

// usualAnalyser is what the only analyser of a boat is called when nobody gave it
// a name: without it the A of "on A" is taken for an article.
const usualAnalyser = "A"

// heard acts on what was understood. Words of alarm and of another gas come
// before every number.
func (t *turn) heard(r reply.Result) {
	switch {
	case t.outOfCheck(r):
	case t.watchedWords(r), t.namedWitness(r):
	case len(r.Unclear) > 0:
		t.doubt(r)
	case len(r.Readings) > 0 && (r.Intent == reply.NewCylinder || r.Intent == reply.Refilled):
		r.Label = r.Readings[0].Label // "new tank, 32.4": which cylinder first, then its number
		t.intent(r)
		t.keepNamed(r)
	case len(r.Readings) > 0:
		t.monoxide(besideReading(r))
		t.takeReadings(r)
		if t.denies(r) { // "22 31.4, 17 not analysed"
			t.raise(roster.SpeakKind(reply.NotAnalysed), orders.Clip(t.event.Text, longestWords))
		}
	case len(r.Monoxide) > 0:
		t.monoxide(r.Monoxide)
	case r.AirPoint.Known():
		t.airPoint(r.Analyser, r.AirPoint)
	case r.MoveTo != "":
		t.move(r.MoveFrom, r.MoveTo)
	case len(r.Later) > 0:
		t.later(r)
	case r.Intent != reply.None:
		t.intent(r)
	case r.Analyser != "":
		t.nameAnalyser(r.Analyser)
	case r.Label != "":
		t.labelAlone(r.Label)
	default:
		t.notUnderstood()
	}
}

// intents are what the words that people say do when nothing was asked.
var intents = map[reply.Intent]func(t *turn, r reply.Result){
	reply.Yes:         func(t *turn, r reply.Result) { t.boatWords(reply.OutOfSight, r.Label) },
	reply.No:          func(t *turn, r reply.Result) { t.noWords(r) },
	reply.Kept:        func(t *turn, r reply.Result) { t.boatWords(reply.Kept, r.Label) },
	reply.Unsure:      func(t *turn, r reply.Result) { t.partedWords(reply.Unsure, r.Label) },
	reply.DontKnow:    func(t *turn, r reply.Result) { t.boatWords(reply.Unsure, r.Label) },
	reply.OutOfSight:  func(t *turn, r reply.Result) { t.partedWords(reply.OutOfSight, r.Label) },
	reply.NotYet:      func(t *turn, r reply.Result) { t.later(r) },
	reply.NotDiving:   func(t *turn, _ reply.Result) { t.askNotDiving() },
	reply.Pass:        func(t *turn, _ reply.Result) { t.pass() },
	reply.Undo:        func(t *turn, _ reply.Result) { t.undoLast() },
	reply.NewCylinder: func(t *turn, r reply.Result) { t.changedCylinder(r.Label) },
	reply.Refilled:    func(t *turn, r reply.Result) { t.refilled(r.Label) },
	reply.NoDecimals:  func(t *turn, _ reply.Result) { t.noDecimals() },
	reply.Trouble:     func(t *turn, _ reply.Result) { t.trouble() },
	reply.Cancel:      func(t *turn, r reply.Result) { t.takenBack(r) },
	reply.Hello:       func(t *turn, _ reply.Result) { t.greet() },
	reply.Thanks:      func(t *turn, _ reply.Result) { t.say(message.Say("diver.thanks", nil)) },
	reply.Help:        func(t *turn, _ reply.Result) { showHelp(t, "") },
	reply.Asks:        func(t *turn, _ reply.Result) { t.asked() },
}

func (t *turn) intent(r reply.Result) {
	run, ok := intents[r.Intent]
	if !ok {
		t.notUnderstood()
		return
	}
	run(t, r)
}

// notUnderstood says what was expected, and offers to pass the words on.
func (t *turn) notUnderstood() {
	t.unsaid(t.expecting(message.Loud("diver.not-understood", nil)))
}

// expecting is what is said with what is wanted now: what is being asked, or what
// can usefully be sent.
func (t *turn) expecting(said ...message.Line) message.Message {
	m, open := t.openMessage()
	if !open {
		return message.Message{Lines: append(said, t.expected())}
	}
	m.Lines = append(said, m.Lines...)
	return m
}

// openMessage asks again what stands open between the acting person and a
// clearance: a number in question, the boat question, whether the analyser showed
// a number.
func (t *turn) openMessage() (m message.Message, open bool) {
	p := t.me()
	if t.trip.Over(t.now) {
		return m, false
	}
	if qs := t.questionsOf(p); len(qs) > 0 {
		return t.questionMessage(p, qs[0]), true
	}
	if cs := t.boatOpen(); len(cs) > 0 {
		return t.boatMessage(p, cs[0].Dive)
	}
	for _, c := range t.current(p) {
		if r := t.doubted(c); r != nil {
			cylinder, _ := t.trip.Reading(r.ID)
			return t.shownMessage(p, cylinder, r), true
		}
	}
	return m, false
}

// standing is what is said with how the acting person stands.
func (t *turn) standing(said ...message.Line) message.Message {
	p, dive := t.me(), t.dive()
	if _, open := t.openMessage(); open || t.trip.Over(t.now) || !t.clearance(p.ID, dive).Active {
		return t.expecting(said...)
	}
	t.showed(p.ID, dive)
	return message.Message{Lines: append(t.personalLines(p, t.standLines, dive), said...)}
}

// expected is what the acting person can usefully send now.
func (t *turn) expected() message.Line {
	owing := t.owedCylinders()
	switch {
	case t.trip.Over(t.now):
		return message.Say("diver.expected.over", nil)
	case len(owing) == 1:
		return message.Say("diver.expected.reading", message.Args{"cylinder": t.called(owing[0])})
	case len(owing) > 1:
		return message.Say("diver.expected.readings", nil)
	}
	return message.Say("diver.expected.any", nil)
}

func (t *turn) greet() {
	t.send(t.expecting(message.Say("diver.hello", message.Args{"name": message.Name(t.me().Name)})))
}

// asked answers a question in words with how things stand, which is mostly what
// was asked: the bot does not pretend to understand.
func (t *turn) asked() {
	t.unsaid(t.standing(message.Say("diver.asks", message.Args{"leader": t.leaderNames()})))
}

// leaderNames are those to turn to, any of them: what they do is told of one.
func (t *turn) leaderNames() message.Value {
	names := t.leadersNamed()
	if len(names) == 0 {
		return message.Of(message.Say("diver.your-leader", nil))
	}
	either, key := names[len(names)-1], "list.or"
	for _, name := range slices.Backward(names[:len(names)-1]) {
		either, key = message.Of(message.Say(key, message.Args{"a": name, "b": either})), "list.more"
	}
	return either
}

// allLeaders are those who are told, all of them.
func (t *turn) allLeaders() message.Value {
	if names := t.leadersNamed(); len(names) > 0 {
		return message.List(names...)
	}
	return message.Of(message.Say("diver.your-leader", nil))
}

func (t *turn) leadersNamed() (names []message.Value) {
	for _, p := range t.trip.Leaders() {
		if !p.Erased {
			names = append(names, message.Name(p.Name))
		}
	}
	return names
}

// myCylinders are the acting person's cylinders in use, for every dive: what is
// said of one goes to that one, signed or dived, and never to another.
func (t *turn) myCylinders() []*roster.Cylinder { return t.me().InUse() }

// current are a person's cylinders for the dives that are ahead; all that are in
// use when none is.
func (t *turn) current(p *roster.Person) []*roster.Cylinder {
	cs := p.InUse()
	if ahead := filter(cs, func(c *roster.Cylinder) bool { return !t.trip.WasDived(c.Dive) }); len(ahead) > 0 {
		return ahead
	}
	return cs
}

// owedCylinders are those of the acting person that still owe an analysis.
func (t *turn) owedCylinders() []*roster.Cylinder { return t.owedBy(t.me()) }

// owedBy are a person's cylinders that still owe an analysis for their dive.
func (t *turn) owedBy(p *roster.Person) []*roster.Cylinder {
	var owing []*roster.Cylinder
	for _, n := range t.ahead() {
		cl := t.clearance(p.ID, n)
		owing = append(owing, filter(p.InUse(), func(c *roster.Cylinder) bool { return c.Dive == n && owes(cl, c.ID) })...)
	}
	return owing
}

// owes tells whether an analysis of cylinder c is still to come.
func owes(cl *roster.Clearance, c roster.CylinderID) bool {
	return cl.Active && slices.ContainsFunc(cl.Owes, func(o roster.Owed) bool { return o.Cylinder == c && o.Analysis() })
}
