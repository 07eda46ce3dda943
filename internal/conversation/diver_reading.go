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
// What of a message is certain is stored at once (diver_certain.go); what waits for
// an answer waits in the session.

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
	Items    []pending   `json:"items"`
	Ref      string      `json:"ref,omitempty"`
	At       time.Time   `json:"at"`
	AirPoint gas.Percent `json:"air_point,omitempty"` // said with them
	Question string      `json:"question,omitempty"`  // that is open about them
	// Kept are the readings of the message that were certain, and are stored already.
	Kept []roster.ReadingID `json:"kept,omitempty"`
}

// takeReadings takes the readings of one message.
func (t *turn) takeReadings(r reply.Result) {
	if !t.mayRead() {
		return
	}
	if r.AirPoint.Known() {
		t.setAirPoint(t.analyserOf(r), r.AirPoint)
	}
	d := t.pendingsOf(r)
	if r.Was.Known() && !t.takesBack(&d, r.Was) {
		t.askNotSaid(r)
		return
	}
	t.take(d)
}

func (t *turn) pendingsOf(r reply.Result) pendings {
	d := pendings{Ref: t.event.Ref, At: t.sent(), AirPoint: r.AirPoint}
	if at, ok := t.saidTime(r.Clock); r.Clock.Said && ok {
		d.At = at
	}
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

// pendingOf is the number that a question is about, as the trip keeps it.
func (t *turn) pendingOf(q question) pendings {
	return pendings{Items: []pending{{Percent: q.Percent}}, At: q.At, Question: q.ID}
}

// bothCylinders are those that "both 32.0" means: those that owe a reading,
// or all that are ahead when none does.
func (t *turn) bothCylinders() []*roster.Cylinder {
	if owing := t.owedCylinders(); len(owing) > 0 {
		return owing
	}
	return t.current(t.me())
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
		t.say(t.overLines()...)
	case !t.me().Left.IsZero():
		t.say(message.Loud("diver.left.reading", message.Args{"leader": t.leaderNames()}))
	case len(t.myCylinders()) == 0:
		t.send(message.Message{Lines: append([]message.Line{message.Loud("diver.not-recorded", nil)},
			t.noCylinderLines(t.me(), 0)...),
			Buttons: t.haveButtons()})
	default:
		return true
	}
	return false
}

// take places the readings, or asks which cylinder.
func (t *turn) take(d pendings) {
	d.Items = t.place(d.Items)
	if c := twice(d.Items); c != "" {
		t.done()
		t.say(message.Loud("diver.doubt.twice", message.Args{"cylinder": t.called(t.mine(c))}),
			message.Say("diver.doubt.nothing", nil))
		return
	}
	if slices.ContainsFunc(d.Items, unplaced) {
		t.keepCertain(&d)
		t.askWhich(d, slices.IndexFunc(d.Items, unplaced))
		return
	}
	t.settle(d)
}

func unplaced(p pending) bool { return p.Cylinder == "" }

