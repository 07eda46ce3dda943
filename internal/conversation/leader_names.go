package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Whom a leader means. Every command that takes a NAME is a personCommand: it
// runs once the name is known, whether it was typed with the command, chosen
// from buttons or typed when asked.

// personCommand is what a command does with the person it is about; rest is
// what was typed after the name.
type personCommand func(t *turn, p *roster.Person, rest string)

var personCommands = map[string]personCommand{
	"for":      forPerson,
	"limit":    limitPerson,
	"cardseen": cardSeen,
	"out":      sitOut,
	"back":     backIn,
	"revoke":   revokeLink,
	"outside":  setOutside,
	"inside":   endOutside,
	"witness":  nameWitness,
	"changed":  cylinderChanged,
	"cylinder": cylinderFor,
	"kept":     keptFor,
	"crew":     makeCrew,
	"lead":     makeLeader,
}

// stateWho waits for the name that a command lacked.
const stateWho State = "leader.who"

// whoData is what stateWho remembers of the command.
type whoData struct {
	Command string `json:"command"`
	Rest    string `json:"rest,omitempty"` // what was typed after the name
}

// onPerson runs a person command, or asks for the name first.
func onPerson(command string) func(t *turn, args string) {
	return func(t *turn, args string) { t.resolve(whoData{Command: command}, args) }
}

// resolve takes the name off the front of args and runs the command on it.
func (t *turn) resolve(d whoData, args string) {
	if strings.TrimSpace(args) == "" {
		t.askWho(d, t.likely(d.Command), message.Say("leader.who.missing",
			message.Args{"command": message.Code("/" + d.Command)}))
		return
	}
	found, name, rest := orders.Named(t.trip.Trip, args)
	if gone := t.erased(name); len(found) == 0 && ofErased[d.Command] && len(gone) > 0 {
		found = gone
	}
	if rest != "" {
		d.Rest = rest
	}
	switch len(found) {
	case 0:
		t.askWho(d, nil, t.unknownName(name))
	case 1:
		t.done()
		personCommands[d.Command](t, found[0], d.Rest)
	default:
		t.askWho(d, found, message.Say("leader.who.several", message.Args{
			"name": message.Name(name), "count": message.Count(len(found))}))
	}
}

// ofErased are the commands that somebody who was erased may need: their place is in the
// way until a leader sits them out.
var ofErased = map[string]bool{"out": true, "back": true}

// erased are those who were, where a name says just that as a board does.
func (t *turn) erased(name string) []*roster.Person {
	called := orders.FoldName(strings.Trim(name, "()（）"))
	shown := labels.Line(message.Say("leader.erased", nil), message.Reader{Language: t.me().Language})
	if called != orders.FoldName(roster.ErasedName) && called != orders.FoldName(strings.Trim(shown, "()（）")) {
		return nil
	}
	return those(t.trip.People, func(p *roster.Person) bool { return p.Erased })
}

// mostChoices is how many people are offered as buttons; more are typed.
const mostChoices = 8

func (t *turn) askWho(d whoData, choices []*roster.Person, question message.Line) {
	m := message.Message{Lines: []message.Line{question}}
	if len(choices) <= mostChoices {
		for _, p := range choices {
			m.Buttons = append(m.Buttons, oneButton("lwho "+string(p.ID), t.choiceLabel(p, choices)))
		}
	}
	t.ask(stateWho, d, m)
}

// choiceLabel is a name, with a cylinder's label when the name is not alone.
func (t *turn) choiceLabel(p *roster.Person, among []*roster.Person) message.Line {
	for _, q := range among {
		if q.ID == p.ID || orders.FoldName(q.Name) != orders.FoldName(p.Name) {
			continue
		}
		for _, c := range p.InUse() {
			return message.Say("leader.choice.with", message.Args{
				"name": message.Name(p.Name), "cylinder": message.Of(cylinderName(c))})
		}
	}
	return message.Say("leader.choice", message.Args{"name": message.Name(p.Name)})
}

func whoTyped(t *turn, text string) {
	var d whoData
	t.data(&d)
	if t.cancelled(text) {
		return
	}
	if _, ok := personCommands[d.Command]; !ok {
		t.questionOver()
		return
	}
	t.resolve(d, text)
}

