package conversation

import (
	"slices"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Wrong entries: undo, an edited message, "sorry, 17 not 22". "no, 31.4" is a
// reading like any other, see diver_reading.go. The old value stays in the
// record, and whether it was a slip or another reading the trip decides.

func undoPressed(t *turn, args []string) {
	cylinder, r := t.trip.Reading(roster.ReadingID(argument(args, 0)))
	switch {
	case r == nil || t.mine(cylinder.ID) == nil:
		t.questionGone()
	case !r.Undone.IsZero():
		t.send(t.expecting(message.Say("diver.undo.twice", message.Args{"percent": message.Percent(r.Percent)})))
	case t.trip.Over(t.now):
		t.say(message.Loud("diver.over", nil), message.Say("diver.over.do", message.Args{"leader": t.leaderNames()}))
	case !t.takeBack(r):
		t.questionGone()
	default:
		t.sayTakenBack(t.trip.Reading(r.ID))
	}
}

// takeBack takes a reading back; the answer is up to the caller.
func (t *turn) takeBack(r *roster.Reading) bool {
	t.done()
	c, _ := t.trip.Reading(r.ID)
	t.showed(t.me().ID, c.Dive)
	return t.trip.Undo(r.ID, t.me().ID, t.now)
}

// sayTakenBack says what is no longer counted and waits for the right number.
func (t *turn) sayTakenBack(c *roster.Cylinder, r *roster.Reading) {
	a := message.Args{"percent": message.Percent(r.Percent), "cylinder": t.called(c)}
	taken := message.Say("diver.undone", a)
	if _, was := t.trip.Reading(r.Replaces); was != nil && !was.Undone.IsZero() {
		a["was"] = message.Percent(was.Percent)
		taken = message.Say("diver.undone.both", a)
	}
	lines := append(t.standLines(t.me(), c), taken)
	t.ask(stateRetype, retypeData{Cylinder: c.ID}, message.Message{Lines: lines})
}

// undoLast is "undo" typed: it takes back the newest number, a reading or one that is
// being asked about.
func (t *turn) undoLast() {
	c, r := t.lastReading(false)
	if open := t.questionsOf(t.me()); len(open) > 0 {
		if q := open[len(open)-1]; r == nil || q.Nth > r.Nth {
			backPressed(t, []string{q.ID})
			return
		}
	}
	if r == nil {
		t.send(t.expecting(message.Say("diver.undo.nothing", nil)))
		return
	}
	if t.mine(c.ID) != nil && filledSince(c) { // said after it, and no words take that back
		t.say(append(t.standLines(t.me(), c), message.Say("diver.boat.stands", nil))...)
		return
	}
	undoPressed(t, []string{string(r.ID)})
}

// edited looks at a message that was changed after it was sent. The values in
// it are corrected; nothing else is done again.
func (t *turn) edited() {
	r := t.parse(t.event.Text, 0)
	if t.outOfCheck(r) || !t.mayRead() {
		return
	}
	old := t.trip.ReadingsOf(t.me().ID, t.event.Ref)
	switch {
	case len(old) == 0 && len(r.Readings) > 0 && len(r.Unclear) == 0:
		t.takeReadings(r) // nothing came of the message before
	case len(old) == 0 && (r.Keeping || slices.Contains(boatAnswers, r.Intent)) && t.askKeptAgain():
	case len(old) == 0:
		t.unsaidBeside(message.Loud("diver.edit.nothing", nil), t.expected())
	case len(r.Unclear) > 0 || len(r.Readings) != len(old):
		t.unsaidBeside(message.Loud("diver.edit.unclear", message.Args{"text": message.Name(t.event.Text)}),
			message.Say("diver.edit.unclear.do", nil))
	default:
		t.correctAll(old, r.Readings)
	}
}

// correctAll gives each reading of an edited message its new value and, where
// another cylinder is named now, its new place.
func (t *turn) correctAll(old []*roster.Reading, now []reply.Reading) {
	t.done()
	now = t.inOrder(old, now)
	for i, r := range old {
		if c, _ := t.trip.Reading(r.ID); t.differs(r, now[i]) && t.mine(c.ID) == nil {
			t.sayTooLate(c, r)
			return
		}
	}
	var changed []*roster.Reading
	for i, r := range old {
		if _, r = t.trip.Reading(r.ID); t.differs(r, now[i]) {
			if r = t.correctOne(r, now[i]); r != nil {
				changed = append(changed, r)
			}
		}
	}
	if len(changed) == 0 {
		t.say(message.Say("diver.edit.same", nil))
		return
	}
	t.readingsIn(changed)
}

// differs tells whether an edited message says another number for a reading,
// or another cylinder.
func (t *turn) differs(r *roster.Reading, now reply.Reading) bool {
	c, _ := t.trip.Reading(r.ID)
	to := t.labelledMine(now.Label)
	return r.Percent != now.Percent || (to != nil && to.ID != c.ID)
}

// correctOne corrects a reading and returns what now stands in its place.
func (t *turn) correctOne(r *roster.Reading, now reply.Reading) *roster.Reading {
	c, _ := t.trip.Reading(r.ID)
	if to := t.labelledMine(now.Label); to != nil && to.ID != c.ID {
		if moved := t.trip.MoveReading(r.ID, to.ID, t.me().ID, t.now); moved != nil {
			r = moved
		}
	}
	if r.Percent != now.Percent {
		r = t.trip.Correct(r.ID, now.Percent, t.me().ID, t.sent(), t.now)
	}
	return r
}

// sayTooLate: the cylinder of an edited number was changed for another.
func (t *turn) sayTooLate(c *roster.Cylinder, r *roster.Reading) {
	t.say(message.Loud("diver.edit.late", message.Args{"percent": message.Percent(r.Percent), "cylinder": t.called(c)}),
		message.Say("diver.edit.late.do", nil))
}

// inOrder puts the new values beside the old readings: by label where one is
// given, in the order of the message otherwise.
func (t *turn) inOrder(old []*roster.Reading, now []reply.Reading) []reply.Reading {
	out := make([]reply.Reading, len(old))
	rest := slices.Clone(now)
	taken := make([]bool, len(old))
	for i, r := range old {
		c, _ := t.trip.Reading(r.ID)
		if j := slices.IndexFunc(rest, func(x reply.Reading) bool { return sameLabel(x.Label, c.Label) }); j >= 0 {
			out[i], taken[i] = rest[j], true
			rest = slices.Delete(rest, j, j+1)
		}
	}
	for i := range old {
		if !taken[i] {
			out[i], rest = rest[0], rest[1:]
		}
	}
	return out
}

// move is "sorry, 17 not 22": the newest reading of cylinder from was another
// one's. Where the right label is none of the diver's, the label was wrong.
func (t *turn) move(from, to string) {
	if !t.mayRead() {
		return
	}
	source, r := t.lastReading(false)
	if from != "" {
		if source = t.labelledMine(from); source != nil {
			r = t.lastSaid(source)
		}
	}
	target := t.labelledMine(to)
	switch {
	case source == nil || r == nil || r.By != t.me().ID || t.mine(source.ID) == nil:
		t.send(t.expecting(message.Say("diver.undo.nothing", nil)))
	case target != nil && target.ID == source.ID:
		t.say(message.Say("diver.edit.same", nil))
	case target == nil && !usableLabel(to):
		t.notUnderstood()
	case target == nil:
		t.trip.SetLabel(source.ID, to, t.me().ID, t.now)
		t.readingsIn([]*roster.Reading{r})
	default:
		if moved := t.trip.MoveReading(r.ID, target.ID, t.me().ID, t.now); moved != nil {
			t.readingsIn([]*roster.Reading{moved})
		}
	}
}

// noDecimals is "it shows no decimals" without having been asked: it belongs
// to the newest reading.
func (t *turn) noDecimals() {
	_, r := t.lastReading(false)
	if r == nil {
		t.send(t.expecting(message.Say("diver.undo.nothing", nil)))
		return
	}
	t.shownIs(r, gas.ShownNoDecimal)
}
