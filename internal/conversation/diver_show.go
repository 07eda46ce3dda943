package conversation

import (
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a diver can ask to see: my gas, the trip, how to analyse, help.

func gasPressed(t *turn, _ []string) { showGas(t, "") }

// showGas is /gas: what I have and what it means.
func showGas(t *turn, _ string) {
	if len(t.me.InUse()) == 0 {
		t.say(t.noCylinderLines(t.me)...)
		return
	}
	board := t.board()
	pb := board.Of(t.me.ID)
	if pb == nil {
		t.say(message.Loud("diver.over", nil))
		return
	}
	t.answered[t.me.ID] = true
	var lines []message.Line
	switch {
	case board.Dive == 0:
		lines = append(lines, message.Say("diver.gas.signed", nil), gap())
	case t.me.Out != nil:
		lines = append(lines, t.outLine(), gap())
	}
	lines = append(lines, t.personalLines(t.me, pb)...)
	if t.me.SetDepth.Known() {
		lines = append(lines, gap(), message.Loud("diver.gas.set-depth", message.Args{"depth": message.Limit(t.me.SetDepth), "leader": t.leaderNames()}))
	}
	t.send(message.Message{Lines: append(lines, gap(), message.Line{Key: "diver.caution.short", Style: message.Quiet}), Buttons: t.gasButtons()})
}

// outLine reminds somebody who sits out that a good gas does not change that.
func (t *turn) outLine() message.Line {
	return message.Loud("diver.gas.out", message.Args{"leader": t.nameOf(t.me.Out.By), "reason": message.Name(t.me.Out.Reason)})
}

// gasButtons offer what may have happened to a cylinder since.
func (t *turn) gasButtons() [][]message.Button {
	if t.trip.CurrentDive() == 0 || t.trip.Over(t.now) || len(t.myCylinders()) == 0 {
		return nil
	}
	rows := t.boatButtons(t.me, t.boatOpen())
	return append(rows,
		oneButton("swap", message.Say("diver.button.swap", nil)),
		oneButton("refill", message.Say("diver.button.refill", nil)))
}

// showTrip is /trip: the plan, the request, and the other trips to switch to.
func showTrip(t *turn, _ string) {
	m := t.plan()
	if len(t.in.Others) > 0 {
		m.Lines = append(m.Lines, gap(), message.Say("diver.trip.others", message.Args{"count": message.Count(len(t.in.Others))}))
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
	t.say(append(lines, gap(), message.Line{Key: "diver.howto.caution", Style: message.Quiet})...)
}

// showHelp is /help.
func showHelp(t *turn, _ string) {
	lines := []message.Line{message.Loud("diver.help", nil), message.Say("diver.help.one", nil), message.Say("diver.help.several", nil),
		message.Say("diver.help.wrong", nil), message.Say("diver.help.other", nil), gap()}
	for _, c := range []string{"reading", "gas", "trip", "howto", "queue", "units", "language", "leave", "forget"} {
		lines = append(lines, message.Say("diver.help."+c, message.Args{"command": message.Code("/" + c)}))
	}
	if t.me.Leader {
		lines = append(lines, leaderHelpLines()...)
	}
	t.say(append(lines, gap(), message.Line{Key: "diver.caution", Style: message.Quiet})...)
}

// askReading is /reading: which number is wanted next.
func askReading(t *turn, _ string) {
	if !t.mayRead() {
		return
	}
	owing := t.owedCylinders()
	switch {
	case len(owing) == 1:
		t.askNumber(owing[0])
	case len(owing) == 0 && len(t.boatOpen()) > 0:
		board := t.board()
		m, _ := t.boatMessage(t.me, board.Of(t.me.ID))
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
		message.Loud("diver.reading.several", message.Args{"cylinders": t.list(t.me, owing)}), message.Say("diver.reading.several.do", nil)}}
}
