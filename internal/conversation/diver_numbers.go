package conversation

import (
	"math"

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
	lines := append(make([]message.Line, 0, 4), message.Say("diver.label.write", message.Args{"label": message.Of(CylinderLabel(r.Percent, n.Label))}))
	if s == gas.NoGo {
		return lines
	}
	a := message.Args{"dive": message.Count(c.Dive), "site": message.Name(t.site(c.Dive)), "depth": message.Planned(n.Depth)}
	lines = append(lines, computerLine(n))
	switch {
	case p.DivedBefore == "yes":
		return append(lines, message.Say("diver.planned.own", a))
	case n.NoStop.State == gas.NoStopLimited:
		a["minutes"] = message.Minutes(n.NoStop.Minutes)
		key := "diver.planned.time"
		if p.DivedBefore == "" { // not known: the time holds only for somebody rested
			key = "diver.planned.time.rested"
		}
		return append(append(lines, message.Say(key, a)), gainedLine(c, n)...)
	}
	return append(lines, message.Say("diver.planned", a))
}

// gainedLine says how many minutes a richer gas gives beyond what was asked
// for. What a leaner one costs is a finding, and said with the others.
func gainedLine(c *roster.Cylinder, n *gas.Numbers) []message.Line {
	gained := math.Floor(n.NoStop.Minutes) - math.Floor(n.NoStopAsked.Minutes)
	if n.NoStopAsked.State != gas.NoStopLimited || gained < 1 {
		return nil
	}
	return []message.Line{message.Say("diver.planned.gained", message.Args{"minutes": message.Minutes(gained), "asked": message.Blend(c.Asked)})}
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
