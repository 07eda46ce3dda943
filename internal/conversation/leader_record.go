package conversation

import (
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The record in text: each dive as it was signed off, every version of it;
// then every reading with how it came about.

func showRecord(t *turn, _ string) {
	lines := []message.Line{
		message.Loud("record.head", message.Args{"trip": message.Name(t.trip.Name), "day": message.Day(t.trip.Departs, t.trip.Zone)}),
		message.Say("record.leaders", message.Args{"names": t.names(t.trip.Leaders())}),
	}
	for n := range t.trip.Dives {
		lines = append(lines, t.recordDive(n+1)...)
	}
	lines = append(lines, gap(), message.Loud("record.readings", nil))
	for _, p := range t.trip.People {
		lines = append(lines, t.recordPerson(p)...)
	}
	lines = append(lines, policyLines(t.trip)...)
	lines = append(lines, gap(), caution())
	t.send(message.Message{Lines: lines})
}

// recordDive is one dive: its plan, what was dived, and each signature.
func (t *turn) recordDive(n int) []message.Line {
	d := t.trip.Dives[n-1]
	lines := []message.Line{gap(), message.Loud("record.dive", message.Args{"dive": message.Count(n), "plan": message.Of(message.Plan(d))})}
	for _, what := range d.Dived {
		a := message.Args{"depth": message.Planned(what.Depth), "minutes": message.Minutes(what.Minutes)}
		key := "record.dived"
		if what.Person != "" {
			key, a["name"] = "record.dived.one", t.nameOf(what.Person)
		}
		lines = append(lines, message.Say(key, a))
	}
	signed := false
	for i := range t.trip.SignOffs {
		if s := &t.trip.SignOffs[i]; s.Dive == n {
			signed = signed || s.Reopened == nil
			lines = append(lines, t.recordSignOff(s)...)
		}
	}
	switch {
	case n == t.trip.CurrentDive():
		b := t.board()
		lines = append(append(lines, message.Loud("record.unsigned", nil)), t.recordBoard(&b, n)...)
	case !signed:
		lines = append(lines, message.Loud("record.unsigned.later", nil))
	}
	return lines
}

// recordSignOff is one signature with the board under it, and its reopening.
func (t *turn) recordSignOff(s *roster.SignOff) []message.Line {
	lines := []message.Line{message.Loud("record.signed", message.Args{"who": t.nameOf(s.By), "at": t.clock(s.At)})}
	lines = append(lines, t.recordBoard(&s.Board, s.Dive)...)
	if s.Reopened != nil {
		lines = append(lines, message.Loud("record.reopened", message.Args{"who": t.nameOf(s.Reopened.By),
			"at": t.clock(s.Reopened.At), "reason": message.Of(reopenedFor(s.Reopened.Reason))}))
	}
	return lines
}

// recordBoard is everybody's verdict with cylinders and limits.
func (t *turn) recordBoard(b *roster.Board, dive int) []message.Line {
	lines := t.groupLines(b)
	for i := range b.People {
		pb := &b.People[i]
		if pb.Out != nil {
			lines = append(lines, message.Say("board.out", message.Args{"name": t.nameOf(pb.Person),
				"reason": message.Of(reasonLine(pb.Out.Reason)), "who": t.nameOf(pb.Out.By), "at": t.clock(pb.Out.At)}))
		}
		if !pb.Active {
			continue
		}
		a := message.Args{"verdict": boardVerdict(pb, dive), "name": t.nameOf(pb.Person)}
		key := "record.person"
		if cylinders := t.cylinders(pb); cylinders.Key != "" {
			key, a["cylinders"] = "record.person.cylinders", message.Of(cylinders)
		}
		lines = append(lines, message.Say(key, a))
		for _, f := range decisive(pb.Verdict, pb.Status, lifted) {
			f.Do = ""
			lines = append(lines, t.findingFor(f))
		}
	}
	return append(lines, t.teamLines(b)...)
}

// recordPerson is every reading of one person, with the limits set for them.
func (t *turn) recordPerson(p *roster.Person) []message.Line {
	var lines []message.Line
	for _, c := range p.Cylinders {
		for _, r := range c.Readings {
			lines = append(lines, t.recordReading(c, r))
		}
	}
	if p.SetDepth.Known() {
		lines = append(lines, message.Say("record.limit", message.Args{"depth": message.Limit(p.SetDepth),
			"who": t.nameOf(p.SetBy), "at": t.clock(p.SetAt), "reason": message.Of(reasonLine(p.SetWhy))}))
	}
	if len(lines) == 0 {
		return nil
	}
	return append([]message.Line{message.Say("record.name", message.Args{"name": t.nameOf(p.ID)})}, lines...)
}

// recordReading is one reading: value, time, stage, who entered it, and
// whether it still counts.
func (t *turn) recordReading(c *roster.Cylinder, r *roster.Reading) message.Line {
	a := message.Args{"cylinder": message.Of(cylinderName(c)), "percent": message.Percent(r.Percent), "at": t.clock(r.At),
		"stage": message.Of(message.Say("stage."+r.Stage.String(), nil)), "how": message.Of(t.entrantLine(r))}
	switch {
	case !r.Undone.IsZero():
		a["undone"] = t.clock(r.Undone)
		return message.Say("record.reading.undone", a)
	case !r.Void.IsZero():
		a["void"] = t.clock(r.Void)
		return message.Say("record.reading.void", a)
	}
	return message.Say("record.reading", a)
}

// entrantLine is who took the reading, and with which analyser.
func (t *turn) entrantLine(r *roster.Reading) message.Line {
	a := message.Args{"who": t.nameOf(r.By)}
	key := "record.by." + string(r.Entrant)
	if r.Analyser != "" {
		key, a["analyser"] = key+".on", message.Name(r.Analyser)
	}
	return message.Say(key, a)
}
