package conversation

import (
	"slices"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The confirmation of a changed dive: what it would do to everybody, and
// telling them when it is done.

// confirmSite shows what the change would do and asks; said comes before.
func (t *turn) confirmSite(d siteData, said ...message.Line) {
	was := t.trip.Dives[d.Dive-1]
	if samePlan(d.Plan, was) && d.Plan.Interval == was.Interval {
		t.done()
		t.say(message.Say("site.same", message.Args{"dive": message.Count(d.Dive), "plan": message.Of(message.Plan(d.Plan))}))
		return
	}
	if try := roster.Change(t.trip.Trip); !try.SetDive(d.Dive, d.Plan, t.me().ID, d.Reason, t.now) {
		t.ask(stateSite, siteData{Dive: d.Dive, Plan: was}, message.Message{
			Lines: []message.Line{message.Loud("site.not", t.deepest()), t.siteUsage()}})
		return
	}
	lines := append(said,
		message.Loud("site.would-be", message.Args{"dive": message.Count(d.Dive), "plan": message.Of(message.Plan(d.Plan))}),
	)
	if !samePlan(d.Plan, was) {
		a := message.Args{"dive": message.Count(d.Dive), "plan": message.Of(message.Plan(was))}
		lines = append(lines, message.Say("site.now", a))
	}
	lines = append(lines, restNews(was, d.Plan)...)
	t.ask(stateSiteSure, d, message.Message{Lines: append(lines, t.effectLines(d)...), Buttons: [][]message.Button{
		oneButton("lsitesure yes", message.Say("site.button.yes", nil)),
		oneButton("lsitesure no", message.Say("site.button.no", nil)),
	}})
}

// deepest is the depth that the policy allows no plan beyond.
func (t *turn) deepest() message.Args {
	return message.Args{"deepest": message.Limit(t.trip.Policy.Deepest)}
}

func samePlan(a, b roster.Dive) bool {
	return a.Site == b.Site && a.Depth == b.Depth && a.Bottom == b.Bottom && a.Bottomless == b.Bottomless &&
		a.Minutes == b.Minutes && a.Water == b.Water
}

// effectLines say whose verdict would change: tried on a draft that nobody keeps.
func (t *turn) effectLines(d siteData) []message.Line {
	what := roster.Change(t.trip.Trip)
	what.SetDive(d.Dive, d.Plan, t.me().ID, d.Reason, t.now)
	before, after := t.board(d.Dive), what.Board(d.Dive, t.now)
	lines := []message.Line{message.Say("site.effect", nil), countsLine(&after)}
	for i := range after.People {
		now := &after.People[i]
		was := before.Of(now.Person)
		if !now.Active || was == nil || told(was) == told(now) {
			continue
		}
		lines = append(lines, message.Say("site.effect.person", message.Args{"name": t.nameOf(now.Person),
			"was": message.Of(message.Cleared(t.trip.Trip, was)), "now": message.Of(message.Cleared(what.Trip, now))}))
	}
	if t.trip.Signed(d.Dive, t.now) {
		lines = append(lines, message.Loud("site.breaks", message.Args{"dive": message.Count(d.Dive)}))
	}
	if requests := t.wouldBeTooRich(what.Trip); requests.Key != "" {
		lines = append(lines, requests)
	}
	return lines
}

func siteSureTyped(t *turn, text string) {
	switch t.answer(text) {
	case reply.Yes:
		siteSure(t, []string{"yes"})
	case reply.No, reply.Cancel:
		siteSure(t, []string{"no"})
	default:
		t.furtherChange(text)
	}
}

// furtherChange takes figures that are typed instead of yes or no. Words are no new
// name here: they are asked about again.
func (t *turn) furtherChange(text string) {
	var d siteData
	t.data(&d)
	ch, problem := orders.ParseSite(t.english(text), t.reads())
	if problem.Key == "" && ch.Name == "" || !t.openDive(d.Dive) {
		siteTyped(t, text)
		return
	}
	t.confirmSite(d, message.Loud("diver.not-understood", nil))
}

// siteSure is the answer to the confirmation.
func siteSure(t *turn, args []string) {
	var d siteData
	t.data(&d)
	if t.session.State != stateSiteSure || !t.openDive(d.Dive) || len(args) == 0 {
		t.questionOver()
		return
	}
	t.done()
	if args[0] != "yes" {
		t.say(message.Say("site.left", message.Args{"dive": message.Count(d.Dive),
			"plan": message.Of(message.Plan(t.trip.Dives[d.Dive-1]))}))
		return
	}
	was := t.trip.Dives[d.Dive-1]
	before := tooRich(t, t.trip.Trip)
	if !t.trip.SetDive(d.Dive, d.Plan, t.me().ID, d.Reason, t.now) {
		t.say(message.Say("site.not", t.deepest()))
		return
	}
	t.tellNewPlan(d.Dive, was, d.Plan, d.Reason)
	b := t.board(d.Dive)
	lines := []message.Line{message.Loud("site.changed",
		message.Args{"dive": message.Count(d.Dive), "plan": message.Of(message.Plan(d.Plan))}),
		t.headline(&b), countsLine(&b)}
	if was.Interval != d.Plan.Interval {
		lines = slices.Insert(lines, 1, t.restLine(d.Dive))
	}
	if requests := t.tellTooRich(before); requests.Key != "" {
		lines = append(lines, requests)
	}
	t.say(append(lines, message.Say("site.told", message.Args{"command": message.Code("/board")}))...)
}

// tellNewPlan tells everybody on the trip but the acting person of a changed
// dive.
func (t *turn) tellNewPlan(dive int, was, now roster.Dive, reason string) {
	var by roster.PersonID
	if t.me() != nil {
		by = t.me().ID
	}
	lines := diveNews(dive, was, now, t.nameOf(by))
	if reason != "" {
		lines = append(lines, message.Say("plan.reason", message.Args{"reason": message.Of(reasonLine(reason))}))
	}
	t.tellAll(message.Message{Lines: lines})
}

// tellAll tells everybody who can be reached and still takes part, but the
// acting person.
func (t *turn) tellAll(m message.Message) {
	for _, p := range t.trip.People {
		if canBeTold(p) && (t.me() == nil || p.ID != t.me().ID) {
			t.tell(p.ID, roster.LevelWord, true, m)
		}
	}
}
