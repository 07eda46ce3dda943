package conversation

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Who runs the boat: leaders make crew and leaders, hand over, and somebody takes
// over when the leader is gone. A trip is never without a leader.

// makeCrew is "/crew NAME". Who is crew already stays it unless the button says
// otherwise: a name typed twice must not take from somebody what they may do.
func makeCrew(t *turn, p *roster.Person, _ string) {
	if !p.Crew || p.Leader {
		t.setRole(p, false, true)
		return
	}
	a := message.Args{"name": t.nameOf(p.ID)}
	t.send(message.Message{Lines: []message.Line{message.Say("role.crews", a)}, Buttons: [][]message.Button{
		oneButton("llead "+string(p.ID)+" diver", message.Say("role.button.diver", a))}})
}

// makeLeader is "/lead NAME": beside the one who says it, or instead.
func makeLeader(t *turn, p *roster.Person, _ string) {
	a := message.Args{"name": t.nameOf(p.ID)}
	switch {
	case p.ID == t.actor:
		t.say(message.Say("role.self", nil))
	case p.Leader:
		t.send(message.Message{Lines: []message.Line{message.Say("role.leads", a)}, Buttons: [][]message.Button{
			oneButton("llead "+string(p.ID)+" back", message.Say("role.button.back", a))}})
	default:
		t.send(message.Message{Lines: []message.Line{message.Say("role.ask", a)}, Buttons: [][]message.Button{
			oneButton("llead "+string(p.ID)+" too", message.Say("role.button.too", a)),
			oneButton("llead "+string(p.ID)+" instead", message.Say("role.button.instead", a))}})
	}
}

func leadPressed(t *turn, args []string) {
	p := t.personArg(args)
	switch how := argument(args, 1); {
	case p == nil || p.ID == t.actor || p.Erased:
		t.questionOver()
	case how == "too":
		t.setRole(p, true, p.Crew)
	case how == "back":
		t.setRole(p, false, p.Crew) // crew who led is crew again
	case how == "diver":
		t.setRole(p, false, false)
	case how == "instead" && !canBeTold(p): // a trip is never without a leader who can be spoken to
		t.say(message.Say("role.away", message.Args{"name": t.nameOf(p.ID)}))
	case how == "instead" && t.trip.HandOver(p.ID, t.actor, t.now):
		a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.actor)}
		t.send(message.Message{Lines: []message.Line{message.Loud("role.handed", a)}, Commands: t.role()})
		t.tellNewRole(p.ID, message.Message{Lines: []message.Line{message.Loud("role.handed", a)}})
	default:
		t.say(message.Say("role.not", message.Args{"name": t.nameOf(p.ID)}))
	}
}

// leavesNoLeader tells whether no leader would be at hand without the actor, though
// somebody could lead.
func (t *turn) leavesNoLeader() bool {
	return t.me().Leader && !t.trip.Over(t.now) && len(t.couldLead()) > 0 &&
		!slices.ContainsFunc(t.couldLead(), func(p *roster.Person) bool { return p.Leader })
}

// couldLead are the others who are at hand, the crew first.
func (t *turn) couldLead() []*roster.Person {
	others := slices.DeleteFunc(slices.Clone(t.trip.People), func(p *roster.Person) bool {
		return p.ID == t.actor || !canBeTold(p) || !p.Left.IsZero()
	})
	slices.SortStableFunc(others, func(a, b *roster.Person) int {
		switch {
		case a.Crew == b.Crew:
			return 0
		case a.Crew:
			return -1
		}
		return 1
	})
	return others
}

// mostToHandTo is how many people are offered to hand over to; /lead takes any name.
const mostToHandTo = 8

// askHandOver is the answer to the only leader who would leave.
func (t *turn) askHandOver() {
	t.done()
	m := message.Message{Lines: []message.Line{message.Loud("role.alone", nil)}}
	for _, p := range t.couldLead()[:min(mostToHandTo, len(t.couldLead()))] {
		label := message.Say("role.button.instead", message.Args{"name": t.nameOf(p.ID)})
		m.Buttons = append(m.Buttons, oneButton("llead "+string(p.ID)+" instead", label))
	}
	t.send(m)
}

// setRole gives a role, tells its bearer and whoever runs the boat.
func (t *turn) setRole(p *roster.Person, leader, crew bool) {
	a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.actor)}
	if !t.trip.SetRole(p.ID, leader, crew, t.actor, t.now) {
		t.say(message.Say("role.not", a))
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("shop.role."+roleOf(leader, crew), a)}}
	t.send(m)
	for _, o := range t.trip.People {
		if (o.Leader || o.Crew) && canBeTold(o) && o.ID != t.actor && o.ID != p.ID {
			t.tell(o.ID, roster.LevelWord, false, m)
		}
	}
	if p = t.trip.Person(p.ID); canBeTold(p) && p.ID != t.actor {
		t.tell(p.ID, roster.LevelWord, false, message.Message{Commands: roleOf(leader, crew),
			Lines: []message.Line{message.Loud("role.yours."+roleOf(leader, crew), nil)}})
	}
}

