package conversation

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What becomes of a signature. The trip finds by itself that one does not hold
// any more; here everybody whom it concerns hears of it.

// tellSignatures tells the divers of a dive that its signature was broken by
// this event, and returns whether one was. The leaders hear it as news, with what
// changed.
func (t *turn) tellSignatures() bool {
	broken := t.trip.Breaks(t.now)
	for _, s := range broken {
		b := t.board(s.Dive)
		a := t.signatureArgs(s.Dive)
		for i := range b.People {
			c := &b.People[i]
			p := t.trip.Person(c.Person)
			if !c.Active || p.Leader || !canBeTold(p) {
				continue
			}
			lines := []message.Line{message.Loud("broken.diver", a)}
			if s.Broken.Person == "" || s.Broken.Person == p.ID {
				lines = append(lines, message.Differs(t.trip.Trip, s.Broken))
			}
			t.tell(p.ID, roster.LevelVerdict, true, message.Message{Lines: append(lines, message.Say("broken.diver.do", a))})
		}
	}
	return len(broken) > 0
}

func (t *turn) signatureArgs(dive int) message.Args {
	return message.Args{"dive": message.Count(dive), "site": message.Name(t.site(dive)), "leader": t.leaderNames()}
}

// lateVerbs are the acts on a cylinder that are late news once its dive was dived.
var lateVerbs = []string{roster.VerbReading, roster.VerbCorrect, roster.VerbUndo, roster.VerbMove, roster.VerbConfirm,
	roster.VerbLabel,
	roster.VerbFill, roster.VerbSwap, roster.VerbRetire, roster.VerbAttend, roster.VerbCO}

// tellLateNews tells the leaders what this event said of a dive that was dived:
// it stays on the record, and changes nothing any more.
func (t *turn) tellLateNews() {
	var late []roster.CylinderID
	numbers := map[roster.CylinderID]bool{} // of which a number was said
	for _, act := range t.trip.Acts {
		id := roster.CylinderID(act.On)
		numbers[id] = numbers[id] || act.Verb != roster.VerbAttend
		if _, c := t.trip.Cylinder(id); c == nil || !slices.Contains(lateVerbs, act.Verb) || !t.trip.WasDived(c.Dive) ||
			slices.Contains(late, id) {
			continue
		}
		late = append(late, id)
	}
	for _, id := range late {
		p, c := t.trip.Cylinder(id)
		a := message.Args{"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c)), "dive": message.Count(c.Dive),
			"leader": t.leaderNames()}
		key := "late.leader"
		if r := t.trip.ShownOf(id, t.now); r != nil && numbers[id] {
			key, a["percent"] = key+".reading", message.Percent(r.Percent)
		}
		t.alertLeaders(message.Message{Lines: []message.Line{message.Loud("late.head", a), message.Say(key, a)}})
		if t.me() != nil {
			t.sayLate(c, a, numbers[id])
		}
	}
}

// sayLate says that what was said of a cylinder is kept, and clears nothing.
func (t *turn) sayLate(c *roster.Cylinder, a message.Args, number bool) {
	lines := []message.Line{message.Say("late.told", a)}
	if r := t.trip.ShownOf(c.ID, t.now); number && r != nil && r.By == t.actor {
		lines = append([]message.Line{t.recordedLine(c, r)}, lines...)
	}
	t.send(message.Message{Lines: lines, Buttons: t.haveButtons()})
}

// isLate tells whether a reading is of a dive that was dived.
func (t *turn) isLate(r *roster.Reading) bool {
	c, _ := t.trip.Reading(r.ID)
	return t.trip.WasDived(c.Dive)
}
