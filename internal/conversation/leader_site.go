package conversation

import (
	"strconv"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Another site or depth for a dive. The leader types what changes, sees what
// that would do to everybody's verdict, and confirms.
//
//	/site [DIVE] [NAME] [DEPTH] [bottom DEPTH | no bottom] [MINUTES min] [after MINUTES | TIME] [because REASON]

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

// apply puts what was typed into the plan, in the trip's unit.
func (d *siteData) apply(ch orders.SiteChange, unit gas.Unit) {
	d.Plan = ch.Apply(d.Plan, unit)
	if ch.Reason != "" {
		d.Reason = ch.Reason
	}
}

func changeSite(t *turn, args string) {
	current := t.firstAhead()
	if current == 0 {
		t.say(message.Say("site.all-dived", nil))
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
	current, last := t.firstAhead(), len(t.trip.Dives)
	words := strings.Fields(t.english(t.forDives(args, orders.OneDive)))
	named := len(words) > 0 && strings.EqualFold(words[0], "dive")
	if named {
		words = words[1:]
	}
	if len(words) > 0 {
		n, err := strconv.Atoi(words[0])
		// "/site 2" is dive 2; "/site 2 m" would be a depth.
		_, after, _ := orders.TakeDepth(words, t.reads())
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
		return max(current, t.trip.DefaultDive(t.now)), strings.Join(words, " "), message.Line{}
	}
	return 0, "", message.Line{}
}

// askSite shows the dive as it is and asks what changes.
func (t *turn) askSite(dive int) {
	lines := []message.Line{
		message.Say("site.now", message.Args{"dive": message.Count(dive),
			"plan": message.Of(message.Plan(t.trip.Dives[dive-1]))}),
		t.siteUsage(),
	}
	if dive > 1 {
		lines = append(lines, t.restUsage())
	}
	t.ask(stateSite, siteData{Dive: dive, Plan: t.trip.Dives[dive-1]}, message.Message{Lines: lines})
}

func (t *turn) siteUsage() message.Line {
	example := gas.M(25)
	if t.reads() == gas.Feet {
		example = gas.Ft(80)
	}
	return message.Say("site.usage", message.Args{"example": message.Planned(example)})
}

// siteChosen is the button that says which dive.
func siteChosen(t *turn, args []string) {
	if len(args) > 0 {
		if n, err := strconv.Atoi(args[0]); err == nil && t.openDive(n) {
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
	if t.answer(text) != reply.Cancel {
		return false
	}
	t.done()
	t.say(message.Say("leader.cancelled", nil))
	return true
}

// openDive tells whether dive n may still change: it was not dived. If it is
// signed, the change breaks the signature.
func (t *turn) openDive(n int) bool { return t.trip.Dive(n) != nil && !t.trip.WasDived(n) }

// firstAhead is the first dive that was not dived, 0 when all were.
func (t *turn) firstAhead() int {
	for n := range t.trip.Dives {
		if !t.trip.WasDived(n + 1) {
			return n + 1
		}
	}
	return 0
}

// readSite applies what was typed to the plan, asks for a bottom that is no
// longer known, or asks to confirm.
func (t *turn) readSite(d siteData, text string) {
	ch, problem := t.parseChange(d.Dive, text)
	if problem.Key != "" {
		t.ask(stateSite, d, message.Message{Lines: []message.Line{problem, t.siteUsage()}})
		return
	}
	was := d.Plan
	d.apply(ch, t.trip.Units)
	moved := orders.FoldName(d.Plan.Site) != orders.FoldName(was.Site)
	through := d.Plan.Bottom.Known() && d.Plan.Depth.DeeperThan(d.Plan.Bottom)
	switch {
	case ch.BottomSaid && through:
		t.ask(stateSite, siteData{Dive: d.Dive, Plan: was, Reason: d.Reason},
			message.Message{Lines: []message.Line{message.Say("site.bottom-above",
				message.Args{"bottom": message.Bottom(d.Plan.Bottom), "depth": message.Planned(d.Plan.Depth)}), t.siteUsage()}})
	case !ch.BottomSaid && (moved && (was.Bottom.Known() || was.Bottomless) || through):
		d.Plan.Bottom, d.Plan.Bottomless = gas.Depth{}, false
		t.ask(stateSiteBottom, d, t.bottomQuestion(d))
	default:
		t.confirmSite(d)
	}
}

// parseChange reads what changes of a dive; the surface interval alone is enough.
func (t *turn) parseChange(dive int, text string) (ch orders.SiteChange, problem message.Line) {
	rest, text, problem := t.takeRest(dive, text)
	if problem.Key != "" {
		return ch, problem
	}
	ch, problem = orders.ParseSite(t.english(text), t.reads())
	if ch.Rest = rest; rest > 0 && ch.Empty() {
		problem = message.Line{}
	}
	if first, _, _ := strings.Cut(ch.Name, " "); orders.IsAfter(first, t.me().Language) && rest == 0 {
		return ch, t.restUsage() // "after three hours" is no site
	}
	if problem.Key == "" {
		problem = ch.TakeBareNumber(t.trip.Dives, t.reads())
	}
	return ch, problem
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
	text = t.english(text)
	if !strings.Contains(strings.ToLower(text), "bottom") {
		text = "bottom " + text
	}
	ch, problem := orders.ParseSite(text, t.reads())
	if problem.Key == "" && !ch.BottomSaid {
		problem = message.Say("site.bottom-unclear", message.Args{"typed": message.Name(text)})
	}
	if problem.Key == "" {
		d.apply(ch, t.trip.Units)
		if d.Plan.Bottom.Known() && d.Plan.Depth.DeeperThan(d.Plan.Bottom) {
			problem = message.Say("site.bottom-above", message.Args{
				"bottom": message.Bottom(d.Plan.Bottom), "depth": message.Planned(d.Plan.Depth)})
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
