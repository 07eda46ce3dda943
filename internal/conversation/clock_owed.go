package conversation

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A reminder of what a person owes is two lines: what is in the way, the danger
// before anything else, and why it is said now with the act that settles it.

// owedReminder is a reminder of what a person owes on the first of some dives on
// which they owe something.
func (t *turn) owedReminder(why message.Line, p *roster.Person, dives ...int) message.Message {
	for _, n := range dives {
		if owed := boatOwed(p.InUse(), t.clearance(p.ID, n)); len(owed) > 0 {
			m := t.askedOfBoat(p)
			m.Lines = append(m.Lines, answerNow(why))
			return m
		}
	}
	need, act := t.stoppedNeed(p, dives...)
	if need.Key == "" {
		need, act = t.needLine(p, dives...), message.Say("remind.act."+t.actOwed(p, dives...), nil)
	}
	m := message.Message{Lines: []message.Line{need,
		message.Say("remind.why", message.Args{"why": message.Of(why), "act": message.Of(act)})},
		Buttons: t.askedButtons(p)}
	if len(t.trip.Analysers) > 0 && !t.trip.Queued(p.ID) {
		m.Buttons = append(m.Buttons, oneButton("queue", message.Say("remind.button.queue", nil)))
	}
	return m
}

// answerNow is the second line below the boat question, which is long.
func answerNow(why message.Line) message.Line {
	if leader, ok := why.Values.Of("leader"); ok {
		return message.Say("nudge.head", message.Args{"leader": leader})
	}
	return message.Say("remind.boat", nil)
}

// firstOwing is a person's clearance of the first of some dives on which they owe what
// is, nil without one.
func (t *turn) firstOwing(p *roster.Person, is func(roster.Owed) bool, dives ...int) *roster.Clearance {
	for _, n := range dives {
		if c := t.clearance(p.ID, n); c.Active && slices.ContainsFunc(c.Owes, is) {
			return c
		}
	}
	return nil
}

// stoppedNeed is for whom one cylinder is a no-go and others of the same dive are
// still to be analysed: the no-go with its own cylinder, and what is left to do.
func (t *turn) stoppedNeed(p *roster.Person, dives ...int) (need, act message.Line) {
	c := t.firstOwing(p, roster.Owed.Reminds, dives...)
	if c == nil || c.Status != gas.NoGo || t.actOwed(p, c.Dive) != string(roster.NeedReading) {
		return need, act
	}
	need = message.Cleared(t.trip.Trip, c)
	stopped := filter(p.InUse(), func(o *roster.Cylinder) bool {
		return o.Dive == c.Dive && c.Verdict.StatusOf(string(o.ID)) == gas.NoGo
	})
	if len(stopped) > 0 {
		need = message.Loud("cleared.of", message.Args{"verdict": message.Of(need), "cylinder": t.briefly(p, stopped)})
	}
	left := filter(p.InUse(), func(o *roster.Cylinder) bool { return owesAnything(c, o.ID) })
	return need, message.Say("remind.act.rest", message.Args{"cylinders": t.briefly(p, left)})
}

// actOwed is what settles the need that a reminder names.
func (t *turn) actOwed(p *roster.Person, dives ...int) string {
	c := t.firstOwing(p, roster.Owed.Reminds, dives...)
	if c == nil {
		return string(roster.NeedReading)
	}
	for _, need := range []roster.Need{roster.NeedAnswer, roster.NeedWitness, roster.NeedAirPoint} {
		if slices.Contains(c.Needs, need) {
			return string(need)
		}
	}
	return string(roster.NeedReading)
}

// needLine is the need of a person's first dive that has one, with all cylinders
// of theirs that need the same.
func (t *turn) needLine(p *roster.Person, dives ...int) message.Line {
	var need message.Line
	var cs []*roster.Cylinder
	for _, n := range dives {
		c := t.clearance(p.ID, n)
		if !c.Active || len(c.Owes) == 0 {
			continue
		}
		line := message.Cleared(t.trip.Trip, c)
		if need.Key == "" {
			need = line
		}
		if line.Key == need.Key {
			cs = append(cs, filter(p.InUse(), func(o *roster.Cylinder) bool { return owesAnything(c, o.ID) })...)
		}
	}
	if len(cs) == 0 || len(cs) == 1 && cs[0].Label == "" {
		return need
	}
	return message.Loud("cleared.of", message.Args{"verdict": message.Of(need), "cylinder": t.briefly(p, cs)})
}
