package conversation

import (
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// command is one slash command.
type command struct {
	leader bool // for leaders only
	crew   bool // for leaders and crew
	run    func(t *turn, args string)
}

// The three tables: what people can do, merged of each side's own. They are
// filled in an init function because handlers refer to the tables in turn,
// which Go would call an initialisation cycle.
var (
	commands map[string]command
	buttons  map[string]button
	states   map[State]stateText
)

func init() {
	commands = merge(diverCommands, leaderCommands)
	buttons = merge(diverButtons, leaderButtons)
	states = merge(diverStates, leaderStates)
}

// stateText is what a state does with free text that is no command.
type stateText func(t *turn, text string)

// button is what a pressed button does; args are the words after its verb.
type button struct {
	leader bool
	crew   bool
	run    func(t *turn, args []string)
}

// may tells whether a person may do what is for leaders, or for leaders and crew.
func may(p *roster.Person, leader, crew bool) bool {
	return p.Leader || !leader && (!crew || p.Crew)
}

func merge[K comparable, V any](ms ...map[K]V) map[K]V {
	all := map[K]V{}
	for _, m := range ms {
		for k, v := range m {
			if _, twice := all[k]; twice {
				panic("conversation: defined twice") // at start-up, in every test
			}
			all[k] = v
		}
	}
	return all
}

// Prepare reads the words of a language, so that nobody who writes in it waits for that.
func Prepare(language string) { reply.Prepare(language) }

// Step answers one event.
func Step(in Input) Result {
	t := newTurn(in)
	t.dispatch()
	t.remember()
	said := len(t.letters)
	broken := t.tellSignatures()
	t.tellLateNews()
	t.holdShop(broken)
	t.tellChangedVerdicts()
	t.tellShopChanges(said)
	t.tellNews()
	t.tellLeaderless()
	t.tellLogs()
	if t.event.Kind == Changed && t.event.Change.Ready {
		t.timer() // in the same message as what else the shop changed
	}
	t.dangerFirst()
	return Result{
		Trip: t.trip.Done(), Acts: t.trip.Acts, Session: t.session, Letters: t.weighed(), Happened: t.happened,
		Wake:           reminders.Next(t.trip.Trip, t.now),
		PreferLanguage: t.preferLanguage, PreferUnits: t.preferUnits,
	}
}

func (t *turn) dispatch() {
	switch t.event.Kind {
	case Timer:
		t.timer()
	case Changed:
		t.shopChanged(*t.event.Change)
	case Lost:
		t.lost()
	case Found:
		t.found()
	case Moved:
		t.linkGroup(t.event.Address)
	case Knock:
		t.knock()
	default:
		if t.me() == nil {
			return // the door resolved nobody; it answers itself
		}
		t.person()
	}
}

// person answers what a person did.
func (t *turn) person() {
	if t.event.Kind != GroupText && t.event.Kind != Forget {
		t.found() // who writes can be written to
	}
	if t.full() {
		return
	}
	switch t.event.Kind {
	case Join:
		t.join()
	case Forget:
		t.forget()
	case GroupText:
		t.groupText()
	case Edited:
		t.edited()
	case Button:
		t.pressed()
	case Text:
		if t.event.AnyTrip {
			t.askTrip()
			return
		}
		if t.event.Photo == "" || strings.TrimSpace(t.event.Text) != "" {
			t.typed()
		}
		if t.event.Photo != "" {
			t.photo()
		}
	}
}

func (t *turn) typed() {
	text := strings.TrimSpace(t.event.Text)
	if strings.HasPrefix(text, "/") {
		if !t.manyFor(text) {
			t.command(text)
		}
		return
	}
	if t.answersBoat(text) {
		t.freely(text)
		return
	}
	if t.typedButton(text) {
		return
	}
	if run, ok := states[t.session.State]; ok {
		// Where nothing is asked what was heard is looked through for it anyway.
		_, diver := diverStates[t.session.State]
		if diver && t.session.State != Idle && t.alarmed(text) || !diver && t.besideOf(text) {
			return
		}
		run(t, text)
		return
	}
	t.session = Session{} // a state of an older version: start afresh
	states[Idle](t, text)
}

// command runs "/name args"; the "@botname" that group chats add is dropped.
// A command answers whatever was asked before: the question is over.
func (t *turn) command(text string) {
	name, args, _ := strings.Cut(strings.TrimPrefix(text, "/"), " ")
	name, _, _ = strings.Cut(strings.ToLower(name), "@")
	c, ok := commands[name]
	switch {
	case !ok:
		t.say(message.Say("command.unknown", message.Args{"command": message.Name("/" + name)}))
	case !may(t.me(), c.leader, c.crew):
		t.say(message.Say("command.leaders-only", message.Args{"command": message.Code("/" + name)}))
	default:
		t.session = Session{}
		c.run(t, strings.TrimSpace(args))
	}
}

func (t *turn) pressed() {
	words := strings.Fields(t.event.Do)
	if len(words) == 0 {
		t.say(message.Say("button.unknown", nil))
		return
	}
	b, ok := buttons[words[0]]
	switch {
	case !ok:
		t.say(message.Say("button.unknown", nil))
	case !may(t.me(), b.leader, b.crew):
		t.say(message.Say("button.leaders-only", nil))
	default:
		b.run(t, words[1:])
	}
}
