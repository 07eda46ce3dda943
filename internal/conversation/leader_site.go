package conversation

import (
	"encoding/json"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Another site or depth for a dive. The leader types what changes, sees what
// that would do to everybody's verdict, and confirms.
//
//	/site [DIVE] [NAME] [DEPTH] [bottom DEPTH | no bottom] [MINUTES min] [because REASON]

// What /site waits for: what changes; the new bottom; the confirmation.
const (
	stateSite       State = "leader.site"
	stateSiteBottom State = "leader.site-bottom"
	stateSiteSure   State = "leader.site-sure"
)

// siteData is a changed dive that is not confirmed yet.
type siteData struct {
	Dive   int         `json:"dive"`
	Plan   roster.Dive `json:"plan"`
	Reason string      `json:"reason,omitempty"`
}

// siteChange is what a leader typed of a dive; nil is left as it is.
type siteChange struct {
	name, reason string
	depth        gas.Depth
	bottom       gas.Depth
	bottomless   bool
	bottomSaid   bool // bottom or bottomless was typed, or that it is not known
	minutes      float64
	water        *gas.Water
}

func changeSite(t *turn, args string) {
	current := t.trip.CurrentDive()
	if current == 0 {
		t.say(message.Say("site.all-signed", message.Args{"command": message.Code("/reopen")}))
		return
	}
	dive, rest, problem := t.siteDive(args)
	switch {
	case problem.Key != "":
		t.say(problem)
	case dive == 0:
		m := message.Message{Lines: []message.Line{message.Say("site.which", nil)}}
		for n := current; n <= len(t.trip.Dives); n++ {
			m.Buttons = append(m.Buttons, oneButton("lsite "+strconv.Itoa(n), message.Say("site.button.dive",
				message.Args{"dive": message.Count(n), "site": message.Name(t.site(n))})))
		}
		t.ask(stateSite, siteData{}, m)
	case strings.TrimSpace(rest) == "":
		t.askSite(dive)
	default:
		t.readSite(siteData{Dive: dive, Plan: t.trip.Dives[dive-1]}, rest)
	}
}

// siteDive tells which dive args are about: the one named first, the only one
// left, or 0 when that has to be asked.
func (t *turn) siteDive(args string) (dive int, rest string, problem message.Line) {
	current, last := t.trip.CurrentDive(), len(t.trip.Dives)
	words := strings.Fields(args)
	named := len(words) > 0 && strings.EqualFold(words[0], "dive")
	if named {
		words = words[1:]
	}
	if len(words) > 0 {
		n, err := strconv.Atoi(words[0])
		// "/site 2" is dive 2; "/site 2 m" would be a depth.
		_, after, _ := takeDepth(words, t.trip.Units)
		if err == nil && (named || n >= 1 && n <= last && len(after) == len(words)-1) {
			if n < current || n > last {
				return 0, "", message.Say("site.no-such-dive", message.Args{"typed": message.Name(words[0]),
					"first": message.Count(current), "last": message.Count(last)})
			}
			return n, strings.Join(words[1:], " "), message.Line{}
		}
	}
	if current == last {
		return current, strings.Join(words, " "), message.Line{}
	}
	if len(words) > 0 { // the dive that comes next is meant
		return current, strings.Join(words, " "), message.Line{}
	}
	return 0, "", message.Line{}
}

// askSite shows the dive as it is and asks what changes.
func (t *turn) askSite(dive int) {
	t.ask(stateSite, siteData{Dive: dive, Plan: t.trip.Dives[dive-1]}, message.Message{Lines: []message.Line{
		message.Say("site.now", message.Args{"dive": message.Count(dive), "plan": message.Of(planLine(t.trip.Dives[dive-1]))}),
		t.siteUsage(),
	}})
}

func (t *turn) siteUsage() message.Line {
	example := gas.M(25)
	if t.trip.Units == gas.Feet {
		example = gas.Ft(80)
	}
	return message.Say("site.usage", message.Args{"example": message.Planned(example)})
}

// siteChosen is the button that says which dive.
func siteChosen(t *turn, args []string) {
	if len(args) > 0 {
		if n, err := strconv.Atoi(args[0]); err == nil && n >= t.trip.CurrentDive() && n <= len(t.trip.Dives) && t.trip.CurrentDive() > 0 {
			t.askSite(n)
			return
		}
	}
	t.questionOver()
}

func siteTyped(t *turn, text string) {
	var d siteData
	t.data(&d)
	switch {
	case t.cancelled(text):
	case !t.openDive(d.Dive):
		changeSite(t, text)
	default:
		t.readSite(d, text)
	}
}

// cancelled ends a question that the leader doesn't want to answer.
func (t *turn) cancelled(text string) bool {
	if reply.Parse(text, reply.Context{}).Intent != reply.Cancel {
		return false
	}
	t.done()
	t.say(message.Say("leader.cancelled", nil))
	return true
}

// openDive tells whether dive n may still change.
func (t *turn) openDive(n int) bool {
	current := t.trip.CurrentDive()
	return current > 0 && n >= current && n <= len(t.trip.Dives)
}

// readSite applies what was typed to the plan, asks for a bottom that is no
// longer known, or asks to confirm.
func (t *turn) readSite(d siteData, text string) {
	ch, problem := parseSite(text, t.trip.Units)
	if problem.Key != "" {
		t.ask(stateSite, d, message.Message{Lines: []message.Line{problem, t.siteUsage()}})
		return
	}
	was := d.Plan
	ch.apply(&d, t.trip.Units)
	moved := foldName(d.Plan.Site) != foldName(was.Site)
	through := d.Plan.Bottom.Known() && d.Plan.Depth.DeeperThan(d.Plan.Bottom)
	switch {
	case ch.bottomSaid && through:
		t.ask(stateSite, siteData{Dive: d.Dive, Plan: was, Reason: d.Reason}, message.Message{Lines: []message.Line{message.Say("site.bottom-above",
			message.Args{"bottom": message.Planned(d.Plan.Bottom), "depth": message.Planned(d.Plan.Depth)}), t.siteUsage()}})
	case !ch.bottomSaid && (moved && (was.Bottom.Known() || was.Bottomless) || through):
		d.Plan.Bottom, d.Plan.Bottomless = gas.Depth{}, false
		t.ask(stateSiteBottom, d, t.bottomQuestion(d))
	default:
		t.confirmSite(d)
	}
}

func (t *turn) bottomQuestion(d siteData) message.Message {
	return message.Message{
		Lines: []message.Line{message.Say("site.ask-bottom", message.Args{"site": message.Name(d.Plan.Site)})},
		Buttons: [][]message.Button{
			oneButton("lbottom none", message.Say("site.button.bottomless", nil)),
			oneButton("lbottom unknown", message.Say("site.button.bottom-unknown", nil)),
		}}
}

func bottomTyped(t *turn, text string) {
	var d siteData
	t.data(&d)
	if t.cancelled(text) {
		return
	}
	if !t.openDive(d.Dive) {
		t.questionOver()
		return
	}
	if !strings.Contains(strings.ToLower(text), "bottom") {
		text = "bottom " + text
	}
	ch, problem := parseSite(text, t.trip.Units)
	if problem.Key == "" && !ch.bottomSaid {
		problem = message.Say("site.bottom-unclear", message.Args{"typed": message.Name(text)})
	}
	if problem.Key == "" {
		ch.apply(&d, t.trip.Units)
		if d.Plan.Bottom.Known() && d.Plan.Depth.DeeperThan(d.Plan.Bottom) {
			problem = message.Say("site.bottom-above", message.Args{
				"bottom": message.Planned(d.Plan.Bottom), "depth": message.Planned(d.Plan.Depth)})
			d.Plan.Bottom = gas.Depth{}
		}
	}
	if problem.Key != "" {
		m := t.bottomQuestion(d)
		m.Lines = append([]message.Line{problem}, m.Lines...)
		t.ask(stateSiteBottom, d, m)
		return
	}
	t.confirmSite(d)
}

func bottomPressed(t *turn, args []string) {
	var d siteData
	t.data(&d)
	if t.session.State != stateSiteBottom || !t.openDive(d.Dive) || len(args) == 0 {
		t.questionOver()
		return
	}
	d.Plan.Bottom, d.Plan.Bottomless = gas.Depth{}, args[0] == "none"
	t.confirmSite(d)
}

// confirmSite shows what the change would do and asks.
func (t *turn) confirmSite(d siteData) {
	if samePlan(d.Plan, t.trip.Dives[d.Dive-1]) {
		t.done()
		t.say(message.Say("site.same", message.Args{"dive": message.Count(d.Dive), "plan": message.Of(planLine(d.Plan))}))
		return
	}
	lines := []message.Line{
		message.Loud("site.would-be", message.Args{"dive": message.Count(d.Dive), "plan": message.Of(planLine(d.Plan))}),
		message.Say("site.now", message.Args{"dive": message.Count(d.Dive), "plan": message.Of(planLine(t.trip.Dives[d.Dive-1]))}),
	}
	t.ask(stateSiteSure, d, message.Message{Lines: append(lines, t.effectLines(d)...), Buttons: [][]message.Button{
		oneButton("lsitesure yes", message.Say("site.button.yes", nil)),
		oneButton("lsitesure no", message.Say("site.button.no", nil)),
	}})
}

func samePlan(a, b roster.Dive) bool {
	return a.Site == b.Site && a.Depth == b.Depth && a.Bottom == b.Bottom && a.Bottomless == b.Bottomless &&
		a.Minutes == b.Minutes && a.Water == b.Water
}

// effectLines say whose verdict would change: computed on a copy of the trip.
func (t *turn) effectLines(d siteData) []message.Line {
	what := copyTrip(t.trip)
	what.SetDive(d.Dive, d.Plan, t.me.ID, d.Reason, t.now)
	before, after := t.board(), what.Board(t.now)
	lines := []message.Line{message.Say("site.effect", nil), countsLine(&after)}
	for i := range after.People {
		now := &after.People[i]
		was := before.Of(now.Person)
		if !now.Active || was == nil || told(was) == told(now) {
			continue
		}
		lines = append(lines, message.Say("site.effect.person", message.Args{"name": t.nameOf(now.Person),
			"was": ownVerdict(was, d.Dive), "now": ownVerdict(now, d.Dive)}))
	}
	if requests := t.wouldBeTooRich(what); requests.Key != "" {
		lines = append(lines, requests)
	}
	return lines
}

// copyTrip is a deep copy, to try a change on.
func copyTrip(t *roster.Trip) *roster.Trip {
	b, err := json.Marshal(t)
	if err != nil {
		panic(err) // our own type
	}
	c := new(roster.Trip)
	if err := json.Unmarshal(b, c); err != nil {
		panic(err)
	}
	return c
}

func siteSureTyped(t *turn, text string) {
	switch reply.Parse(text, reply.Context{}).Intent {
	case reply.Yes:
		siteSure(t, []string{"yes"})
	case reply.No, reply.Cancel:
		siteSure(t, []string{"no"})
	default:
		siteTyped(t, text) // a further change
	}
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
			"plan": message.Of(planLine(t.trip.Dives[d.Dive-1]))}))
		return
	}
	was := t.trip.Dives[d.Dive-1]
	before := tooRich(t, t.trip)
	t.trip.SetDive(d.Dive, d.Plan, t.me.ID, d.Reason, t.now)
	t.tellNewPlan(d.Dive, was, d.Plan, d.Reason)
	b := t.board()
	lines := []message.Line{message.Loud("site.changed", message.Args{"dive": message.Count(d.Dive), "plan": message.Of(planLine(d.Plan))}),
		t.headline(&b), countsLine(&b)}
	if requests := t.tellTooRich(before); requests.Key != "" {
		lines = append(lines, requests)
	}
	t.say(append(lines, message.Say("site.told", message.Args{"command": message.Code("/board")}))...)
}

// tellNewPlan tells everybody on the trip but the acting person of a changed
// dive.
func (t *turn) tellNewPlan(dive int, was, now roster.Dive, reason string) {
	var by roster.PersonID
	if t.me != nil {
		by = t.me.ID
	}
	lines := []message.Line{
		message.Loud("plan.changed", message.Args{"dive": message.Count(dive), "plan": message.Of(planLine(now)), "who": t.nameOf(by)}),
		message.Say("plan.was", message.Args{"plan": message.Of(planLine(was))}),
	}
	if reason != "" {
		lines = append(lines, message.Say("plan.reason", message.Args{"reason": message.Of(reasonLine(reason))}))
	}
	t.tellAll(message.Message{Lines: lines})
}

// tellAll tells everybody who can be reached and still takes part, but the
// acting person.
func (t *turn) tellAll(m message.Message) {
	for _, p := range t.trip.People {
		if canBeTold(p) && (t.me == nil || p.ID != t.me.ID) {
			t.tell(p.ID, roster.Urgent, true, m)
		}
	}
}
