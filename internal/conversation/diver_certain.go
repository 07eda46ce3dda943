package conversation

import (
	"slices"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Of several numbers some may be certain while another is asked about: they are stored
// and said at once, so that no number is lost with the question. And a correction that
// names the number it takes back is one only of a number that was said.

// keepCertain stores those of the readings whose cylinder and kind are known, and
// leaves those that are asked about.
func (t *turn) keepCertain(d *pendings) {
	certain, open := *d, slices.Clone(d.Items)
	certain.Items = nil
	for i := range open {
		p := &open[i]
		if c := t.mine(p.Cylinder); c != nil && p.How == howUnknown {
			p.How = t.howFor(c, *p)
		}
		if !unplaced(*p) && !unsettled(*p) {
			certain.Items = append(certain.Items, *p)
		}
	}
	if len(certain.Items) == 0 {
		return
	}
	named := t.newAnalysers(certain.Items)
	kept := t.keepAll(certain)
	t.tellReadings(kept, named...)
	for _, r := range kept {
		d.Kept = append(d.Kept, r.ID)
	}
	d.Items = slices.DeleteFunc(open, func(p pending) bool { return !unplaced(p) && !unsettled(p) })
}

// takesBack finds what "not 36.4 but 31.8" takes back: a reading of that number, or a
// question about it. It is false where the acting person never said it of the cylinder.
func (t *turn) takesBack(d *pendings, was gas.Percent) bool {
	p := &d.Items[0]
	named := func(c *roster.Cylinder) bool {
		return (p.Label == "" || sameLabel(p.Label, c.Label)) && (p.Dive == 0 || p.Dive == c.Dive)
	}
	said := filter(t.myCylinders(), func(c *roster.Cylinder) bool {
		return named(c) && slices.ContainsFunc(c.Readings, func(r *roster.Reading) bool {
			return r.Percent == was && r.By == t.me().ID
		})
	})
	last := t.lastCylinder()
	if !slices.ContainsFunc(said, func(c *roster.Cylinder) bool { return c.ID == last }) {
		p.Cylinder = only(said)
	}
	if len(said) > 0 {
		return true
	}
	for _, q := range t.questionsOf(t.me()) {
		if about := filter(q.cylinders, named); q.Percent == was && len(about) > 0 {
			p.How, p.Cylinder, d.Question = howUnknown, only(about), q.ID
			return true
		}
	}
	return false
}

// askNotSaid asks for the bare number where a correction takes back what was not said.
func (t *turn) askNotSaid(r reply.Result) {
	x := r.Readings[0]
	data := retypeData{Cylinder: t.idOf(x.Label), unsaidData: unsaidData{orders.Clip(t.event.Text, longestWords)}}
	data.Question = t.openQuestion(roster.QuestionSlip, x.Percent, t.meant(x.Label))
	t.ask(stateRetype, data, message.Message{Lines: []message.Line{
		message.Loud("diver.doubt.not-said", message.Args{"was": message.Percent(r.Was)}),
		message.Say("diver.doubt.do", nil)},
		Buttons: [][]message.Button{backButton(data.Question), t.helpButton()}})
}

// holdOthers asks for the other numbers of a message that could not be taken as it was,
// where it names their cylinders: no other number of these answers that.
func (t *turn) holdOthers(r reply.Result) {
	for _, x := range r.Readings {
		c := t.labelledMine(x.Label)
		if c == nil || r.Unclear[0].Why == reply.NotNumber {
			continue
		}
		if last := t.trip.ShownOf(c.ID, t.now); last == nil || last.Percent != x.Percent {
			t.openQuestion(roster.QuestionWhich, x.Percent, []*roster.Cylinder{c})
		}
	}
}
