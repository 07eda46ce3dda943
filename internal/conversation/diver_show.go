package conversation

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a diver can ask to see: my gas, the trip, how to analyse, help.

// askedAgainPressed asks an open question again.
func askedAgainPressed(t *turn, args []string) {
	q, open := t.questionBy(argument(args, 0))
	if !open {
		t.questionGone()
		return
	}
	t.send(t.questionMessage(t.me(), q))
}

func gasPressed(t *turn, _ []string) { showGas(t, "") }

// showGas is /gas: what I have and what it means, dive by dive.
func showGas(t *turn, _ string) {
	p := t.me()
	if t.trip.CalledOff != nil {
		t.sayOver()
		return
	}
	if len(p.InUse()) == 0 && !p.Dives() {
		t.send(message.Message{Lines: t.noCylinderLines(p, 0), Buttons: t.haveButtons()})
		return
	}
	t.showed(p.ID)
	dives := t.ahead()
	if len(dives) == 0 {
		t.say(message.Loud("diver.over", nil))
		return
	}
	var lines []message.Line
	if out := p.OutOf(t.dive()); out != nil {
		lines = append(lines, t.outLine(out), gap())
	}
	lines = append(lines, t.personalLines(p, t.wholly, dives...)...)
	m := message.Message{Lines: append(lines, gap(), message.Line{Key: "diver.caution.short", Style: message.Quiet}),
		Buttons: append(t.haveButtons(), t.gasButtons()...)}
	for _, q := range t.questionsOf(p) {
		open := t.questionMessage(p, q)
		m.Lines, m.Buttons = append(append(m.Lines, gap()), open.Lines...), append(m.Buttons, open.Buttons...)
	}
	t.send(m)
}

// morePressed shows all figures and reasons of one cylinder.
func morePressed(t *turn, args []string) {
	c := t.mine(roster.CylinderID(argument(args, 0)))
	if c == nil {
		t.questionGone()
		return
	}
	if t.trip.CalledOff != nil {
		t.sayOver()
		return
	}
	cl := t.clearanceOf(c)
	t.showed(t.me().ID, c.Dive)
	lines := append([]message.Line{t.verdictLine(t.me(), c, cl)}, t.reasonLines(t.me(), c, cl)...)
	lines = slices.Concat(lines, t.haveLines(t.me(), c), t.numberLines(t.me(), c, cl))
	if n := numbersFor(cl, c.ID); n != nil && cl.Goes() {
		lines = append(lines, t.timeLine(t.me(), c, n)...)
	}
	t.say(append(lines, message.Line{Key: "diver.caution", Style: message.Quiet})...)
}

// outLine reminds somebody who sits out that a good gas does not change that.
func (t *turn) outLine(out *roster.Out) message.Line {
	return message.Loud("diver.gas.out", message.Args{"leader": t.nameOf(out.By),
		"reason": message.Of(shownReason(out.Reason))})
}

// gasButtons offer what may have happened to a cylinder since, and more figures.
func (t *turn) gasButtons() [][]message.Button {
	current := t.current(t.me())
	if t.trip.Over(t.now) || len(current) == 0 {
		return nil
	}
	rows := t.boatButtons(t.me(), t.boatOpen())
	for _, c := range current {
		if t.read(c) {
			rows = append(rows, oneButton("more "+string(c.ID),
				message.Say("diver.button.more", message.Args{"cylinder": t.called(c)})))
		}
	}
	return append(rows,
		oneButton("swap", message.Say("diver.button.swap", nil)),
		oneButton("refill", message.Say("diver.button.refill", nil)))
}

// showTrip is /trip: the plan, the request, and the other trips to switch to.
func showTrip(t *turn, _ string) {
	m := t.plan()
	if len(t.in.Others) > 0 {
		m.Lines = append(m.Lines, gap(), message.Say("diver.trip.others",
			message.Args{"count": message.Count(len(t.in.Others))}))
	}
	for _, o := range t.in.Others {
		m.Buttons = append(m.Buttons, oneButton("talk "+string(o.ID), message.Say("diver.trip.switch", message.Args{
			"trip": message.Name(o.Name), "day": message.Day(o.Departs, o.Zone)})))
	}
	t.send(m)
}

func howtoPressed(t *turn, _ []string) { showHowto(t, "") }

// showHowto is /howto: how to analyse.
func showHowto(t *turn, _ string) {
	lines := []message.Line{message.Loud("diver.howto", nil)}
	for _, step := range []string{"air", "crack", "flow", "wait", "read", "write", "send"} {
		lines = append(lines, message.Say("diver.howto."+step, nil))
	}
	key := "photo.howto"
	if t.event.Address.Channel == "web" {
		key = "photo.pages"
	}
	lines = append(lines, message.Say(key, nil))
	t.say(append(lines, gap(), message.Line{Key: "diver.howto.caution", Style: message.Quiet})...)
}

// showHelp is /help.
func showHelp(t *turn, _ string) {
	lines := []message.Line{message.Loud("diver.help", nil), message.Say("diver.help.one", nil),
		message.Say("diver.help.several", nil),
		message.Say("diver.help.wrong", nil), message.Say("diver.help.other", nil), gap()}
	for _, c := range []string{"reading", "gas", "trip", "howto", "queue", "units", "language", "leave", "forget"} {
		lines = append(lines, message.Say("diver.help."+c, message.Args{"command": message.Code("/" + c)}))
	}
	lines = append(lines, leaderHelpLines(t.me())...)
	t.say(append(lines, gap(), message.Line{Key: "diver.caution", Style: message.Quiet})...)
}

// askReading is /reading: which number is wanted next.
func askReading(t *turn, _ string) {
	if !t.mayRead() {
		return
	}
	owing, open, asked := t.owedCylinders(), t.boatOpen(), t.questionsOf(t.me())
	switch {
	case len(asked) > 0:
		t.send(t.questionMessage(t.me(), asked[0]))
	case len(owing) == 1:
		t.askNumber(owing[0])
	case len(owing) == 0 && len(open) > 0:
		m, _ := t.boatMessage(t.me(), open[0].Dive)
		t.send(m)
	case len(owing) == 0:
		t.say(message.Say("diver.reading.none-owed", nil))
	default:
		t.send(t.several(owing))
	}
}

// several asks for the numbers of several cylinders at once.
func (t *turn) several(owing []*roster.Cylinder) message.Message {
	return message.Message{Lines: []message.Line{
		message.Loud("diver.reading.several", message.Args{"cylinders": t.list(t.me(), owing)}),
		message.Say("diver.reading.several.do", nil)}}
}
