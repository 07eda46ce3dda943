package conversation

import (
	"slices"
	"strconv"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a leader can do about news, by one tap.

// newsButtons are the acts that mend a finding.
func (t *turn) newsButtons(c *roster.Clearance, f *gas.Finding) [][]message.Button {
	person, dive := string(c.Person), strconv.Itoa(c.Dive)
	out := message.Button{Label: message.Say("news.button.out", nil), Do: "lout " + person + " " + dive}
	watch := message.Button{Label: message.Say("news.button.watch", nil), Do: "lwatch " + f.Cylinder}
	swapped := message.Button{Label: message.Say("news.button.swapped", nil), Do: "lswap " + f.Cylinder}
	switch {
	case f.Rule == gas.RuleLeft:
		return row(out, message.Button{Label: message.Say("news.button.bring-back", nil), Do: "lbring " + person})
	case f.Rule == gas.RuleSpeak:
		said := t.trip.Person(c.Person).Speak
		if slices.ContainsFunc(said, func(s roster.Speak) bool { return s.Kind != roster.SpeakHelium }) {
			return row(slipButton(c.Person, speakIDs(said)), out) // what alarms is inside this check
		}
		return row(slipButton(c.Person, speakIDs(said)),
			message.Button{Label: message.Say("news.button.outside", nil), Do: "loutside " + person})
	case f.Rule == gas.RuleDepthLimit:
		return row(append(t.setMaxButton(c), out)...)
	case f.Cylinder == "":
		return row(out)
	case t.elsewhere(c, f):
		_, cylinder := t.trip.Cylinder(roster.CylinderID(f.Cylinder))
		return row(notUsedButton(cylinder, c.Dive), out)
	case f.Rule == gas.RuleAsked && f.Severity != gas.Limits:
		return nil
	case f.Rule == gas.RuleAsked:
		return row(message.Button{Label: message.Say("news.button.replanned", nil), Do: "lreplan " + f.Cylinder}, swapped)
	case f.Rule == gas.RuleRepeat || f.Rule == gas.RuleImproved:
		return row(watch, swapped, out)
	case f.Rule == gas.RuleCard || f.Rule == gas.RuleAirIsNotAir && f.Severity != gas.Note:
		return row(swapped, message.Button{Label: message.Say("news.button.card", nil), Do: "lcard " + person}, out)
	case f.Severity == gas.Note:
		return nil
	}
	return row(swapped, out)
}

func row(buttons ...message.Button) [][]message.Button { return [][]message.Button{buttons} }

// setMaxButton offers to set the depth that a diver's qualification ends at.
func (t *turn) setMaxButton(c *roster.Clearance) []message.Button {
	if !c.Max.Known() {
		return nil
	}
	return []message.Button{{Label: message.Say("news.button.max", message.Args{"depth": message.Limit(c.Max)}),
		Do: "lmax " + string(c.Person) + " " + strconv.Itoa(c.Dive)}}
}

// elsewhere tells whether a cylinder was moved away from the dive that its
// findings still stand on.
func (t *turn) elsewhere(c *roster.Clearance, f *gas.Finding) bool {
	_, cylinder := t.trip.Cylinder(roster.CylinderID(f.Cylinder))
	return cylinder != nil && (cylinder.Dive != c.Dive || !cylinder.Retired.IsZero())
}

// knownPerson is the person that a button names, with the dive.
func (t *turn) knownPerson(args []string) (p *roster.Person, dive int, ok bool) {
	p = t.personArg(args)
	dive, _ = strconv.Atoi(argument(args, 1))
	return p, dive, p != nil && !p.Erased && !t.trip.Over(t.now)
}

// outPressed sits somebody out of one dive; the reason is one of a few words.
func outPressed(t *turn, args []string) {
	p, dive, ok := t.knownPerson(args)
	if p != nil && p.Erased { // whose place is in the way until a leader decides
		ok = !t.trip.Over(t.now)
	}
	reason := argument(args, 2)
	switch {
	case !ok || argument(args, 1) != "0" && t.trip.Dive(dive) == nil:
		t.questionOver()
	case reason == "":
		t.askOutReason(p, dive)
	case !slices.Contains(orders.OutReasons, reason):
		t.questionOver()
	default:
		t.sitOutOf(p.ID, dive, reason)
	}
}

// maxPressed sets somebody the depth that they may go to.
func maxPressed(t *turn, args []string) {
	p, dive, ok := t.knownPerson(args)
	if !ok || t.trip.Dive(dive) == nil {
		t.questionOver()
		return
	}
	t.applyLimit(limitData{Person: p.ID, Dive: dive, Depth: t.clearance(p.ID, dive).Max}, "qualification")
}

// bringPressed brings back who left.
func bringPressed(t *turn, args []string) {
	if p, _, ok := t.knownPerson(args); ok && !p.Left.IsZero() {
		t.bringBack(p)
		return
	}
	t.questionOver()
}

func (t *turn) bringBack(p *roster.Person) {
	a := message.Args{"name": t.nameOf(p.ID), "who": t.nameOf(t.me().ID)}
	if !t.trip.BringBack(p.ID, t.me().ID, t.now) {
		t.say(message.Say("bring.not", a))
		return
	}
	t.say(append([]message.Line{message.Loud("bring.done", a)}, t.verdictLines(t.dive(), p)...)...)
	t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("bring.told", a)}})
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("bring.by", a)}})
}

// movedPressed is a leader's word that a cylinder is not dived on the dive that
// it came from.
func movedPressed(t *turn, args []string) {
	p, c := t.trip.Cylinder(roster.CylinderID(argument(args, 0)))
	dive, _ := strconv.Atoi(argument(args, 1))
	if c == nil || t.trip.Dive(dive) == nil || t.trip.Over(t.now) {
		t.questionOver()
		return
	}
	a := message.Args{"name": t.nameOf(p.ID), "cylinder": message.Of(cylinderName(c)), "dive": message.Count(dive)}
	if !t.trip.ConfirmMoved(c.ID, dive, t.me().ID, t.now) {
		t.say(message.Say("moved.not", a))
		return
	}
	t.say(append([]message.Line{message.Say("moved.done", a)}, t.verdictLines(dive, p)...)...)
}

// watchPressed begins a witnessed reading of one cylinder.
func watchPressed(t *turn, args []string) {
	p, c := t.trip.Cylinder(roster.CylinderID(argument(args, 0)))
	if c == nil || !c.Retired.IsZero() || t.trip.Over(t.now) {
		t.questionOver()
		return
	}
	t.witness(forData{Person: p.ID, Cylinder: c.ID})
}

// forPressed begins a witnessed reading of somebody's.
func forPressed(t *turn, args []string) {
	if p, _, ok := t.knownPerson(args); ok {
		forPerson(t, p, "")
		return
	}
	t.questionOver()
}

// seriesOff sets the shop's analyses aside that are off the same way.
func setSeriesAside(t *turn, _ string) {
	if len(t.trip.SeriesOff(t.now)) == 0 || !t.trip.SetAsideSeries(t.me().ID, t.now) {
		t.say(message.Say("series.none", nil))
		return
	}
	b := t.board(t.dive())
	t.say(message.Say("series.done", nil), t.headline(&b), countsLine(&b))
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("series.by",
		message.Args{"who": t.nameOf(t.me().ID)})}})
}

func seriesPressed(t *turn, _ []string) { setSeriesAside(t, "") }