func whoPressed(t *turn, args []string) {
	var d whoData
	t.data(&d)
	p := t.personArg(args)
	run, ok := personCommands[d.Command]
	if t.session.State != stateWho || p == nil || !ok || p.Erased && !ofErased[d.Command] {
		t.questionOver()
		return
	}
	t.done()
	run(t, p, d.Rest)
}

// likely are the people for whom a command given without a name is probably
// meant.
func (t *turn) likely(command string) []*roster.Person {
	board := t.board(t.dive())
	var found []*roster.Person
	for i := range board.People {
		pb := &board.People[i]
		p := t.trip.Person(pb.Person)
		var fits bool
		switch command {
		case "for":
			fits = pb.Active && len(pb.Owes) > 0
		case "cardseen":
			fits = pb.Active && p.Card != gas.CardSeen
		case "out":
			fits = pb.Active && (blocks(pb) || pb.Left)
		case "kept":
			fits = owesAnswer(pb)
		case "limit", "witness", "changed", "cylinder":
			fits = pb.Active && !pb.Left
		case "revoke":
			fits = pb.Active && !pb.Left && (p.Joined.IsZero() || p.Unreachable != "")
		case "back":
			fits = pb.Out != nil || pb.Left
		case "inside":
			fits = pb.Outside != nil
		case "outside":
			fits = pb.Active && len(p.Speak) > 0
		}
		if fits {
			found = append(found, p)
		}
	}
	return found
}

// owesAnswer tells whether a person still has to say whether their cylinders
// were out of sight.
func owesAnswer(c *roster.Clearance) bool {
	return slices.ContainsFunc(c.Owes, func(o roster.Owed) bool { return o.Why == roster.NeedBoatAnswer })
}

// mostNames is how many names are listed for somebody to choose from.
const mostNames = 12

// unknownName says that nobody is called name, and who is there.
func (t *turn) unknownName(name string) message.Line {
	a := message.Args{"name": message.Name(name)}
	var names []message.Value
	for _, p := range t.trip.People {
		if !p.Erased {
			names = append(names, message.Name(p.Name))
		}
	}
	if len(names) > mostNames {
		return message.Say("leader.who.unknown.many", a)
	}
	a["names"] = message.List(names...)
	return message.Say("leader.who.unknown", a)
}

// personArg is the person a button names, nil when there is none.
func (t *turn) personArg(args []string) *roster.Person {
	if len(args) == 0 {
		return nil
	}
	return t.trip.Person(roster.PersonID(args[0]))
}

// questionOver answers a button or text whose question is no longer open.
func (t *turn) questionOver() {
	t.done()
	t.say(message.Say("leader.question-over", nil))
}

// oneButton is a row of one button.
func oneButton(do string, label message.Line) []message.Button {
	return []message.Button{{Label: label, Do: do}}
}

// nameOf is a person's name as a value; the shop and the clock have words.
func (t *turn) nameOf(id roster.PersonID) message.Value {
	p := t.trip.Person(id)
	switch {
	case id == "":
		return message.Of(message.Say("leader.the-shop", nil))
	case p == nil || p.Erased:
		return message.Of(message.Say("leader.erased", nil))
	}
	return message.Name(p.Name)
}

// cylinderName is how a cylinder is called: by its label, or by its dive
// until it has one.
func cylinderName(c *roster.Cylinder) message.Line {
	if c.Label != "" {
		return message.Say("leader.cylinder", message.Args{"label": message.Name(c.Label)})
	}
	return message.Say("leader.cylinder.unlabelled", message.Args{"dive": message.Count(c.Dive)})
}

// cylinderOn is how a cylinder is called where it matters which dive it is for.
func (t *turn) cylinderOn(c *roster.Cylinder) message.Line {
	if c.Label == "" || c.Dive == t.dive() {
		return cylinderName(c)
	}
	return message.Say("leader.cylinder.dive", message.Args{"label": message.Name(c.Label), "dive": message.Count(c.Dive)})
}

// reasonLine is a reason as a value: what somebody typed, or that none was
// given.
func reasonLine(reason string) message.Line {
	if reason == "" {
		return message.Say("reason.none", nil)
	}
	return message.Say("reason", message.Args{"text": message.Text(reason)})
}
