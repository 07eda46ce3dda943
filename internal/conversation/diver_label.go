package conversation

import (
	"slices"
	"strings"
	"unicode"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Whole numbers that are labels on the trip. "Mine is 34" says which cylinder is
// mine where one is labelled so, and what it holds where none is: the words alone
// do not tell, and are asked about.

// labelSaid is the number by which a message may name a cylinder, though it could be
// taken for what another one holds, "" for none: a whole number with words beside it,
// and a label on the trip that is none of the speaker's; or any where a label was asked
// for. A number alone, with its percent sign or decimals, with a place of its own or with
// its analyser, is what was measured.
func (t *turn) labelSaid(text string, r reply.Result, known reply.Context) string {
	wanted := t.labelWanted() != nil
	if r.Again || changes[r.Intent] || !wordy(text) && !wanted {
		return ""
	}
	if len(r.Readings) == 0 && len(r.Unclear) == 1 && r.Unclear[0].Why == reply.Words && t.anothers(r.Unclear[0].Text) {
		return r.Unclear[0].Text // "I took 34"
	}
	if len(r.Readings) != 1 || len(r.Unclear) > 0 || r.Analyser != "" {
		return ""
	}
	x := r.Readings[0]
	label := digits(float64(x.Percent))
	placed := x.Label != "" || x.Asked.Known() || x.Both || x.Analyser != ""
	if placed || !t.anothers(label) && !wanted || !shownWhole(text, x.Percent, known) {
		return ""
	}
	return label
}

// labelWanted is the acting person's cylinder that took the place of another one, has no
// label and was not read: it was asked for by its label and its number, nil for none.
func (t *turn) labelWanted() *roster.Cylinder {
	return t.mine(only(filter(t.current(t.me()), func(c *roster.Cylinder) bool {
		return c.Place != "" && c.Label == "" && len(c.Readings) == 0
	})))
}

// wordy tells whether there are letters in a text, of whatever script.
func wordy(text string) bool { return strings.ContainsFunc(text, unicode.IsLetter) }

// anothers tells whether a label is that of a cylinder on the trip, in use or not,
// and of none that the acting person has.
func (t *turn) anothers(label string) bool {
	return t.labelledMine(label) == nil && t.isLabel(label)
}

// shownWhole tells whether a number is written as a label may be, without decimals and
// percent sign: were there a cylinder of that label, it could be meant.
func shownWhole(text string, p gas.Percent, known reply.Context) bool {
	if !whole(p) {
		return false
	}
	known.Labels = append(slices.Clone(known.Labels), digits(float64(p)))
	return !slices.ContainsFunc(reply.Parse(text, known).Readings, func(x reply.Reading) bool { return x.Percent == p })
}

// meantByLabel are the cylinders that a number may be meant for which may be a label:
// all that are ahead where it may be another one in the place of any of them.
func (t *turn) meantByLabel(d reply.Doubt) []*roster.Cylinder {
	c, cs := t.labelledMine(d.Text), t.meant(d.Label)
	switch text := t.event.Text; {
	case d.Label != "":
		return cs
	case c == nil && t.anothers(d.Text), c != nil && wordy(text) && t.ofALaterDive(c, text):
		return t.current(t.me())
	case c != nil && !sameCylinder(cs, c):
		return append(slices.Clone(cs), c)
	}
	return cs
}

// mayBeLabel tells whether a question is whether a number is a label on the trip.
func (t *turn) mayBeLabel(q question) bool {
	label := digits(float64(q.Percent))
	return q.Kind == roster.QuestionSlip && q.Percent.Known() && whole(q.Percent) && t.isLabel(label)
}

// changedCylinder is "another cylinder". Who names two of their own says that those were
// taken one for another.
func (t *turn) changedCylinder(label string) {
	said := wordsOf(t.event.Text)
	named := filter(t.myCylinders(), func(c *roster.Cylinder) bool { return said[orders.FoldName(c.Label)] })
	if t.event.Kind == Text && len(named) > 1 {
		t.raise(roster.SpeakWrongCylinder, orders.Clip(t.event.Text, longestWords))
		return
	}
	t.newCylinder(label)
}

// wrongCylinder passes on, as words of a wrong cylinder, that somebody named one that
// is not theirs, or not of the dive that is next; false where it may well be theirs.
func (t *turn) wrongCylinder(d meaningData) bool {
	words := d.Unsaid
	if words == "" {
		words = d.Text
	}
	id, _ := t.placeByLabel(d.Text)
	if id != "" && !(wordy(words) && t.ofALaterDive(t.mine(id), words)) {
		return false
	}
	t.raise(roster.SpeakWrongCylinder, words)
	return true
}

// ofALaterDive tells whether a cylinder is for a dive after the next one, for which
// the acting person has another, and the words do not say that dive.
func (t *turn) ofALaterDive(c *roster.Cylinder, words string) bool {
	if c == nil || t.saysDive(words, c.Dive) {
		return false
	}
	for _, n := range t.ahead() {
		if n >= c.Dive {
			return false
		}
		has := slices.ContainsFunc(t.myCylinders(), func(o *roster.Cylinder) bool { return o.Dive == n })
		if has && !(t.trip.Signed(n, t.now) && !t.aboutToDive(n)) {
			return true
		}
	}
	return false
}

// saysDive tells whether words name a dive beside their number.
func (t *turn) saysDive(words string, dive int) bool {
	known := t.knownOf(0)
	known.Labels = nil
	return slices.ContainsFunc(reply.Parse(words, known).Readings, func(x reply.Reading) bool { return x.Dive == dive })
}
