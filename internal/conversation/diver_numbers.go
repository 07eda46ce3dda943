package conversation

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The numbers of a gas: what to write on the cylinder, what to set on the
// computer, how deep and how long.

// numberLines are what to write on the cylinder and to set on the computer.
// A gas that isn't to be dived gets no computer setting, one that isn't
// settled no label.
func (t *turn) numberLines(p *roster.Person, c *roster.Cylinder, s gas.Status, n *gas.Numbers) []message.Line {
	r := c.Current()
	if r == nil || s == gas.NoReading {
		return nil
	}
	lines := []message.Line{message.Say("diver.label.write", message.Args{"label": message.Of(CylinderLabel(r.Percent, n.Label))})}
	if s == gas.NoGo {
		return lines
	}
	dive := t.trip.Dives[c.Dive-1]
	a := message.Args{"dive": message.Count(c.Dive), "site": message.Name(t.site(c.Dive)), "depth": message.Planned(dive.Depth)}
	lines = append(lines, computerLine(n))
	switch {
	case p.DivedBefore == "yes":
		return append(lines, message.Say("diver.planned.own", a))
	case n.NoStop.State == gas.NoStopLimited:
		a["minutes"] = message.Minutes(n.NoStop.Minutes)
		if p.DivedBefore == "" { // not known: the time holds only for somebody rested
			return append(lines, message.Say("diver.planned.time.rested", a))
		}
		return append(lines, message.Say("diver.planned.time", a))
	}
	return append(lines, message.Say("diver.planned", a))
}

// computerLine is the one number to set, and that it sets no depth.
func computerLine(n *gas.Numbers) message.Line {
	a := message.Args{"percent": message.Blend(max(n.Computer, gas.Air))} // no computer takes less than air
	if n.MaxDepth.Known() && n.Label.DeeperThan(n.MaxDepth.Floor()) {
		a["depth"] = message.Limit(n.MaxDepth)
		return message.Say("diver.computer.limited", a)
	}
	return message.Say("diver.computer", a)
}

// CylinderLabel is the line to write on a cylinder: the reading as measured
// and the depth not to pass.
func CylinderLabel(p gas.Percent, mod gas.Depth) message.Line {
	return message.Say("diver.label.text", message.Args{"percent": message.Percent(p), "mod": message.Limit(mod)})
}
