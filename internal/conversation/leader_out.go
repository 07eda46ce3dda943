package conversation

import (
	"slices"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Who sits out and who is outside this check, for one dive or the whole trip,
// and back again. A reason that others see is one of a few words that say
// nothing of health; anything else is the leader's own.
//
//	/out NAME [dive N] REASON         /back NAME [dive N] REASON
//	/outside NAME [dive N] REASON     /inside NAME [dive N]

// What these wait for: the reason.
const (
	stateOut     State = "leader.out"
	stateBack    State = "leader.back"
	stateOutside State = "leader.outside"
)

// shownReason is a reason as everybody may see it.
func shownReason(reason string) message.Line {
	if slices.Contains(orders.OutReasons, reason) {
		return message.Say("reason.out."+reason, nil)
	}
	return message.Say("reason.out.other", nil)
}

// reasonFor is a reason as the acting person may see it: what a leader wrote is
// that leader's own. Why somebody is outside this check everybody may read.
func (t *turn) reasonFor(out *roster.Out) message.Line {
	if out.By == t.actor && out.Reason != "" && !slices.Contains(orders.OutReasons, out.Reason) {
		return reasonLine(out.Reason)
	}
	return shownReason(out.Reason)
}

// takeScope does so in the actor's language, of the trip as it is.
func (t *turn) takeScope(text string) (dive int, rest string) {
	return orders.TakeScope(text, t.me().Language, t.trip.Trip, t.openDive)
}

// scoped takes the dive and the reason out of what was typed.
func (t *turn) scoped(rest string) (dive int, reason string) {
	dive, rest = t.takeScope(rest)
	reason = orders.Clip(strings.TrimPrefix(rest, "because "), orders.LongestReason)
	if answer := t.answer(reason); !orders.IsReasonWord(reason) && (answer == reply.No || answer == reply.Cancel) {
		return dive, "" // "/outside Tomasz no" gives none
	}
	return dive, reason
}

// scopeLine says whether it is for a dive or the trip.
func scopeLine(dive int) message.Line {
	if dive == 0 {
		return message.Say("scope.trip", nil)
	}
	return message.Say("scope.dive", message.Args{"dive": message.Count(dive)})
}

func (t *turn) scopeArgs(p roster.PersonID, dive int, reason string) message.Args {
	return message.Args{"name": t.nameOf(p), "who": t.nameOf(t.me().ID), "reason": message.Of(reasonLine(reason)),
		"scope": message.Of(scopeLine(dive)), "command": message.Code("/back")}
}

// scopeDive is the dive that the effect is shown on.
func (t *turn) scopeDive(dive int) int {
	if dive > 0 {
		return dive
	}
	return t.dive()
}

// sitOut takes a person off a dive or the trip, for a reason.
func sitOut(t *turn, p *roster.Person, rest string) {
	dive, reason := t.scoped(rest)
	reason = orders.WordedReason(reason)
	switch {
	case !p.Dives():
		t.say(message.Say("out.no-diver", message.Args{"name": t.nameOf(p.ID)}))
	case t.notOwnOut(p, t.scopeDive(dive)) != nil:
		t.sayNotYours(p, t.scopeDive(dive))
	case t.isOut(p, dive) != nil:
		out := t.isOut(p, dive)
		t.say(message.Say("out.was-out", message.Args{"name": t.nameOf(p.ID), "reason": message.Of(t.reasonFor(out)),
			"command": message.Code("/back")}))
	case reason == "":
		t.askOutReason(p, dive)
	default:
		t.sitOutOf(p.ID, dive, reason)
	}
}

// askOutReason asks for one of the few words, as a button or typed; 0 is the
// whole trip.
func (t *turn) askOutReason(p *roster.Person, dive int) {
	m := message.Message{Lines: []message.Line{message.Say("out.ask-reason", message.Args{"name": t.nameOf(p.ID)})}}
	for _, word := range orders.OutReasons {
		m.Buttons = append(m.Buttons, oneButton("lout "+string(p.ID)+" "+strconv.Itoa(dive)+" "+word,
			message.Say("reason.out."+word, nil)))
	}
	t.ask(stateOut, personData{p.ID, dive}, m)
}

func (t *turn) sitOutOf(p roster.PersonID, dive int, reason string) {
	t.done()
	a := t.scopeArgs(p, dive, reason)
	if !t.trip.SitOut(p, dive, t.me().ID, reason, t.now) {
		t.say(message.Say("out.not", a))
		return
	}
	shown := t.scopeDive(dive)
	t.shown[standing{p, shown}] = true
	b := t.board(shown)
	a["reason"] = message.Of(t.reasonFor(&roster.Out{By: t.actor, Reason: reason}))
	t.send(message.Message{Lines: []message.Line{message.Loud("out.done", a), t.headline(&b), countsLine(&b)},
		Buttons: t.boardButtons(&b)})
	a["reason"] = message.Of(shownReason(reason))
	t.tellEach([]*roster.Person{t.trip.Person(p)}, message.Message{Lines: []message.Line{message.Loud("out.told", a)}})
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("out.by", a)}})
	t.queueMoves()
}

