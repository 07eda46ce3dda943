package conversation

import (
	"slices"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What is still to be known of readings that were just stored, one question at
// a time: is that what the analyser showed? which analyser? what did it show
// in fresh air? which label? Each is asked once and none holds the reading up.

// chain is the data of the follow-up questions: the readings they are about.
type chain struct {
	Readings []roster.ReadingID `json:"readings"`
	Analyser string             `json:"analyser,omitempty"` // stateAir: whose air point
	Cylinder roster.CylinderID  `json:"cylinder,omitempty"` // stateLabel
	Asked    []State            `json:"asked,omitempty"`    // questions of this chain that were put
}

const (
	stateShown    State = "diver.shown"
	stateAnalyser State = "diver.analyser"
	stateAir      State = "diver.air"
	stateLabel    State = "diver.label"
)

func (t *turn) followUp(kept []*roster.Reading) {
	var c chain
	for _, r := range kept {
		c.Readings = append(c.Readings, r.ID)
	}
	t.next(c)
}

// next asks the first question of the chain that is still open.
func (t *turn) next(c chain) {
	t.done()
	for _, ask := range []func(*turn, chain) bool{nextShown, nextAnalyser, nextAir, nextLabel, nextBefore} {
		if ask(t, c) {
			return
		}
	}
}

// readings are those of the chain that were not taken back meanwhile.
func (t *turn) readings(c chain) []*roster.Reading {
	var rs []*roster.Reading
	for _, id := range c.Readings {
		if _, r := t.trip.Reading(id); r != nil && r.Undone.IsZero() {
			rs = append(rs, r)
		}
	}
	return rs
}

// put asks a question of the chain and remembers that it was put.
func (t *turn) put(s State, c chain, m message.Message) {
	c.Asked = append(c.Asked, s)
	t.ask(s, c, m)
}

// nextShown asks about a number that is suspiciously the ordered one, or came
// right after another on the same analyser.
func nextShown(t *turn, c chain) bool {
	for _, r := range t.readings(c) {
		cylinder, _ := t.trip.Reading(r.ID)
		asOrdered := whole(r.Percent) && r.Percent == cylinder.Asked
		if r.Shown != gas.ShownUnasked || slices.Contains(c.Asked, shownOf(r.ID)) || (!asOrdered && !r.Hurried) {
			continue
		}
		key := "diver.shown.ordered"
		if !asOrdered {
			key = "diver.shown.hurried"
		}
		c.Asked = append(c.Asked, shownOf(r.ID))
		id := string(r.ID)
		t.put(stateShown, c, message.Message{
			Lines: []message.Line{message.Loud(key, message.Args{"percent": message.Percent(r.Percent), "cylinder": t.called(cylinder)}),
				message.Say("diver.shown.do", nil)},
			Buttons: [][]message.Button{
				oneButton("shown "+id+" decimals", message.Say("diver.shown.yes", message.Args{"percent": message.Percent(r.Percent)})),
				oneButton("shown "+id+" whole", message.Say("diver.shown.no-decimals", nil)),
				oneButton("shown "+id+" no", message.Say("diver.shown.no", nil)),
			}})
		return true
	}
	return false
}

func shownOf(r roster.ReadingID) State { return stateShown + State("."+r) }

func whole(p gas.Percent) bool { return p == gas.Percent(int(p)) }

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
		t.takeBack(r)
		t.askNumber(cylinder)
	default:
		t.questionGone()
	}
}

// shownIs records the answer; without decimals the check leaves room for them.
func (t *turn) shownIs(r *roster.Reading, s gas.Shown) {
	cylinder, _ := t.trip.Reading(r.ID)
	t.trip.Confirm(r.ID, s, t.me.ID, t.now)
	if s == gas.ShownNoDecimal {
		t.answered[t.me.ID] = true
		t.send(t.verdictMessage(message.Say("diver.shown.noted-whole", nil), cylinder))
	} else {
		t.say(message.Say("diver.shown.noted", message.Args{"percent": message.Percent(r.Percent), "cylinder": t.called(cylinder)}))
	}
	t.nextOf(r)
}

// nextOf goes on with the chain that the session holds, or with r's own.
func (t *turn) nextOf(r *roster.Reading) {
	c := t.chain()
	if !slices.Contains(c.Readings, r.ID) {
		c = chain{Readings: []roster.ReadingID{r.ID}, Asked: []State{shownOf(r.ID)}}
	}
	t.next(c)
}

// chain is the chain in the session, empty when another question is open.
func (t *turn) chain() chain {
	var c chain
	if slices.Contains([]State{stateShown, stateAnalyser, stateAir, stateLabel}, t.session.State) {
		t.data(&c)
	}
	return c
}