// tellNewRole tells everybody who leads now.
func (t *turn) tellNewRole(leader roster.PersonID, m message.Message) {
	for _, p := range t.trip.People {
		if !canBeTold(p) || p.ID == t.actor {
			continue
		}
		mine := m
		if p.ID == leader {
			mine.Commands = "leader"
		}
		t.tell(p.ID, roster.LevelWord, true, mine)
	}
}

// takeOver is "/takeover": crew, or failing that any diver, asks to lead.
func takeOver(t *turn, _ string) {
	a := message.Args{"name": t.nameOf(t.actor)}
	switch {
	case t.me().Leader:
		t.say(message.Say("role.self", nil))
		return
	case !t.trip.AskTakeOver(t.actor, t.now):
		t.say(message.Say("takeover.crew-first", nil))
		return
	}
	t.say(message.Loud("takeover.waits", a))
	for _, p := range t.trip.People {
		if canBeTold(p) && p.ID != t.actor {
			t.tellAsked(p, t.actor)
		}
	}
}

// tellAsked tells somebody who asks to lead.
func (t *turn) tellAsked(p *roster.Person, by roster.PersonID) {
	a := message.Args{"name": t.nameOf(by)}
	m := message.Message{Lines: []message.Line{message.Loud("takeover.asked", a)},
		Buttons: [][]message.Button{oneButton("take ok "+string(by), message.Say("takeover.button.yes", a))}}
	if p.Leader {
		m.Buttons = append(m.Buttons, oneButton("take no", message.Say("takeover.button.no", nil)))
	}
	t.tell(p.ID, roster.LevelWord, true, m)
}

// leaderComes tells a leader who was not at hand that somebody asks to lead.
func (t *turn) leaderComes(p *roster.Person) {
	if asked := t.trip.TakeOverAsked(t.now); asked != nil && p.Leader {
		t.tellAsked(p, asked.By)
	}
}

// leaderIsBack tells those who could have led that a leader can be reached again.
func (t *turn) leaderIsBack(p *roster.Person) {
	if !p.Leader || t.in.Trip.LeaderAtHand() {
		return
	}
	m := message.Message{Lines: []message.Line{message.Say("reachable.leader", message.Args{"name": t.nameOf(p.ID)})}}
	for _, o := range t.trip.People {
		if canBeTold(o) && t.in.Trip.MayTakeOver(o.ID) {
			t.tell(o.ID, roster.LevelWord, false, m)
		}
	}
	t.leaderComes(p)
}

func takePressed(t *turn, args []string) {
	if argument(args, 0) == "ask" {
		takeOver(t, "")
		return
	}
	asked := t.trip.TakeOverAsked(t.now)
	switch {
	case asked == nil:
		t.questionOver()
	case argument(args, 0) == "no" && t.trip.DenyTakeOver(t.actor, t.now):
		a := message.Args{"who": t.nameOf(t.actor)}
		t.say(message.Say("takeover.denied", a))
		t.tellEach([]*roster.Person{t.trip.Person(asked.By)},
			message.Message{Lines: []message.Line{message.Say("takeover.denied", a)}})
	case argument(args, 0) == "ok" && argument(args, 1) == string(asked.By) && t.actor != asked.By:
		t.confirmTakeOver(asked.By)
	default:
		t.questionOver()
	}
}

// confirmTakeOver is a second person's word.
func (t *turn) confirmTakeOver(p roster.PersonID) {
	if due := t.trip.TakeOverDue(t.actor); t.now.Before(due) {
		t.say(message.Say("takeover.early", message.Args{"at": t.clock(due)}))
		return
	}
	a := message.Args{"name": t.nameOf(p), "who": t.nameOf(t.actor)}
	if !t.trip.TakeOver(p, t.actor, t.now) {
		t.questionOver()
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("takeover.done", a)}}
	t.send(m)
	t.tellNewRole(p, m)
	t.happen("leader.changed", map[string]any{"person": p, "witness": t.actor})
}

// tellLeaderless tells crew, or failing that everybody, and the shop when the last
// leader who could be reached is gone.
func (t *turn) tellLeaderless() {
	if t.in.Trip.LeaderAtHand() && !t.trip.LeaderAtHand() {
		t.sayLeaderless()
	}
}

// sayLeaderless does it. Who is told can take over.
func (t *turn) sayLeaderless() {
	if t.trip.Over(t.now) {
		return
	}
	m := message.Message{Lines: []message.Line{message.Loud("leaderless", message.Args{"leader": t.allLeaders()})},
		Buttons: [][]message.Button{oneButton("take ask", message.Say("takeover.button.ask", nil))}}
	for _, p := range t.trip.People {
		if canBeTold(p) && !p.Leader && t.trip.MayTakeOver(p.ID) {
			t.tell(p.ID, roster.LevelVerdict, true, m)
		}
	}
	t.happen("leader.unreachable", map[string]any{"trip": t.trip.ID})
}
