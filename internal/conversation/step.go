package conversation

import (
	"math"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// command is one slash command.
type command struct {
	leader bool // for leaders only
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
	run    func(t *turn, args []string)
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

// Step answers one event.
func Step(in Input) Result {
	t := newTurn(in)
	t.dispatch()
	t.tellReopenings()
	board := t.board()
	t.tellNews(&board)
	t.tellChangedVerdicts(&board)
	return Result{
		Session: t.session, Letters: t.letters, Happened: t.happened,
		Wake:           reminders.Next(t.trip, t.now),
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
		t.trip.GroupChat = t.event.Address
	default:
		if t.me == nil {
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
		t.typed()
	}
}

func (t *turn) typed() {
	text := strings.TrimSpace(t.event.Text)
	if strings.HasPrefix(text, "/") {
		t.command(text)
		return
	}
	if run, ok := states[t.session.State]; ok {
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
	case c.leader && !t.me.Leader:
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
	case b.leader && !t.me.Leader:
		t.say(message.Say("button.leaders-only", nil))
	default:
		b.run(t, words[1:])
	}
}

// tellChangedVerdicts is the one place that notices that somebody's verdict
// is no longer what they were told, whatever changed it, and tells them.
func (t *turn) tellChangedVerdicts(board *roster.Board) {
	for i := range board.People {
		pb := &board.People[i]
		p := t.trip.Person(pb.Person)
		now := told(pb)
		now.At = p.Told.At
		if !pb.Active || p.Joined.IsZero() || !p.Left.IsZero() || p.Told == now {
			continue
		}
		first := p.Told.At.IsZero()
		p.Told = now
		p.Told.At = t.now
		t.happen("verdict.changed", verdictNews{Person: p.ID, Status: now.Status})
		if t.answered[p.ID] || (first && now.Status == gas.NoReading) {
			continue // this turn's answer said it, or nothing was ever said
		}
		t.tell(p.ID, roster.Urgent, true, t.verdictChanged(p, pb))
	}
}

// told is what a person is told of a verdict: the status, the depth, the time.
func told(pb *roster.PersonBoard) roster.Told {
	v := roster.Told{Status: pb.Own}
	for _, n := range pb.Verdict.Numbers {
		if n.MaxDepth.Known() && (!v.MaxDepth.Known() || v.MaxDepth.DeeperThan(n.MaxDepth)) {
			v.MaxDepth = n.MaxDepth
		}
		if m := math.Floor(n.MaxMinutes + 1e-9); m > 0 && (v.MaxMinutes == 0 || m < v.MaxMinutes) {
			v.MaxMinutes = m
		}
	}
	return v
}
