package conversation

import (
	"slices"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Is that what the analyser showed? It is asked of a number that is suspiciously
// the ordered one, or came right after another on the same analyser.

// nextShown asks about a number that is suspiciously the ordered one, or came
// right after another on the same analyser.
func nextShown(t *turn, c chain) bool {
	for _, r := range t.readings(c) {
		cylinder, _ := t.trip.Reading(r.ID)
		if r = t.doubted(cylinder); r == nil || slices.Contains(c.Asked, shownOf(r.ID)) {
			continue
		}
		if cylinder, _ = t.trip.Reading(r.ID); t.mine(cylinder.ID) == nil {
			continue
		}
		if !slices.Contains(c.Readings, r.ID) { // the same number said again: the first one is asked about
			c.Readings = append(c.Readings, r.ID)
		}
		c.Asked = append(c.Asked, shownOf(r.ID))
		t.put(stateShown, c, t.shownMessage(t.me(), cylinder, r))
		return true
	}
	return false
}

// doubted is the reading of a cylinder that has to be asked about, nil for none.
func (t *turn) doubted(c *roster.Cylinder) *roster.Reading {
	m := t.trip.Evidence(c.ID, t.now).Measured
	if m.State != gas.MeasuredRound && m.State != gas.MeasuredHurried {
		return nil
	}
	of, r := t.trip.Reading(roster.ReadingID(m.Reading))
	if of == nil || !r.Undone.IsZero() {
		return nil
	}
	return r
}

// shownMessage asks whether the analyser showed a number.
func (t *turn) shownMessage(p *roster.Person, c *roster.Cylinder, r *roster.Reading) message.Message {
	key, id := "diver.shown.ordered", string(r.ID)
	if t.trip.Evidence(c.ID, t.now).Measured.State == gas.MeasuredHurried {
		key = "diver.shown.hurried"
	}
	a := message.Args{"percent": message.Percent(r.Percent), "cylinder": message.Of(t.calledBy(p, c))}
	return message.Message{
		Lines: []message.Line{message.Loud(key, a), message.Say("diver.shown.do", nil)},
		Buttons: [][]message.Button{
			oneButton("shown "+id+" decimals", message.Say("diver.shown.yes", a)),
			oneButton("shown "+id+" whole", message.Say("diver.shown.no-decimals", nil)),
			oneButton("shown "+id+" no", message.Say("diver.shown.no", nil)),
		}}
}

func shownOf(r roster.ReadingID) State { return stateShown + State("."+r) }

func shownPressed(t *turn, args []string) {
	cylinder, r := t.trip.Reading(roster.ReadingID(argument(args, 0)))
	if cylinder == nil || t.mine(cylinder.ID) == nil || !r.Undone.IsZero() {
		t.questionGone()
		return
	}
	switch argument(args, 1) {
	case "decimals":
		t.shownIs(r, gas.ShownDecimals)
	case "whole":
		t.shownIs(r, gas.ShownNoDecimal)
	case "no":
		t.notRead(cylinder.ID, r)
	default:
		t.questionGone()
	}
}

// shownIs records the answer; without decimals the check leaves room for them.
func (t *turn) shownIs(r *roster.Reading, s gas.Shown) {
	t.trip.Confirm(r.ID, s, t.me().ID, t.now)
	cylinder, r := t.trip.Reading(r.ID)
	if s == gas.ShownNoDecimal {
		t.send(t.verdictMessage(message.Say("diver.shown.noted-whole", nil), cylinder))
	} else {
		t.send(t.verdictMessage(message.Say("diver.shown.noted",
			message.Args{"percent": message.Percent(r.Percent), "cylinder": t.called(cylinder)}), cylinder))
	}
	t.nextOf(r)
}

func shownTyped(t *turn, text string) {
	c := t.chain()
	r := t.parse(text, 0)
	rs := filterReadings(t.readings(c), func(r *roster.Reading) bool {
		return r.Shown == gas.ShownUnasked && slices.Contains(c.Asked, shownOf(r.ID))
	})
	if len(rs) == 0 {
		t.freely(text)
		return
	}
	last := rs[len(rs)-1]
	bare := len(r.Readings) == 1 && barely(r.Readings[0]) && !changes[r.Intent]
	switch {
	case len(r.Unclear) > 0 && r.Unclear[0].Why == reply.NotNumber:
		t.shownAgain(last)
	case len(r.Unclear) > 0:
		t.freely(text)
	case t.answer(text) == reply.NoDecimals:
		t.shownIs(last, gas.ShownNoDecimal)
	case t.answer(text) == reply.Yes, bare && !r.Correction && r.Readings[0].Percent == last.Percent:
		t.shownIs(last, gas.ShownDecimals)
	case t.answer(text) == reply.No:
		cylinder, _ := t.trip.Reading(last.ID)
		t.notRead(cylinder.ID, last)
	case bare && r.Readings[0].Percent == last.Percent && t.saidLast(last): // "no, 32.0"
		t.shownAgain(last)
	case bare:
		r.Correction = true // another number to "is that what it showed?"
		t.done()
		t.heard(r)
	default:
		t.freely(text)
	}
}

// saidLast tells whether nothing was said of the cylinder of a reading since.
func (t *turn) saidLast(r *roster.Reading) bool {
	c, _ := t.trip.Reading(r.ID)
	return t.lastSaid(c) == r
}

// notRead takes back a number that the analyser did not show, as often as it was
// said, and asks for the one that it shows.
func (t *turn) notRead(c roster.CylinderID, r *roster.Reading) {
	for percent := r.Percent; r != nil && r.Percent == percent && t.takeBack(r); {
		r = t.doubted(t.cylinder(c))
	}
	t.askNumber(t.cylinder(c))
}

// shownAgain asks once more after words that are no answer.
func (t *turn) shownAgain(r *roster.Reading) {
	c, _ := t.trip.Reading(r.ID)
	m := t.shownMessage(t.me(), c, r)
	m.Lines = append([]message.Line{message.Loud("diver.not-understood", nil)}, m.Lines...)
	if words := orders.Clip(t.event.Text, longestWords); words != "" {
		t.holdWords(words)
		m.Buttons = append(m.Buttons, tellButton())
	}
	t.send(m)
}
