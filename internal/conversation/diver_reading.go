package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A reading on its way from a text into the trip:
//
//	takeReadings --> place: which cylinder? --> settle: correction or again? --> keep
//
// Nothing of a message is stored before all of it is clear; what waits for an
// answer waits in the session.

// how says what a number is to a cylinder that has one already.
type how string

const (
	howUnknown how = ""
	howNew     how = "again"   // analysed again
	howCorrect how = "correct" // the earlier number was wrong
	howSame    how = "same"    // the same number again: only the label is new
)

// pending is a reading that isn't stored yet.
type pending struct {
	Percent  gas.Percent       `json:"percent"`
	Label    string            `json:"label,omitempty"` // as said
	Dive     int               `json:"dive,omitempty"`
	Asked    gas.Percent       `json:"asked,omitempty"`
	Analyser string            `json:"analyser,omitempty"`
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	NewLabel bool              `json:"new_label,omitempty"` // Label is to be put on Cylinder
	How      how               `json:"how,omitempty"`
}

// pendings are the readings of one message.
type pendings struct {
	Items []pending `json:"items"`
	Ref   string    `json:"ref,omitempty"`
	At    time.Time `json:"at"`
	// Reopen says that the sender knows that this reopens a signed dive.
	Reopen bool `json:"reopen,omitempty"`
}

// takeReadings takes the readings of one message.
func (t *turn) takeReadings(r reply.Result) {
	if !t.mayRead() {
		return
	}
	if r.AirPoint.Known() {
		t.setAirPoint(t.analyserOf(r), r.AirPoint)
	}
	t.take(t.pendingsOf(r))
}

func (t *turn) pendingsOf(r reply.Result) pendings {
	d := pendings{Ref: t.event.Ref, At: t.sent()}
	for _, x := range r.Readings {
		p := pending{Percent: x.Percent, Label: x.Label, Dive: x.Dive, Asked: x.Asked, Analyser: x.Analyser}
		if p.Analyser == "" {
			p.Analyser = r.Analyser
		}
		switch {
		case r.Correction:
			p.How = howCorrect
		case r.Again:
			p.How = howNew
		}
		if !x.Both {
			d.Items = append(d.Items, p)
			continue
		}
		for _, c := range t.bothCylinders() {
			p.Cylinder = c.ID
			d.Items = append(d.Items, p)
		}
	}
	return d
}

// bothCylinders are those that "both 32.0" means: those that owe a reading,
// or all when none does.
func (t *turn) bothCylinders() []*roster.Cylinder {
	if owing := t.owedCylinders(); len(owing) > 0 {
		return owing
	}
	return t.myCylinders()
}

// sent is when the message was sent by the sender's clock, which can't run
// ahead of ours.
func (t *turn) sent() time.Time {
	if t.event.At.IsZero() || t.event.At.After(t.now) {
		return t.now
	}
	return t.event.At
}

// mayRead tells whether a reading of the acting person can be taken at all,
// and says why not.
func (t *turn) mayRead() bool {
	switch {
	case t.trip.Over(t.now):
		t.say(message.Loud("diver.over", nil), message.Say("diver.over.do", message.Args{"leader": t.leaderNames()}))
	case !t.me.Left.IsZero():
		t.send(message.Message{Lines: []message.Line{message.Loud("diver.left.reading", nil)}, Buttons: returnButtons()})
	case len(t.myCylinders()) == 0:
		t.say(append([]message.Line{message.Loud("diver.not-recorded", nil)}, t.noCylinderLines(t.me)...)...)
	default:
		return true
	}
	return false
}

// take places the readings, or asks which cylinder.
func (t *turn) take(d pendings) {
	d.Items = t.place(d.Items)
	if i := slices.IndexFunc(d.Items, func(p pending) bool { return p.Cylinder == "" }); i >= 0 {
		t.askWhich(d, i)
		return
	}
	if c := twice(d.Items); c != "" {
		t.done()
		t.say(message.Loud("diver.doubt.twice", message.Args{"cylinder": t.called(t.mine(c))}), message.Say("diver.doubt.nothing", nil))
		return
	}
	t.settle(d)
}

