package conversation

import (
	"slices"
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
	alone := false // nobody who leads has come, and it is late
	for _, d := range reminders.Decide(t.trip.Trip, t.now) {
		reminders.Remember(t.trip, d, t.now)
		t.noteReminder(d)
		if d.Action == reminders.Send {
			t.remind(d)
		}
		alone = alone || d.Kind == reminders.Escalate && d.Reason == reminders.NotJoined && !t.trip.LeaderAtHand()
	}
	if alone {
		t.sayLeaderless()
	}
}

// noteReminder keeps what went out, and what did not although it was owed.
func (t *turn) noteReminder(d reminders.Decision) {
	switch {
	case d.Kind == reminders.Turn, d.Action == reminders.Hold:
		return
	case d.Action == reminders.Drop && d.Reason != reminders.TooLate && d.Reason != reminders.NotJoined &&
		d.Reason != reminders.CantReach:
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
		t.letters = append(t.letters, Letter{Group: true, Message: t.groupReminder(), Level: roster.LevelReminder,
			Expires: d.Until})
	default:
		p := t.trip.Person(d.Person)
		level := roster.LevelReminder
		if d.Kind == reminders.Evening {
			level = roster.LevelAnnouncement
			t.tellShopUnreachable()
		}
		t.letters = append(t.letters, Letter{Person: p.ID, Message: t.reminder(d, p), Level: level, Expires: d.Until})
	}
}

func (t *turn) reminder(d reminders.Decision, p *roster.Person) message.Message {
	switch d.Kind {
	case reminders.Evening:
		m := t.evening(p)
		if p.Leader {
			m.Lines = append(m.Lines, t.awayLine(t.away())...)
		}
		return m
	case reminders.Ready:
		return t.owedReminder(message.Say("remind.why.ready", nil), p, t.ahead()...)
	case reminders.Escalate:
		return t.escalation(t.dive(), message.Loud("remind.escalate", message.Args{"minutes": t.untilDeparture()}))
	case reminders.BoatBehind:
		boat := t.trip.Dives[d.Dive-1].Boat
		return t.escalation(d.Dive, message.Loud("remind.boat.behind", message.Args{
			"dive": message.Count(d.Dive), "minutes": message.Minutes(t.now.Sub(boat[len(boat)-1].At).Minutes())}))
	case reminders.BoatCheck:
		return t.owedReminder(message.Say("remind.why.boat", nil), p, d.Dive)
	case reminders.SecondDive:
		return t.owedReminder(message.Say("remind.why.second", message.Args{"dive": message.Count(d.Dive)}), p, d.Dive)
	default:
		return t.owedReminder(message.Say("remind.why.departs", message.Args{"minutes": t.untilDeparture()}), p, t.ahead()...)
	}
}

func (t *turn) untilDeparture() message.Value {
	return message.Minutes(t.trip.Departs.Sub(t.now).Minutes())
}

// evening is the plan with what was asked for, what to bring, when cylinders can
// be analysed, and the table to keep.
func (t *turn) evening(p *roster.Person) message.Message {
	var m message.Message
	t.as(p, func() { m = t.plan() })
	owed := t.owedBy(p)
	if len(owed) == 0 {
		return m
	}
	m.Lines = append(append(m.Lines, bringLine(p)...), message.Say("remind.report", message.Args{
		"count": message.Count(len(owed)), "ready": t.clock(t.trip.ReadyAt())}))
	m.Lines = append(m.Lines, t.keepLines(p)...)
	return m
}

// away are those who dive and can't be written to, or never opened their invite.
func (t *turn) away() []*roster.Person {
	return slices.DeleteFunc(slices.Clone(t.trip.People), func(p *roster.Person) bool {
		return !p.Dives() || !p.Left.IsZero() || p.OutOf(t.dive()) != nil || canBeTold(p)
	})
}

// bringLine is what to bring. Those whose card nobody has seen yet were told of it
// with the plan.
func bringLine(p *roster.Person) []message.Line {
	enriched := slices.ContainsFunc(p.InUse(), func(c *roster.Cylinder) bool { return c.Asked >= gas.EnrichedFrom })
	switch {
	case !enriched:
		return []message.Line{message.Say("remind.bring.no-card", nil)}
	case p.Card == gas.CardSeen:
		return []message.Line{message.Say("remind.bring", nil)}
	}
	return nil
}

// as lets the vocabulary of a person's own turn speak to p.
func (t *turn) as(p *roster.Person, say func()) {
	actor := t.actor
	t.actor = p.ID
	say()
	t.actor = actor
}

// briefly are cylinders by their labels, or how many they are where one has none.
func (t *turn) briefly(p *roster.Person, cs []*roster.Cylinder) message.Value {
	if slices.ContainsFunc(cs, func(c *roster.Cylinder) bool { return c.Label == "" }) {
		return message.Of(message.Say("diver.cylinder.count", message.Args{"count": message.Count(len(cs))}))
	}
	return t.list(p, cs)
}

// owesAnything tells whether something is owed of a cylinder.
func owesAnything(cl *roster.Clearance, c roster.CylinderID) bool {
	return slices.ContainsFunc(cl.Owes, func(o roster.Owed) bool { return o.Cylinder == c })
}

// askedButtons lead to the numbers that a person is still being asked about.
func (t *turn) askedButtons(p *roster.Person) [][]message.Button {
	var rows [][]message.Button
	for _, q := range t.questionsOf(p) {
		if !q.Percent.Known() {
			rows = append(rows, t.questionMessage(p, q).Buttons...)
			continue
		}
		rows = append(rows, oneButton("qask "+q.ID,
			message.Say("diver.question.button.open", message.Args{"percent": message.Percent(q.Percent)})))
	}
	for _, c := range t.current(p) {
		if r := t.doubted(c); r != nil {
			rows = append(rows, t.shownMessage(p, c, r).Buttons...)
		}
	}
	return rows
}

// escalation tells a leader who owes what on a dive, with buttons that do it.
func (t *turn) escalation(dive int, head message.Line) message.Message {
	b := t.board(dive)
	return message.Message{Lines: append([]message.Line{head}, t.needLines(&b, owesAny)...), Buttons: t.needButtons(&b)}
}

// groupReminder is all that a linked group hears: how many, and who.
func (t *turn) groupReminder() message.Message {
	b := t.board(t.dive())
	owing := t.owing(&b)
	return message.Message{Lines: []message.Line{
		message.Loud("remind.group", message.Args{"count": message.Count(len(owing)), "names": t.names(owing),
			"departs": t.clock(t.trip.Departs)}),
		message.Say("remind.group.do", nil)}}
}

// tellShopUnreachable tells the shop once, with the evening message, who can't
// be written to.
func (t *turn) tellShopUnreachable() {
	key := "shop:unreachable:" + t.trip.Departs.UTC().Format(time.RFC3339)
	if _, told := t.trip.Reminded[key]; told {
		return
	}
	t.trip.Remind(key, t.now)
	for _, p := range t.trip.People {
		why := p.Unreachable
		if p.Joined.IsZero() {
			why = "not joined"
		}
		if why != "" && p.Dives() && p.Left.IsZero() {
			t.happen("diver.unreachable", map[string]any{"person": p.ID, "name": p.Name, "reason": why})
		}
	}
}