func outTyped(t *turn, text string) { t.withReason(text, sitOut) }

// isOut is the sit-out that says already what the acting leader says, nil when none
// does: the trip's says it of every dive, what they said themself says it of nobody else.
func (t *turn) isOut(p *roster.Person, dive int) *roster.Out {
	i := slices.IndexFunc(p.Outs, func(o roster.Out) bool {
		return (o.Dive == 0 || o.Dive == dive) && (o.By != p.ID || p.ID == t.actor)
	})
	if i < 0 {
		return nil
	}
	return &p.Outs[i]
}

// notOwnOut is a sit-out of the acting person by another leader, nil when there is none.
func (t *turn) notOwnOut(p *roster.Person, n int) *roster.Out {
	i := slices.IndexFunc(p.Outs, func(o roster.Out) bool {
		return (o.Dive == 0 || o.Dive == n) && o.By != p.ID && p.ID == t.actor
	})
	if i < 0 {
		return nil
	}
	return &p.Outs[i]
}

func (t *turn) sayNotYours(p *roster.Person, n int) {
	t.say(message.Say("back.not-yours", message.Args{"leader": t.nameOf(t.notOwnOut(p, n).By)}))
}

// backIn takes a sit-out back, or brings back who left.
func backIn(t *turn, p *roster.Person, rest string) {
	dive, reason := t.scoped(rest)
	out := p.OutOf(t.scopeDive(dive))
	switch {
	case out == nil && !p.Left.IsZero():
		t.bringBack(p)
	case out == nil:
		t.say(message.Say("back.not-out", message.Args{"name": t.nameOf(p.ID)}))
	case t.notOwnOut(p, t.scopeDive(dive)) != nil:
		t.sayNotYours(p, t.scopeDive(dive))
	case reason == "":
		t.ask(stateBack, personData{p.ID, dive},
			message.Message{Lines: []message.Line{message.Say("back.ask-reason", message.Args{"name": t.nameOf(p.ID)})}})
	default:
		t.backInto(p, dive, reason)
	}
}

// backInto takes it back as far as it went: of the trip when nothing else was
// said. A dive of a trip that somebody sits out is not taken back by itself.
func (t *turn) backInto(p *roster.Person, dive int, reason string) {
	t.done()
	trip := slices.ContainsFunc(p.Outs, func(o roster.Out) bool { return o.Dive == 0 })
	if dive == 0 && !trip {
		dive = t.dive()
	}
	a := t.scopeArgs(p.ID, dive, reason)
	if dive > 0 && trip || !t.trip.BackIn(p.ID, dive, t.me().ID, reason, t.now) {
		t.say(message.Say("back.not", a))
		return
	}
	t.say(append([]message.Line{message.Loud("back.done", a)}, t.verdictLines(t.scopeDive(dive), p)...)...)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("back.told", a)}})
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("back.by", a)}})
}

func backTyped(t *turn, text string) { t.withReason(text, backIn) }

