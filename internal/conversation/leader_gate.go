package conversation

import (
	"strconv"
	"strings"

	"gasmuster/internal/conversation/newcomer"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The open invite: one link for everybody who books or walks up as a group. Who
// opens it is asked outside the trip, and waits; leader or crew let them in.

// knock tells leaders and crew that somebody waits.
func (t *turn) knock() {
	if n := t.trip.Newcomer(t.event.Newcomer); n != nil {
		t.tellStaff(t.waitingMessage(n))
	}
}

// tellStaff tells every leader and crew member but the acting one.
func (t *turn) tellStaff(m message.Message) {
	for _, p := range t.trip.People {
		if (p.Leader || p.Crew) && canBeTold(p) && p.ID != t.actor {
			t.tell(p.ID, roster.LevelWord, false, m)
		}
	}
}

// waitingMessage is somebody who waits, with what can be done about it.
func (t *turn) waitingMessage(n *roster.Newcomer) message.Message {
	a := message.Args{"name": message.Name(n.Name)}
	m := message.Message{Lines: []message.Line{message.Loud("gate.asks", a), newcomer.Line(n)}}
	if many := len(t.trip.Gate.Waiting); many > 1 {
		m.Buttons = append(m.Buttons, oneButton("gall seen",
			message.Say("gate.button.all", message.Args{"count": message.Count(many)})))
	}
	m.Buttons = append(m.Buttons, newcomerButtons(n)...)
	return m
}

// newcomerButtons are what can be done about somebody who waits.
func newcomerButtons(n *roster.Newcomer) (rows [][]message.Button) {
	if n.Card != gas.CardNone {
		rows = append(rows, oneButton("gin "+n.ID+" seen", message.Say("gate.button.seen", nil)))
	}
	return append(rows, []message.Button{{Label: message.Say("gate.button.in", nil), Do: "gin " + n.ID},
		{Label: message.Say("gate.button.no", nil), Do: "gno " + n.ID}})
}

// gatePressed lets somebody in; "seen" says that their card was.
func gatePressed(t *turn, args []string) {
	n := t.trip.Newcomer(argument(args, 0))
	if n == nil {
		t.say(message.Say("gate.answered", nil))
		return
	}
	t.letIn([]string{n.ID}, argument(args, 1) == "seen")
}

// gateAllPressed lets in everybody who waits.
func gateAllPressed(t *turn, args []string) {
	var ids []string
	for _, n := range t.trip.Gate.Waiting {
		ids = append(ids, n.ID)
	}
	if len(ids) == 0 {
		t.say(message.Say("gate.answered", nil))
		return
	}
	t.letIn(ids, argument(args, 0) == "seen")
}

// letIn puts people on the trip, welcomes them and says who came.
func (t *turn) letIn(ids []string, seen bool) {
	var in []*roster.Person
	for _, id := range ids {
		n := t.trip.Newcomer(id)
		if p := t.trip.LetIn(id, seen && n.Card != gas.CardNone, t.actor, t.now); p != nil {
			in = append(in, p)
			t.happen("diver.joined", map[string]any{"name": p.Name, "person": p.ID})
		}
	}
	if len(in) == 0 {
		t.say(message.Say("gate.full", nil))
		return
	}
	a := message.Args{"names": t.names(in), "who": t.nameOf(t.actor)}
	t.say(message.Loud("gate.in", a))
	t.tellStaff(message.Message{Lines: []message.Line{message.Say("gate.in.by", a)}})
	for _, p := range in {
		t.welcomeIn(p.ID)
	}
	t.queueMoves()
}

// welcomeIn says to somebody who was let in what is said at joining.
func (t *turn) welcomeIn(id roster.PersonID) {
	p := t.trip.Person(id)
	if p.Joined.IsZero() {
		return // on a page, which says it when it is opened
	}
	t.as(p, func() { t.send(t.welcome(false)) })
	t.showed(id)
}

// gateRefused sends somebody away.
func gateRefused(t *turn, args []string) {
	n := t.trip.Newcomer(argument(args, 0))
	if n == nil {
		t.say(message.Say("gate.answered", nil))
		return
	}
	was := *n
	a := message.Args{"name": message.Name(was.Name), "trip": message.Name(t.trip.Name)}
	t.trip.Refuse(was.ID, t.actor, t.now)
	t.say(message.Say("gate.refused", a))
	if was.Address != (roster.Address{}) {
		t.letters = append(t.letters, Letter{Outsider: was.Address, Language: was.Language, Level: roster.LevelAnswer,
			Message: message.Message{Lines: []message.Line{message.Say("newcomer.refused", a)}}})
	}
}

// showInvite is "/letin": the link with who waits. A leader opens it by that.
func showInvite(t *turn, _ string) {
	if !t.trip.Gate.Open && t.me().Leader {
		t.trip.OpenGate(t.actor, t.now)
	}
	if !t.trip.GateOpen(t.now) {
		t.say(message.Say("gate.shut", nil))
		return
	}
	t.send(t.inviteMessage())
	for i := range t.trip.Gate.Waiting {
		t.send(t.waitingMessage(&t.trip.Gate.Waiting[i]))
	}
}

// inviteMessage is the link for everybody.
func (t *turn) inviteMessage() message.Message {
	g := t.trip.Gate.Generation
	lines := []message.Line{message.Loud("gate.open", nil), message.Say("gate.open.how", nil),
		message.Say("gate.chat", nil), link(message.OpenChatLink(g)),
		message.Say("gate.page", nil), link(message.OpenLink(g))}
	m := message.Message{Lines: lines, Code: message.OpenLink(g)}
	if t.me().Leader {
		m.Buttons = [][]message.Button{{{Label: message.Say("gate.button.shut", nil), Do: "gshut " + strconv.Itoa(g)},
			{Label: message.Say("gate.button.new", nil), Do: "gnew " + strconv.Itoa(g)}}}
	}
	return m
}

// gateShut shuts the open invite; who waits goes.
func gateShut(t *turn, args []string) {
	if !t.thisGate(args) || !t.trip.ShutGate(t.actor, t.now) {
		t.say(message.Say("gate.shut", nil))
		return
	}
	t.say(message.Loud("gate.shut.done", message.Args{"command": message.Code("/letin")}))
}

// thisGate tells whether a button is about the link that is open now.
func (t *turn) thisGate(args []string) bool {
	return t.trip.Gate.Open && argument(args, 0) == strconv.Itoa(t.trip.Gate.Generation)
}

// gateNew makes a new link; the old one opens nothing.
func gateNew(t *turn, args []string) {
	if !t.thisGate(args) {
		t.say(message.Say("gate.shut", nil))
		return
	}
	t.trip.OpenGate(t.actor, t.now)
	t.send(t.inviteMessage())
}

// Somebody without a phone: leader or crew answer for them, and have seen the card
// that they say.
//
//	/add NAME

// stateAdd waits for what is not known yet of somebody who is being added.
const stateAdd State = "leader.add"

// addVerb is what the newcomer's questions begin with when staff answer them.
const addVerb = "ladd"

func addSomebody(t *turn, args string) {
	f := newcomer.Form{Trip: t.trip.ID}
	if args != "" {
		if problem := f.SetName(args); problem.Key != "" {
			t.say(problem)
			return
		}
	}
	t.askNewcomer(f)
}

// askNewcomer asks the next question, or adds the person.
func (t *turn) askNewcomer(f newcomer.Form) {
	m, done := f.Next(t.trip.Trip, "")
	if done {
		t.addNow(f)
		return
	}
	switch {
	case f.Name == "":
		m.Lines = []message.Line{message.Say("add.name", nil)}
	case f.Card == "":
		m.Lines = []message.Line{message.Say("add.card", message.Args{"name": message.Name(f.Name)})}
	}
	for _, row := range m.Buttons {
		for i := range row {
			row[i].Do = addVerb + strings.TrimPrefix(row[i].Do, newcomer.Verb)
		}
	}
	t.ask(stateAdd, f, m)
}

func (t *turn) addNow(f newcomer.Form) {
	t.done()
	n := f.Newcomer(t.trip.Trip, t.now)
	p := t.trip.AddWalkIn(n, t.actor, t.now)
	if p == nil {
		t.say(message.Say("gate.full", nil))
		return
	}
	a := message.Args{"names": t.names([]*roster.Person{p}), "who": t.nameOf(t.actor), "name": t.nameOf(p.ID)}
	t.send(message.Message{Lines: []message.Line{message.Loud("gate.in", a), message.Say("add.no-phone", a)},
		Buttons: [][]message.Button{oneButton("lfor "+string(p.ID), message.Say("news.button.watch", nil))}})
	t.tellStaff(message.Message{Lines: []message.Line{message.Say("gate.in.by", a)}})
}

func addTyped(t *turn, text string) {
	var f newcomer.Form
	t.data(&f)
	if t.answer(text) == reply.Cancel {
		t.done()
		t.say(message.Say("leader.cancelled", nil))
		return
	}
	if problem := f.Typed(t.trip.Trip, text); problem.Key != "" {
		t.say(problem)
		return
	}
	t.askNewcomer(f)
}

func addPressed(t *turn, args []string) {
	var f newcomer.Form
	t.data(&f)
	if t.session.State != stateAdd {
		t.questionOver()
		return
	}
	problem, ok := f.Pressed(t.trip.Trip, args, "")
	switch {
	case !ok:
		t.questionOver()
	case problem.Key != "":
		t.say(problem)
	default:
		t.askNewcomer(f)
	}
}
