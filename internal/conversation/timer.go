package conversation

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// What the clock says. Whom to remind is decided in package reminders; here
// the decisions become letters, noted in the trip together with them.

// verbRemind is the act of a reminder that was sent, or dropped for a reason
// that somebody may ask about: Detail kind, outcome.
const verbRemind = "remind"

func (t *turn) timer() {
	for _, d := range reminders.Decide(t.trip, t.now) {
		reminders.Remember(t.trip, d, t.now)
		t.noteReminder(d)
		if d.Action == reminders.Send {
			t.remind(d)
		}
	}
}

// noteReminder keeps what went out, and what did not although it was owed.
func (t *turn) noteReminder(d reminders.Decision) {
	switch {
	case d.Kind == reminders.Turn, d.Action == reminders.Hold:
		return
	case d.Action == reminders.Drop && d.Reason != reminders.TooLate && d.Reason != reminders.NotJoined && d.Reason != reminders.CantReach:
		return
	}
	t.trip.Note(roster.Act{At: t.now, Verb: verbRemind, On: string(d.Person), Reason: string(d.Reason),
		Detail: map[string]string{"kind": string(d.Kind), "outcome": string(d.Action)}})
}

// remind says one due message.
func (t *turn) remind(d reminders.Decision) {
	switch {
	case d.Kind == reminders.Turn:
		t.queueMoves()
	case d.Person == reminders.Group:
		t.letters = append(t.letters, Letter{Group: true, Message: t.groupReminder(), Level: roster.Normal, Expires: d.Until})
	default:
		p := t.trip.Person(d.Person)
		level := roster.Normal
		if d.Kind == reminders.Evening {
			level = roster.Bulk
			t.tellShopUnreachable()
		}
		t.letters = append(t.letters, Letter{Person: p.ID, Message: t.reminder(d, p), Level: level, Expires: d.Until})
	}
}

func (t *turn) reminder(d reminders.Decision, p *roster.Person) message.Message {
	b := t.board()
	pb := b.Of(p.ID)
	switch d.Kind {
	case reminders.Evening:
		return t.evening(p)
	case reminders.Morning:
		return t.morning(p, &b)
	case reminders.Escalate:
		return t.escalation(&b, message.Loud("remind.escalate", message.Args{"departs": t.clock(t.trip.Departs)}), d)
	case reminders.BoatBehind:
		return t.escalation(&b, message.Loud("remind.boat.behind", message.Args{
			"dive": message.Count(d.Dive), "minutes": message.Minutes(t.now.Sub(t.trip.BoatOpen).Minutes())}), d)
	case reminders.BoatCheck:
		m, _ := t.boatMessage(p, pb)
		m.Lines = append([]message.Line{message.Say("remind.boat", nil)}, m.Lines...)
		return m
	case reminders.SecondDive:
		head := message.Loud("remind.second", message.Args{"plan": message.Of(message.Plan(t.trip.Dives[d.Dive-1])), "dive": message.Count(d.Dive)})
		return t.owedReminder(head, p, pb)
	default:
		head := message.Loud("remind.nudge", message.Args{"minutes": message.Minutes(t.trip.Departs.Sub(t.now).Minutes()), "departs": t.clock(t.trip.Departs)})
		return t.owedReminder(head, p, pb)
	}
}

// evening is the plan, what was asked for and what that means, what to bring,
// how to report, and the table to keep.
func (t *turn) evening(p *roster.Person) message.Message {
	var m message.Message
	t.as(p, func() { m = t.plan() })
	m.Lines = append([]message.Line{message.Loud("remind.evening", message.Args{"name": message.Name(p.Name)}), gap()}, m.Lines...)
	if n := len(t.cylindersOf(p)); n > 0 {
		m.Lines = append(m.Lines, gap(), message.Loud("remind.bring", nil))
		if bringsCard(p) {
			m.Lines = append(m.Lines, message.Say("remind.bring.card", nil))
		}
		m.Lines = append(m.Lines, message.Say("remind.bring.analyser", nil), gap(),
			message.Loud("remind.report", message.Args{"count": message.Count(n)}), message.Say("remind.report.how", nil))
		if n > 1 {
			m.Lines = append(m.Lines, message.Say("remind.report.several", nil))
		}
		m.Lines = append(m.Lines, t.keepLines(p)...)
	}
	if p.Leader {
		m.Lines = append(m.Lines, t.unreachableLines()...)
		m.Lines = append(m.Lines, gap(), message.Say("remind.evening.leader", message.Args{
			"board": message.Code("/board"), "missing": message.Code("/missing")}))
	}
	m.Lines = append(m.Lines, gap(), message.Line{Key: "remind.caution", Style: message.Quiet})
	return m
}

// bringsCard tells whether to bring the enriched-air card. Those whose card
// nobody has seen yet were told so with the plan.
func bringsCard(p *roster.Person) bool {
	if p.Card != gas.CardSeen {
		return false
	}
	for _, c := range p.InUse() {
		if c.Asked >= gas.EnrichedFrom {
			return true
		}
	}
	return false
}

// as lets the vocabulary of a person's own turn speak to p.
func (t *turn) as(p *roster.Person, say func()) {
	me := t.me
	t.me = p
	say()
	t.me = me
}

