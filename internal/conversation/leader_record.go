package conversation

import "gasmuster/internal/message"

// The record in the chat: a line a dive, and the document itself. The document
// has everybody's clearance and every reading with how it came about.

func showRecord(t *turn, _ string) {
	lines := []message.Line{message.Loud("chat.record.head", message.Args{
		"trip": message.Name(t.trip.Name), "day": message.Date(t.trip.Departs, t.trip.Zone),
		"names": t.names(t.trip.Leaders())})}
	if c := t.trip.CalledOff; c != nil {
		lines = append(lines, message.Loud("calloff.record",
			message.Args{"who": t.nameOf(c.By), "at": t.clock(c.At), "reason": message.Text(c.Reason)}))
	}
	for n := range t.trip.Dives {
		lines = append(lines, t.recordDive(n+1))
	}
	me := t.me()
	t.send(message.Message{Lines: append(lines, message.Say("chat.record.document", nil),
		message.Say("revoke.link", message.Args{"link": message.RecordLink(me.ID, me.Generation)}))})
}

// recordDive is one dive: how its signature stands, and what was dived.
func (t *turn) recordDive(n int) message.Line {
	l := message.Say("chat.record.dive", message.Args{"dive": message.Count(n), "site": message.Name(t.site(n)),
		"stands": message.Of(t.recordStands(n))})
	for _, what := range append(t.recordDived(n), t.outcomeLines(n)...) {
		l = message.Say("chat.record.and", message.Args{"first": message.Of(l), "next": message.Of(what)})
	}
	return l
}

// recordDived is what was dived on a dive, as said for all.
func (t *turn) recordDived(n int) []message.Line {
	for _, what := range t.trip.Dives[n-1].Dived {
		if what.Person == "" {
			return []message.Line{message.Say("chat.record.dived", message.Args{
				"depth": message.Planned(what.Depth), "minutes": message.Minutes(what.Minutes)})}
		}
	}
	return nil
}

// recordStands is how the last signature of a dive stands, and whose it is.
func (t *turn) recordStands(n int) message.Line {
	s := t.trip.Signature(n)
	if s == nil {
		return message.Say("chat.record.unsigned", nil)
	}
	state := "standing"
	switch st := t.trip.Standing(s, t.now).State; {
	case s.Withdrawn != nil:
		state = "withdrawn"
	case s.Broken != nil:
		state = "broken"
	case st != "standing":
		state = "lapsed"
	}
	return message.Say("chat.record.signed."+state, message.Args{"who": t.nameOf(s.By), "at": t.clock(s.At)})
}

// outcomeLines say whether a dive was dived, and that it was without a
// signature.
func (t *turn) outcomeLines(n int) []message.Line {
	s := t.trip.Signature(n)
	switch {
	case t.trip.NotDived(n):
		return []message.Line{message.Say("chat.record.not-dived", nil)}
	case t.trip.WasDived(n) && (s == nil || t.trip.Standing(s, t.now).State != "standing"):
		if t.trip.OnPaper(n, t.now) {
			return []message.Line{message.Loud("chat.record.on-paper", nil)}
		}
		return []message.Line{message.Loud("chat.record.dived-not-signed", nil)}
	}
	return nil
}
