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

// request is what the check makes of one cylinder's request.
type request struct {
	verdict gas.Verdict
	best    gas.Percent // richest whole percent that fits one point rich; 0 for none
	richest gas.Percent // richest whole percent that fits at all; 0 for none
}

// checkRequest holds a request against its dive, and says what may be
// recommended to its diver.
func (t *turn) checkRequest(p *roster.Person, c *roster.Cylinder) request {
	r := request{verdict: t.trip.Preview(p.ID, c.ID, c.Asked, t.now)}
	r.best, r.richest = gas.RichestFor(t.trip.Policy, gas.Diver{Card: p.Card, DepthLimit: p.DepthLimit,
		Set: p.LimitOn(c.Dive), Dive: t.trip.GasDive(c.Dive)})
	return r
}

// ofDiver are the rules that forbid a dive to its diver whatever they breathe.
var ofDiver = map[gas.Rule]bool{gas.RuleDepthLimit: true, gas.RuleDeepest: true}

// ofGas are the rules that a leaner blend mends.
var ofGas = map[gas.Rule]bool{gas.RuleDepth: true, gas.RuleContingency: true, gas.RuleOutOfRange: true,
	gas.RuleOxygenClock: true}

// stopped is the finding that forbids a request, none when it can be dived: the
// diver's own first, which no other blend mends.
func (r request) stopped() (bad gas.Finding, no bool) {
	for _, f := range r.verdict.Reasons() {
		if f.Severity != gas.Stop {
			continue
		}
		if ofDiver[f.Rule] {
			return f, true
		}
		if !no {
			bad, no = f, true
		}
	}
	return bad, no
}

// tooRich tells whether a leaner blend is what a request needs.
func (r request) tooRich(asked gas.Percent) bool {
	bad, no := r.stopped()
	return no && asked > r.richest && ofGas[bad.Rule]
}

// requestable are the acting person's cylinders whose request can still be
// changed with a tap: before the fill list is locked and before any reading.
func (t *turn) requestable() []*roster.Cylinder {
	if !t.trip.FillLocked.IsZero() {
		return nil
	}
	return filter(t.current(t.me()), func(c *roster.Cylinder) bool { return c.Asked.Known() && !t.read(c) })
}

// read tells whether a cylinder was analysed and the number not taken back.
func (t *turn) read(c *roster.Cylinder) bool { return t.trip.ShownOf(c.ID, t.now) != nil }

// requestLines say what was asked for and what the check makes of it, with
// buttons to change it.
func (t *turn) requestLines(p *roster.Person, c *roster.Cylinder) ([]message.Line, [][]message.Button) {
	r := t.checkRequest(p, c)
	a := t.requestArgs(c, r)
	bad, no := r.stopped()
	switch {
	case r.tooRich(c.Asked) && r.richest == 0:
		return []message.Line{message.Loud("diver.request.too-deep", a)}, nil
	case r.tooRich(c.Asked):
		return t.withChange([]message.Line{message.Loud("diver.request.too-rich", a),
			message.Say("diver.request.too-rich.why", a)}, c, r)
	case no: // the card, or the diver's own depth: nothing that another blend mends by itself
		lines := []message.Line{message.Loud("diver.request.no", a), t.findingLine(bad)}
		if r.best > 0 && r.best < c.Asked {
			return t.withChange(lines, c, r)
		}
		return lines, nil
	case c.Asked > r.best && r.best > 0:
		lines := []message.Line{message.Say("diver.request.no-margin", a)}
		if !t.trip.FillLocked.IsZero() {
			return lines, nil
		}
		return t.withChange(lines, c, r)
	}
	return nil, nil
}

// requestFits tells whether nothing is to be said about a request.
func (t *turn) requestFits(p *roster.Person, c *roster.Cylinder) bool {
	r := t.checkRequest(p, c)
	_, no := r.stopped()
	return !no && (c.Asked <= r.best || r.best == 0)
}

func (t *turn) requestArgs(c *roster.Cylinder, r request) message.Args {
	a := message.Args{"asked": message.Blend(c.Asked), "dive": message.Count(c.Dive), "site": message.Name(t.site(c.Dive)),
		"depth": message.Planned(t.trip.Dives[c.Dive-1].Depth), "best": message.Blend(r.best),
		"richest": message.Blend(r.richest),
		"leader":  t.leaderNames()}
	if r.richest > 0 && r.tooRich(c.Asked) && r.verdict.Max.Known() {
		a["mod"] = message.Limit(r.verdict.Max) // the diver's own: of no greater depth anything is said
	}
	return a
}

// withChange offers the change as long as the shop takes it.
func (t *turn) withChange(lines []message.Line, c *roster.Cylinder, r request) ([]message.Line, [][]message.Button) {
	if !t.trip.FillLocked.IsZero() {
		return append(lines, message.Say("diver.request.locked",
			message.Args{"at": t.clock(t.trip.FillLocked), "leader": t.leaderNames()})), nil
	}
	if t.read(c) {
		return lines, nil
	}
	var rows [][]message.Button
	if r.best > 0 && r.best < c.Asked {
		rows = append(rows, t.askButton(c, r.best, "diver.request.change.best"))
	}
	if r.richest != r.best && r.richest < c.Asked {
		rows = append(rows, t.askButton(c, r.richest, "diver.request.change.no-margin"))
	}
	return lines, append(rows, oneButton("ask "+string(c.ID)+" keep",
		message.Say("diver.request.keep", message.Args{"asked": message.Blend(c.Asked)})))
}

// askButton changes a request. A blend that is asked for is no measured value.
func (t *turn) askButton(c *roster.Cylinder, b gas.Percent, key string) []message.Button {
	return oneButton("ask "+string(c.ID)+" "+strconv.Itoa(int(b)),
		message.Say(key, message.Args{"blend": message.Blend(b)}))
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
	case t.read(c) || t.trip.WasDived(c.Dive):
		t.send(t.expecting(message.Loud("diver.request.filled", message.Args{"cylinder": t.called(c)})))
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
		t.trip.SetAsked(c.ID, blend, t.me().ID, t.now)
		c = t.cylinder(c.ID)
		t.happen("request.changed", map[string]any{"person": t.me().ID, "cylinder": c.ID, "label": c.Label, "was": was,
			"asked": blend})
	}
	var lines []message.Line
	var buttons [][]message.Button
	if !t.requestFits(t.me(), c) {
		lines, buttons = t.requestLines(t.me(), c)
	}
	t.send(message.Message{Lines: append([]message.Line{message.Loud("diver.request.changed",
		message.Args{"asked": message.Blend(blend), "was": message.Blend(was), "dive": message.Count(c.Dive)})}, lines...),
		Buttons: buttons})
	t.askBefore()
}
