package conversation

import (
	"maps"
	"slices"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The queue for the analysers: who has one, who is next. A turn ends when
// nothing is owed any more, with "pass", or after five minutes while others
// wait. Who says "not yet", or that an analyser does not work, is answered here too.

// queueMoves gives free analysers to those who wait and tells them. It is
// called after everything that may end a turn.
func (t *turn) queueMoves() {
	was := maps.Clone(t.trip.Queue.Serving)
	for _, turn := range t.trip.NextTurns(t.now) {
		t.tellTurn(turn)
	}
	for _, a := range t.trip.Analysers {
		if turn, had := was[a.Name]; had && slices.Contains(t.trip.Queue.Waiting, turn.Person) {
			t.tellLapsed(t.trip.Person(turn.Person), a.Name)
		}
	}
}

// tellTurn tells somebody that it is their turn; a leader, when they can't be
// written to.
func (t *turn) tellTurn(turn roster.NewTurn) {
	p := t.trip.Person(turn.Person)
	if !canBeTold(p) {
		t.tellLeaders(message.Message{Lines: []message.Line{message.Say("queue.tell-them", message.Args{
			"name": t.nameOf(p.ID), "analyser": message.Name(turn.Analyser)})}})
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("queue.your-turn",
		message.Args{"analyser": message.Name(turn.Analyser)})}}
	if n := len(t.trip.Queue.Waiting); n > 0 {
		m.Lines = append(m.Lines, message.Say("queue.others-wait", message.Args{"count": message.Count(n)}))
	}
	m.Buttons = [][]message.Button{oneButton("pass", message.Say("queue.button.pass", nil))}
	t.tell(p.ID, roster.LevelAnswer, false, m)
}

// tellLapsed tells somebody that their five minutes are over.
func (t *turn) tellLapsed(p *roster.Person, analyser string) {
	if canBeTold(p) {
		t.tell(p.ID, roster.LevelAnswer, false, message.Message{Lines: []message.Line{
			message.Say("queue.lapsed", message.Args{"analyser": message.Name(analyser)})}})
	}
}

// enqueue puts a person into the queue, gives out what is free, and tells them
// their place when they have to wait.
func (t *turn) enqueue(p *roster.Person) {
	t.trip.QueueUp(p.ID, t.now)
	t.queueMoves()
	if i := slices.Index(t.trip.Queue.Waiting, p.ID); i >= 0 {
		t.tell(p.ID, roster.LevelAnswer, false, message.Message{Lines: []message.Line{placeLine(i)}})
	}
}

// placeLine says how many are before somebody.
func placeLine(n int) message.Line {
	if n == 0 {
		return message.Loud("queue.next", nil)
	}
	return message.Loud("queue.place", message.Args{"count": message.Count(n)})
}

// joinQueue is "/queue": it asks for a turn and says how the queue stands.
func joinQueue(t *turn, _ string) {
	if len(t.trip.Analysers) == 0 {
		t.say(message.Say("queue.no-analysers", nil))
		return
	}
	had := t.analyserHeld(t.me().ID)
	t.trip.QueueUp(t.me().ID, t.now)
	t.queueMoves()
	if had == "" && t.analyserHeld(t.me().ID) != "" {
		return // it is their turn at once: queueMoves said so
	}
	t.say(t.queueLines()...)
}

func queuePressed(t *turn, _ []string) { whileOpen(joinQueue)(t, "") }

// passTurn is "/pass": the turn goes to the next.
func passTurn(t *turn, _ string) { t.pass() }

// pass gives the acting person's turn to the next one who waits.
func (t *turn) pass() {
	had, waiting := t.analyserHeld(t.me().ID), len(t.trip.Queue.Waiting)
	switch {
	case !t.trip.Queued(t.me().ID):
		t.say(message.Say("queue.not-in", message.Args{"command": message.Code("/queue")}))
	case had != "" && waiting == 0:
		t.say(message.Say("queue.nobody-waits", message.Args{"analyser": message.Name(had)}))
	default:
		t.trip.PassTurn(t.me().ID, t.now)
		t.say(message.Say("queue.passed", nil))
		t.queueMoves()
	}
}

// analyserHeld is the analyser that a person has now, "" for none.
func (t *turn) analyserHeld(p roster.PersonID) string {
	for name, turn := range t.trip.Queue.Serving {
		if turn.Person == p {
			return name
		}
	}
	return ""
}

// queueLines say who has which analyser and where the acting person stands.
func (t *turn) queueLines() []message.Line {
	var lines []message.Line
	me := t.me().ID
	if a := t.analyserHeld(me); a != "" {
		lines = append(lines, message.Loud("queue.yours", message.Args{"analyser": message.Name(a)}))
	} else if i := slices.Index(t.trip.Queue.Waiting, me); i >= 0 {
		lines = append(lines, placeLine(i))
	} else {
		lines = append(lines, message.Say("queue.nothing-owed", nil))
	}
	for _, a := range t.trip.Analysers {
		turn, busy := t.trip.Queue.Serving[a.Name]
		switch {
		case !busy:
			lines = append(lines, message.Say("queue.free", message.Args{"analyser": message.Name(a.Name)}))
		case turn.Person != me:
			lines = append(lines, message.Say("queue.has", message.Args{"analyser": message.Name(a.Name),
				"name": t.nameOf(turn.Person), "since": t.clock(turn.Since)}))
		}
	}
	if t.me().Leader && len(t.trip.Queue.Waiting) > 0 {
		var waiting []*roster.Person
		for _, id := range t.trip.Queue.Waiting {
			waiting = append(waiting, t.trip.Person(id))
		}
		lines = append(lines, message.Say("queue.waiting", message.Args{"names": t.names(waiting)}))
	}
	return lines
}

// later is "not yet": nobody is blamed, and who waits for an analyser is told
// when it is free.
func (t *turn) later(r reply.Result) {
	if t.denies(r) {
		t.alarm(reply.NotAnalysed)
		return
	}
	if !t.mayRead() {
		return
	}
	if len(t.owedCylinders()) == 0 { // it may mean anything
		t.notUnderstood()
		return
	}
	t.send(t.expecting(message.Say("diver.later", nil)))
	t.enqueue(t.me())
}

// denies tells whether somebody says that a cylinder was not analysed, of one that has
// a reading: where that came from is for a leader to settle. Where none is named it is
// said of all, unless one still owes its analysis.
func (t *turn) denies(r reply.Result) bool {
	if !r.Unmade || t.trip.Over(t.now) {
		return false
	}
	owed := t.owedCylinders()
	return slices.ContainsFunc(t.current(t.me()), func(c *roster.Cylinder) bool {
		named := slices.ContainsFunc(r.Later, func(l string) bool { return sameLabel(c.Label, l) })
		return t.read(c) && (named && !sameCylinder(owed, c) || len(r.Later) == 0 && len(owed) == 0)
	})
}

func passPressed(t *turn, _ []string) { t.pass() }

// trouble is an analyser that does not work: the leader hears of it.
func (t *turn) trouble() {
	a := message.Args{"name": message.Name(t.me().Name), "leader": t.allLeaders(),
		"analyser": message.Of(message.Say("diver.analyser.some", nil))}
	if name := t.analyserFor(""); name != "" {
		a["analyser"] = message.Of(message.Say("diver.analyser.named", message.Args{"analyser": message.Name(name)}))
	}
	t.say(message.Loud("diver.trouble", a), message.Say("diver.trouble.do", a))
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("diver.to-leader.trouble", a)}})
}