// morning is what a person owes; a leader also hears who else owes something,
// and who has not joined.
func (t *turn) morning(p *roster.Person, b *roster.Board) message.Message {
	head := message.Loud("remind.morning", message.Args{"trip": message.Name(t.trip.Name), "departs": t.clock(t.trip.Departs)})
	m := message.Message{Lines: []message.Line{head}}
	if pb := b.Of(p.ID); remindable(pb) {
		m = t.owedReminder(head, p, pb)
	}
	if !p.Leader {
		return m
	}
	if owing := t.owing(b); len(owing) > 0 {
		m.Lines = append(m.Lines, gap(), message.Say("remind.morning.leader", message.Args{
			"count": message.Count(len(owing)), "active": message.Count(b.Counts.Active), "names": t.names(owing)}))
		m.Buttons = append(m.Buttons, oneButton("board", message.Say("remind.button.board", nil)))
	}
	m.Lines = append(m.Lines, t.unreachableLines()...)
	return m
}

func remindable(pb *roster.PersonBoard) bool {
	if pb == nil || !pb.Active {
		return false
	}
	for _, o := range pb.Owes {
		if o.Reminds() {
			return true
		}
	}
	return false
}

// owedReminder says what exactly a person owes and how to answer.
func (t *turn) owedReminder(head message.Line, p *roster.Person, pb *roster.PersonBoard) message.Message {
	m := message.Message{Lines: append([]message.Line{head}, t.owedLines(p, pb)...)}
	if open := boatOwed(t.cylindersOf(p), pb); len(open) > 0 {
		m.Lines = append(m.Lines, message.Loud("diver.boat.ask", message.Args{"count": message.Count(len(open)), "cylinders": t.list(p, open)}))
		m.Buttons = t.boatButtons(p, open)
	}
	if !analyses(pb) {
		return m
	}
	m.Lines = append(m.Lines, message.Say("remind.how", nil))
	if len(t.trip.Analysers) > 0 {
		m.Lines = append(m.Lines, t.queueHint(p))
	}
	return m
}

func analyses(pb *roster.PersonBoard) bool {
	for _, o := range pb.Owes {
		if o.Analysis() {
			return true
		}
	}
	return false
}

// reminded are the reasons for an analysis that have words of their own.
var reminded = map[string]bool{string(gas.RuleNoReading): true, string(gas.RuleRepeat): true, string(gas.RuleStale): true,
	string(gas.RuleImproved): true, string(gas.RuleAirPoint): true}

// owedLines are one line for each cylinder that has to be analysed, with the
// first reason.
func (t *turn) owedLines(p *roster.Person, pb *roster.PersonBoard) []message.Line {
	var lines []message.Line
	said := map[roster.CylinderID]bool{}
	for _, o := range pb.Owes {
		_, c := t.trip.Cylinder(o.Cylinder)
		if !o.Analysis() || c == nil || said[c.ID] {
			continue
		}
		said[c.ID] = true
		why := o.Why
		if !reminded[why] {
			why = "other"
		}
		lines = append(lines, message.Say("remind.owes."+why, message.Args{"cylinder": message.Of(t.calledBy(p, c))}))
	}
	return lines
}

// queueHint says where the person stands with the analyser.
func (t *turn) queueHint(p *roster.Person) message.Line {
	for _, a := range t.trip.Analysers {
		if turn, ok := t.trip.Queue.Serving[a.Name]; ok && turn.Person == p.ID {
			return message.Say("remind.queue.yours", message.Args{"analyser": message.Name(a.Name)})
		}
	}
	for n, waiting := range t.trip.Queue.Waiting {
		if waiting == p.ID {
			return message.Say("remind.queue.waiting", message.Args{"place": message.Count(n + 1)})
		}
	}
	return message.Say("remind.queue.how", nil)
}

// escalation tells a leader who owes what, and what can be done.
func (t *turn) escalation(b *roster.Board, head message.Line, d reminders.Decision) message.Message {
	m := message.Message{Lines: []message.Line{head}}
	owing := t.owing(b)
	for _, p := range owing {
		m.Lines = append(m.Lines, t.owesLines(b.Of(p.ID))...)
	}
	m.Lines = append(m.Lines, gap(), message.Say("remind.escalate.do", message.Args{"for": message.Code("/for"),
		"out": message.Code("/out"), "missing": message.Code("/missing"), "count": message.Count(len(owing))}))
	if n := len(reachable(owing)); n > 0 && d.Kind == reminders.Escalate {
		m.Buttons = append(m.Buttons, oneButton("lnudge", message.Say("board.button.nudge", message.Args{"count": message.Count(n)})))
	}
	return m
}

// groupReminder is all that a linked group hears: how many, and who.
func (t *turn) groupReminder() message.Message {
	b := t.board()
	owing := t.owing(&b)
	return message.Message{Lines: []message.Line{
		message.Loud("remind.group", message.Args{"count": message.Count(len(owing)), "names": t.names(owing), "departs": t.clock(t.trip.Departs)}),
		message.Say("remind.group.do", nil)}}
}

// tellShopUnreachable tells the shop once, with the evening message, who can't
// be written to.
func (t *turn) tellShopUnreachable() {
	key := "shop:unreachable:" + t.trip.Departs.UTC().Format(time.RFC3339)
	if _, told := t.trip.Reminded[key]; told {
		return
	}
	t.trip.Reminded[key] = t.now
	for _, p := range t.trip.People {
		why := p.Unreachable
		if p.Joined.IsZero() {
			why = "not joined"
		}
		if why != "" && p.Active() && p.Left.IsZero() {
			t.happen("diver.unreachable", map[string]any{"person": p.ID, "name": p.Name, "reason": why})
		}
	}
}