func shownTyped(t *turn, text string) {
	c := t.chain()
	r := t.parse(text, 0)
	rs := filterReadings(t.readings(c), func(r *roster.Reading) bool {
		return r.Shown == gas.ShownUnasked && slices.Contains(c.Asked, shownOf(r.ID))
	})
	if len(rs) == 0 || len(r.Unclear) > 0 && r.Intent == reply.None {
		t.freely(text)
		return
	}
	last := rs[len(rs)-1]
	switch {
	case r.Intent == reply.NoDecimals:
		t.shownIs(last, gas.ShownNoDecimal)
	case r.Intent == reply.Yes, len(r.Readings) == 1 && r.Readings[0].Percent == last.Percent && barely(r.Readings[0]):
		t.shownIs(last, gas.ShownDecimals)
	case r.Intent == reply.No:
		cylinder, _ := t.trip.Reading(last.ID)
		t.takeBack(last)
		t.askNumber(cylinder)
	case len(r.Readings) == 1 && barely(r.Readings[0]):
		r.Correction = true // another number to "is that what it showed?"
		t.done()
		t.heard(r)
	default:
		t.freely(text)
	}
}

// nextBefore asks last what has nothing to do with the reading.
func nextBefore(t *turn, c chain) bool {
	if len(c.Readings) == 0 {
		return false
	}
	return t.askBefore()
}

func filterReadings(rs []*roster.Reading, keep func(*roster.Reading) bool) []*roster.Reading {
	return slices.DeleteFunc(rs, func(r *roster.Reading) bool { return !keep(r) })
}

// nextLabel asks for the label of a cylinder that has none, when the diver has
// several.
func nextLabel(t *turn, c chain) bool {
	if slices.Contains(c.Asked, stateLabel) || len(t.myCylinders()) < 2 {
		return false
	}
	for _, r := range t.readings(c) {
		cylinder, _ := t.trip.Reading(r.ID)
		if cylinder.Label != "" {
			continue
		}
		c.Cylinder = cylinder.ID
		t.put(stateLabel, c, labelQuestion(t, cylinder))
		return true
	}
	return false
}

func labelQuestion(t *turn, c *roster.Cylinder) message.Message {
	return message.Message{Lines: []message.Line{
		message.Loud("diver.label.ask", message.Args{"cylinder": t.called(c)}), message.Say("diver.label.do", nil)},
		Buttons: [][]message.Button{oneButton("label none "+string(c.ID), message.Say("diver.label.none", nil))}}
}

// labelPressed: "label none c3" says that it has no label, "label c3" asks for it.
func labelPressed(t *turn, args []string) {
	if argument(args, 0) == "none" {
		c := t.chain()
		t.say(message.Say("diver.label.none-noted", nil))
		t.next(c)
		return
	}
	cylinder := t.mine(roster.CylinderID(argument(args, 0)))
	if cylinder == nil {
		t.questionGone()
		return
	}
	t.put(stateLabel, chain{Cylinder: cylinder.ID}, labelQuestion(t, cylinder))
}

// longestLabel is how long a cylinder's label may be.
const longestLabel = 20

// labelTyped takes a short text as the label. A number with a decimal is no
// label but the next reading.
func labelTyped(t *turn, text string) {
	c := t.chain()
	cylinder := t.mine(c.Cylinder)
	r := t.parse(text, 0)
	switch {
	case cylinder == nil, len(r.Readings) > 0 && !wholeNumber(text), len(r.Readings) > 1, r.AirPoint.Known():
		t.freely(text)
	case r.Intent == reply.No || r.Intent == reply.DontKnow || r.Intent == reply.Cancel:
		t.say(message.Say("diver.label.none-noted", nil))
		t.next(c)
	case r.Intent != reply.None:
		t.freely(text)
	case !usableLabel(text):
		t.say(message.Loud("diver.label.wrong", message.Args{"count": message.Count(longestLabel)}))
	case t.labelledMine(text) != nil && t.labelledMine(text) != cylinder:
		t.say(message.Loud("diver.label.taken", message.Args{"label": message.Name(text)}))
	default:
		t.labelIs(cylinder, strings.TrimSpace(text))
		t.next(c)
	}
}

func wholeNumber(text string) bool { return !strings.ContainsAny(text, ".,%") }

func usableLabel(text string) bool {
	clean := message.Clean(text)
	return clean == strings.TrimSpace(text) && clean != "" && len([]rune(clean)) <= longestLabel && !strings.HasPrefix(clean, "/")
}

func (t *turn) labelIs(c *roster.Cylinder, label string) {
	t.trip.SetLabel(c.ID, label, t.me.ID, t.now)
	t.send(message.Message{
		Lines:   []message.Line{message.Say("diver.label.noted", message.Args{"label": message.Name(label)})},
		Buttons: [][]message.Button{oneButton("label "+string(c.ID), message.Say("diver.label.change", nil))}})
}