// twice is a cylinder that two of the readings are for, "" when there is none.
func twice(items []pending) roster.CylinderID {
	seen := map[roster.CylinderID]bool{}
	for _, p := range items {
		if seen[p.Cylinder] && p.Cylinder != "" {
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
	for i := range d.Items {
		p := &d.Items[i]
		c := t.mine(p.Cylinder)
		if c == nil { // changed since it was asked
			t.done()
			t.questionGone()
			return
		}
		if p.How == howUnknown {
			p.How = t.howFor(c, *p)
		}
	}
	if slices.ContainsFunc(d.Items, unsettled) {
		t.keepCertain(&d)
		t.askAgain(d, slices.IndexFunc(d.Items, unsettled))
		return
	}
	t.keep(d)
}

func unsettled(p pending) bool { return p.How == howUnknown }

// howFor decides what a bare number is to a cylinder: the first reading, the
// one that was asked for again, a new reading because the boat check is open or
// the number is the same, or unknown.
func (t *turn) howFor(c *roster.Cylinder, p pending) how {
	last := t.trip.ShownOf(c.ID, t.now)
	switch {
	case last == nil:
		return howNew
	case last.Percent == p.Percent && p.NewLabel:
		return howSame
	case last.Percent == p.Percent, t.trip.BoatOpened(c.Dive), t.trip.WasDived(c.Dive), owes(t.clearanceOf(c), c.ID):
		return howNew
	}
	return howUnknown
}

// keep stores readings and answers with what they mean.
func (t *turn) keep(d pendings) {
	t.done()
	t.closeQuestion(d.Question, true)
	named := t.newAnalysers(d.Items)
	kept := t.keepAll(d)
	if len(kept) == 0 {
		t.send(t.expecting(message.Loud("diver.not-recorded", nil)))
		return
	}
	t.tellReadings(kept, named...)
	t.followUp(slices.Concat(t.readings(chain{Readings: d.Kept}), kept))
	t.queueMoves()
}

func (t *turn) keepAll(d pendings) (kept []*roster.Reading) {
	for _, p := range d.Items {
		if r := t.keepOne(p, d); r != nil {
			kept = append(kept, r)
		}
	}
	return kept
}

// newAnalysers say which analysers were named that nobody named before: they are
// taken as they were said.
func (t *turn) newAnalysers(items []pending) []message.Line {
	var lines []message.Line
	said := map[string]bool{}
	for _, p := range items {
		if name := t.spelled(p.Analyser); name != "" && t.trip.Analyser(name) == nil && t.me().Analyser != name &&
			!said[name] {
			said[name] = true
			lines = append(lines, message.Say("diver.analyser.noted", message.Args{"analyser": message.Name(name)}))
		}
	}
	return lines
}

func (t *turn) keepOne(p pending, d pendings) *roster.Reading {
	if p.NewLabel {
		t.trip.SetLabel(p.Cylinder, p.Label, t.me().ID, t.now)
	}
	if p.Analyser != "" {
		t.uses(p.Analyser)
	}
	c := t.mine(p.Cylinder)
	t.answeredBy(c, p.Percent, p.How == howCorrect)
	last := t.lastSaid(c)
	switch {
	case p.How == howSame && last != nil && !owes(t.clearanceOf(c), c.ID): // the new label left it read
		return last
	case p.How == howCorrect && last != nil:
		return t.trip.Correct(last.ID, p.Percent, t.me().ID, d.At, t.now)
	}
	return t.trip.Record(c.ID, roster.Reading{Percent: p.Percent, At: d.At, Ref: d.Ref, By: t.me().ID,
		Analyser: t.analyserFor(p.Analyser), AirPoint: d.AirPoint}, t.now)
}

// lastSaid is the number of a cylinder that "no, 31.4" is about: the newest that
// the acting person said and did not take back; nil when there is none.
func (t *turn) lastSaid(c *roster.Cylinder) *roster.Reading {
	for _, r := range slices.Backward(c.Readings) {
		if r.By == t.me().ID && r.Undone.IsZero() {
			return r
		}
	}
	return nil
}

// readingsIn answers stored readings: what they mean, what is still owed, and
// the one thing that is still to be known about them.
func (t *turn) readingsIn(kept []*roster.Reading, notes ...message.Line) {
	t.tellReadings(kept, notes...)
	t.followUp(kept)
	t.queueMoves()
}

// tellReadings says what stored readings mean, and what is still owed.
func (t *turn) tellReadings(kept []*roster.Reading, notes ...message.Line) {
	for i, r := range kept {
		_, kept[i] = t.trip.Reading(r.ID) // as it is after all of them
	}
	if ahead := filterReadings(slices.Clone(kept), func(r *roster.Reading) bool { return !t.isLate(r) }); len(ahead) > 0 {
		m := t.readingAnswer(ahead)
		m.Lines = append(m.Lines, notes...)
		t.send(m)
	}
	for _, r := range kept {
		c, _ := t.trip.Reading(r.ID)
		t.newReading(t.me(), c, r)
	}
}

// newReading is news for the shop's systems. What leaders have to hear of a
// reading they hear as news, see leader_news.go.
func (t *turn) newReading(p *roster.Person, c *roster.Cylinder, r *roster.Reading) {
	t.happen("reading.recorded", readingNews{Analyser: r.Analyser, Asked: c.Asked, Cylinder: c.ID, Entrant: r.Entrant,
		Label:   c.Label,
		Percent: r.Percent, Person: p.ID, Reading: r.ID, Stage: r.Stage})
}