// twice is a cylinder that two of the readings are for, "" when there is none.
func twice(items []pending) roster.CylinderID {
	seen := map[roster.CylinderID]bool{}
	for _, p := range items {
		if seen[p.Cylinder] {
			return p.Cylinder
		}
		seen[p.Cylinder] = true
	}
	return ""
}

// settle asks about the first number for a cylinder that has one already, or
// keeps them all.
func (t *turn) settle(d pendings) {
	if len(d.Items) == 0 { // a session of another version
		t.done()
		t.questionGone()
		return
	}
	if t.trip.CurrentDive() == 0 && !d.Reopen {
		t.askReopen(d)
		return
	}
	for i := range d.Items {
		p := &d.Items[i]
		c := t.mine(p.Cylinder)
		if c == nil { // changed or signed since it was asked
			t.done()
			t.questionGone()
			return
		}
		if p.How == howUnknown {
			p.How = t.howFor(c, *p)
		}
		if p.How == howUnknown {
			t.askAgain(d, i)
			return
		}
	}
	t.keep(d)
}

// howFor decides what a bare number is to a cylinder: the first reading, the
// one that was asked for again, a new reading because the boat check is open,
// or unknown.
func (t *turn) howFor(c *roster.Cylinder, p pending) how {
	last := c.Current()
	if p.NewLabel && last != nil && last.Percent == p.Percent {
		return howSame
	}
	if last == nil || last.Stage != t.trip.Stage() || t.trip.Stage() == gas.Boat {
		return howNew
	}
	board := t.board()
	if pb := board.Of(t.me.ID); pb != nil && owes(pb, c.ID) {
		return howNew
	}
	return howUnknown
}

// keep stores readings and answers with what they mean.
func (t *turn) keep(d pendings) {
	t.done()
	var kept []*roster.Reading
	for _, p := range d.Items {
		kept = append(kept, t.keepOne(p, d))
	}
	t.readingsIn(kept)
}

func (t *turn) keepOne(p pending, d pendings) *roster.Reading {
	c := t.mine(p.Cylinder)
	if p.NewLabel {
		t.trip.SetLabel(c.ID, p.Label, t.me.ID, t.now)
	}
	if p.Analyser != "" {
		t.me.Analyser = p.Analyser
	}
	last := c.Current()
	if p.How == howSame && last != nil {
		return last
	}
	if p.How == howCorrect && last != nil && correctable(t.trip, last) {
		return t.trip.Correct(last.ID, p.Percent, t.me.ID, d.At, t.now)
	}
	return t.trip.Record(c.ID, roster.Reading{Percent: p.Percent, At: d.At, Ref: d.Ref, By: t.me.ID,
		Entrant: gas.ByDiver, Analyser: t.analyserFor(p.Analyser)}, t.now)
}

// correctable tells whether a reading is of the present stage: once the boat
// check is open the dock's readings stay, and a new number is a new reading.
func correctable(trip *roster.Trip, r *roster.Reading) bool {
	return r.Stage == trip.Stage() && (r.Stage == gas.Dock || r.Dive == trip.CurrentDive())
}

// readingsIn answers stored readings: what they mean, what is still owed, and
// the one thing that is still to be known about them.
func (t *turn) readingsIn(kept []*roster.Reading) {
	t.answered[t.me.ID] = true
	t.send(t.readingAnswer(kept))
	for _, r := range kept {
		c, _ := t.trip.Reading(r.ID)
		t.newReading(t.me, c, r)
	}
	t.followUp(kept)
	t.queueMoves()
}

// newReading is news for the shop's systems. What leaders have to hear of a
// reading they hear as news, see leader_news.go.
func (t *turn) newReading(p *roster.Person, c *roster.Cylinder, r *roster.Reading) {
	t.happen("reading.recorded", readingNews{Analyser: r.Analyser, Asked: c.Asked, Cylinder: c.ID, Entrant: r.Entrant, Label: c.Label,
		Percent: r.Percent, Person: p.ID, Reading: r.ID, Stage: r.Stage})
}