// setOutside sets a person outside this check, with a reason.
func setOutside(t *turn, p *roster.Person, rest string) {
	dive, reason := t.scoped(rest)
	a := t.scopeArgs(p.ID, dive, reason)
	switch {
	case p.ID == t.me().ID:
		t.done()
		t.say(message.Say("outside.not-self", nil))
	case reason == "":
		t.ask(stateOutside, personData{p.ID, dive},
			message.Message{Lines: []message.Line{message.Say("outside.ask-reason", a)}})
	case !t.trip.SetOutside(p.ID, dive, t.me().ID, reason, t.now):
		t.done()
		t.say(message.Say("outside.not", a))
	default:
		t.done()
		t.say(append([]message.Line{message.Loud("outside.done", a)}, t.verdictLines(t.scopeDive(dive), p)...)...)
		t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("outside.told", a)}})
		t.tellLeaders(message.Message{Lines: []message.Line{message.Say("outside.by", a)}})
	}
}

func outsideTyped(t *turn, text string) { t.withReason(text, setOutside) }

func outsidePressed(t *turn, args []string) {
	if p, _, ok := t.knownPerson(args); ok {
		setOutside(t, p, "")
		return
	}
	t.questionOver()
}

// endOutside takes it back: the person is checked again.
func endOutside(t *turn, p *roster.Person, rest string) {
	dive, _ := t.scoped(rest)
	out := p.OutsideOf(t.scopeDive(dive))
	if out != nil && dive == 0 {
		dive = out.Dive
	}
	a := t.scopeArgs(p.ID, dive, "")
	if out == nil || !t.trip.EndOutside(p.ID, dive, t.me().ID, t.now) {
		t.say(message.Say("inside.not", a))
		return
	}
	t.say(append([]message.Line{message.Loud("inside.done", a)}, t.verdictLines(t.scopeDive(dive), p)...)...)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("inside.told", a)}})
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("inside.by", a)}})
}

// stateWitness waits for which cylinder a named witness watches.
const stateWitness State = "leader.witness"

// nameWitness is "/witness WITNESS [NAME] [CYLINDER]": another diver watches the
// next reading of a cylinder, the leader's own where no name is given.
func nameWitness(t *turn, witness *roster.Person, rest string) {
	if words := strings.Fields(rest); len(words) > 0 && isCardWord(t.english(words[len(words)-1])) {
		t.cardWitnessed(witness, strings.Join(words[:len(words)-1], " "))
		return
	}
	p := t.me()
	if found, _, left := orders.Named(t.trip.Trip, rest); len(found) == 1 && strings.TrimSpace(rest) != "" {
		p, rest = found[0], left
	}
	c := orders.Labelled(p, strings.TrimSpace(rest))
	if in := p.InUse(); c == nil && strings.TrimSpace(rest) == "" && len(in) == 1 {
		c = in[0]
	}
	a := message.Args{"name": t.nameOf(p.ID), "witness": t.nameOf(witness.ID)}
	if c == nil {
		a["cylinders"] = t.cylinderList(p)
		t.ask(stateWitness, witnessData{Witness: witness.ID, Person: p.ID},
			message.Message{Lines: []message.Line{message.Say("witness.which", a)}})
		return
	}
	t.done()
	a["cylinder"] = message.Of(cylinderName(c))
	if !t.trip.NameWitness(c.ID, witness.ID, t.me().ID, t.now) {
		t.say(message.Say("witness.not", a))
		return
	}
	t.say(message.Loud("witness.done", a))
	t.tellEach([]*roster.Person{witness}, message.Message{Lines: []message.Line{message.Loud("witness.told", a)}})
	if witness.ID != p.ID {
		t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Say("witness.watched", a)}})
	}
}

type witnessData struct {
	Witness roster.PersonID `json:"witness"`
	Person  roster.PersonID `json:"person"`
}

func witnessTyped(t *turn, text string) {
	var d witnessData
	t.data(&d)
	w, p := t.trip.Person(d.Witness), t.trip.Person(d.Person)
	switch {
	case t.answer(text) == reply.Cancel || w == nil || p == nil || orders.Labelled(p, strings.TrimSpace(text)) == nil:
		t.done()
		t.say(message.Say("leader.cancelled", nil))
	default:
		nameWitness(t, w, "@"+string(p.ID)+" "+strings.TrimSpace(text))
	}
}
