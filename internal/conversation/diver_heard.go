package conversation

import (
	"slices"

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
	mine := t.myCylinders()
	ctx := reply.Context{Cylinders: len(mine), Language: t.me.Language, Confirming: confirming}
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
	return reply.Parse(text, ctx)
}

// heard acts on what was understood.
func (t *turn) heard(r reply.Result) {
	switch {
	case len(r.Unclear) > 0:
		t.doubt(r)
	case len(r.Readings) > 0 && (r.Intent == reply.NewCylinder || r.Intent == reply.Refilled):
		r.Label = r.Readings[0].Label // "new tank, 32.4": which cylinder first, then its number
		t.intent(r)
	case len(r.Readings) > 0:
		t.takeReadings(r)
	case r.AirPoint.Known():
		t.airPoint(r.Analyser, r.AirPoint)
	case r.MoveTo != "":
		t.move(r.MoveFrom, r.MoveTo)
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
	reply.Yes:         func(t *turn, _ reply.Result) { t.boatWords(reply.OutOfSight) },
	reply.No:          func(t *turn, _ reply.Result) { t.boatWords(reply.Kept) },
	reply.Kept:        func(t *turn, _ reply.Result) { t.boatWords(reply.Kept) },
	reply.Unsure:      func(t *turn, _ reply.Result) { t.boatWords(reply.Unsure) },
	reply.DontKnow:    func(t *turn, _ reply.Result) { t.boatWords(reply.Unsure) },
	reply.OutOfSight:  func(t *turn, _ reply.Result) { t.boatWords(reply.OutOfSight) },
	reply.NotYet:      func(t *turn, _ reply.Result) { t.later() },
	reply.NotDiving:   func(t *turn, _ reply.Result) { t.askNotDiving() },
	reply.Pass:        func(t *turn, _ reply.Result) { t.pass() },
	reply.Undo:        func(t *turn, _ reply.Result) { t.undoLast() },
	reply.NewCylinder: func(t *turn, r reply.Result) { t.newCylinder(r.Label) },
	reply.Refilled:    func(t *turn, r reply.Result) { t.refilled(r.Label) },
	reply.NoDecimals:  func(t *turn, _ reply.Result) { t.noDecimals() },
	reply.Trouble:     func(t *turn, _ reply.Result) { t.trouble() },
	reply.Cancel:      func(t *turn, _ reply.Result) { t.say(message.Say("diver.cancelled", nil)) },
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

// notUnderstood says what was expected.
func (t *turn) notUnderstood() {
	t.say(message.Loud("diver.not-understood", nil), t.expected())
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
	t.say(message.Say("diver.hello", message.Args{"name": message.Name(t.me.Name)}), t.expected())
}

// asked answers a question in words: the bot does not pretend to understand.
func (t *turn) asked() {
	t.say(message.Say("diver.asks", message.Args{"leader": t.leaderNames()}), t.expected())
}

// leaderNames are those to turn to.
func (t *turn) leaderNames() message.Value {
	var names []message.Value
	for _, p := range t.trip.Leaders() {
		if !p.Erased {
			names = append(names, message.Name(p.Name))
		}
	}
	if len(names) == 0 {
		return message.Of(message.Say("diver.your-leader", nil))
	}
	return message.List(names...)
}

// myCylinders are the acting person's cylinders that still matter: in use and
// of a dive that isn't signed off. When every dive is, they are all that are
// in use: late news is taken, with a question first.
func (t *turn) myCylinders() []*roster.Cylinder { return t.cylindersOf(t.me) }

func (t *turn) cylindersOf(p *roster.Person) []*roster.Cylinder {
	current := t.trip.CurrentDive()
	cs := make([]*roster.Cylinder, 0, len(p.Cylinders))
	for _, c := range p.Cylinders {
		if c.Retired.IsZero() && (current == 0 || c.Dive >= current) {
			cs = append(cs, c)
		}
	}
	return cs
}

// owedCylinders are those of the acting person that still owe a reading.
func (t *turn) owedCylinders() []*roster.Cylinder {
	board := t.board()
	pb := board.Of(t.me.ID)
	if pb == nil {
		return nil
	}
	var owing []*roster.Cylinder
	for _, c := range t.myCylinders() {
		if owes(pb, c.ID) {
			owing = append(owing, c)
		}
	}
	return owing
}

// owes tells whether an analysis of cylinder c is still to come.
func owes(pb *roster.PersonBoard, c roster.CylinderID) bool {
	return slices.ContainsFunc(pb.Owes, func(o roster.Owed) bool { return o.Cylinder == c && o.Analysis() })
}
