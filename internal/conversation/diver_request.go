package conversation

import (
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The request check, before the fill: does what was asked for suit the site?
// The recommended change is the richest whole percent that still fits when the
// fill comes out one point rich; the richest that fits at all is named second.

// fillRich is how many points a fill may come out richer than asked (EN
// 12021:2014, nitrox +- 1.0 point).
const fillRich gas.Percent = 1

// request is what the check makes of one cylinder's request.
type request struct {
	verdict gas.Verdict
	best    gas.Percent // richest whole percent that fits one point rich; 0 for none
	richest gas.Percent // richest whole percent that fits at all; 0 for none
}

// checkRequest holds a request against its dive.
func (t *turn) checkRequest(p *roster.Person, c *roster.Cylinder) request {
	r := request{verdict: t.trip.Preview(p.ID, c.ID, c.Asked, t.now)}
	for b := t.trip.Policy.MaxO2; b >= gas.Air && r.best == 0; b-- {
		b = gas.Percent(int(b))
		if r.richest == 0 && t.fits(p, c, b) {
			r.richest = b
		}
		if r.richest > 0 && t.fits(p, c, b+fillRich) {
			r.best = b
		}
	}
	return r
}

// fits tells whether a gas may be dived at the planned depth at all. Richer
// than the policy's maximum by the point that a fill may be off is still the
// depth's business only.
func (t *turn) fits(p *roster.Person, c *roster.Cylinder, b gas.Percent) bool {
	for _, f := range t.trip.Preview(p.ID, c.ID, b, t.now).Findings {
		if f.Severity != gas.Stop {
			continue
		}
		if f.Rule == gas.RuleDepth || f.Rule == gas.RuleContingency || (f.Rule == gas.RuleOutOfRange && b <= t.trip.Policy.MaxO2) {
			return false
		}
	}
	return true
}

// stopped is the finding that forbids a request, none when it can be dived.
func (r request) stopped() (gas.Finding, bool) {
	for _, f := range r.verdict.Reasons() {
		if f.Severity == gas.Stop {
			return f, true
		}
	}
	return gas.Finding{}, false
}

// requestable are the acting person's cylinders whose request can still be
// changed with a tap: before the fill list is locked and before any reading.
func (t *turn) requestable() []*roster.Cylinder {
	if !t.trip.FillLocked.IsZero() || t.trip.CurrentDive() == 0 {
		return nil
	}
	return filter(t.myCylinders(), func(c *roster.Cylinder) bool { return c.Asked.Known() && len(c.Valid()) == 0 })
}

// requestLines say what was asked for and what the check makes of it, with
// buttons to change it.
func (t *turn) requestLines(p *roster.Person, c *roster.Cylinder) ([]message.Line, [][]message.Button) {
	r := t.checkRequest(p, c)
	a := t.requestArgs(c, r)
	bad, no := r.stopped()
	tooRich := no && c.Asked > r.richest
	switch {
	case tooRich && r.richest == 0:
		return []message.Line{message.Loud("diver.request.too-deep", a)}, nil
	case tooRich:
		lines := []message.Line{message.Loud("diver.request.too-rich", a), message.Say("diver.request.too-rich.why", a)}
		return t.withChange(lines, c, r)
	case no: // the card, or the diver's own depth: nothing that another blend mends by itself
		return []message.Line{message.Loud("diver.request.no", a), t.findingLine(bad)}, nil
	case c.Asked > r.best && r.best > 0:
		lines := []message.Line{message.Say("diver.request.no-margin", a)}
		if !t.trip.FillLocked.IsZero() {
			return lines, nil
		}
		return t.withChange(lines, c, r)
	}
	return []message.Line{message.Say("diver.request.fits", a)}, nil
}

func (t *turn) requestArgs(c *roster.Cylinder, r request) message.Args {
	a := message.Args{"asked": message.Blend(c.Asked), "dive": message.Count(c.Dive), "site": message.Name(t.site(c.Dive)),
		"depth": message.Planned(t.trip.Dives[c.Dive-1].Depth), "best": message.Blend(r.best), "richest": message.Blend(r.richest),
		"leader": t.leaderNames()}
	for _, n := range r.verdict.Numbers {
		a["mod"] = message.Limit(n.Label)
	}
	return a
}

// withChange offers the change as long as the shop takes it.
func (t *turn) withChange(lines []message.Line, c *roster.Cylinder, r request) ([]message.Line, [][]message.Button) {
	if !t.trip.FillLocked.IsZero() {
		return append(lines, message.Say("diver.request.locked", message.Args{"at": t.clock(t.trip.FillLocked), "leader": t.leaderNames()})), nil
	}
	if len(c.Valid()) > 0 {
		return lines, nil
	}
	lines = append(lines, message.Say("diver.request.do", nil))
	var rows [][]message.Button
	if r.best > 0 && r.best < c.Asked {
		rows = append(rows, t.askButton(c, r.best, "diver.request.change.best"))
	}
	if r.richest != r.best && r.richest < c.Asked {
		rows = append(rows, t.askButton(c, r.richest, "diver.request.change.no-margin"))
	}
	return lines, append(rows, oneButton("ask "+string(c.ID)+" keep", message.Say("diver.request.keep", message.Args{"asked": message.Blend(c.Asked)})))
}

// askButton changes a request. A blend that is asked for is no measured value.
func (t *turn) askButton(c *roster.Cylinder, b gas.Percent, key string) []message.Button {
	return oneButton("ask "+string(c.ID)+" "+strconv.Itoa(int(b)), message.Say(key, message.Args{"blend": message.Blend(b)}))
}

func askPressed(t *turn, args []string) {
	c := t.mine(roster.CylinderID(argument(args, 0)))
	b, err := strconv.Atoi(argument(args, 1))
	blend := gas.Percent(b)
	switch {
	case c == nil:
		t.questionGone()
	case !t.trip.FillLocked.IsZero():
		t.say(message.Loud("diver.request.locked", message.Args{"at": t.clock(t.trip.FillLocked), "leader": t.leaderNames()}))
	case len(c.Valid()) > 0 || t.trip.CurrentDive() == 0:
		t.say(message.Loud("diver.request.filled", message.Args{"cylinder": t.called(c)}), t.expected())
	case argument(args, 1) == "keep":
		t.keepRequest(c)
	case err != nil || blend < gas.Air || blend > t.trip.Policy.MaxO2:
		t.questionGone()
	default:
		t.changeRequest(c, blend)
	}
}

func (t *turn) keepRequest(c *roster.Cylinder) {
	t.done()
	t.say(message.Say("diver.request.kept", message.Args{"asked": message.Blend(c.Asked), "leader": t.leaderNames()}))
	t.askBefore()
}

func (t *turn) changeRequest(c *roster.Cylinder, blend gas.Percent) {
	t.done()
	was := c.Asked
	if was != blend {
		t.trip.SetAsked(c.ID, blend, t.me.ID, t.now)
		t.happen("request.changed", map[string]any{"person": t.me.ID, "cylinder": c.ID, "label": c.Label, "was": was, "asked": blend})
	}
	lines, buttons := t.requestLines(t.me, c)
	t.send(message.Message{Lines: append([]message.Line{message.Loud("diver.request.changed",
		message.Args{"asked": message.Blend(blend), "was": message.Blend(was), "dive": message.Count(c.Dive)})}, lines...), Buttons: buttons})
	t.askBefore()
}
