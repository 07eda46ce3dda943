package conversation

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The table to keep for where there is no signal: for each dive, which
// readings go, which go with a depth, which do not.

// keepLines are a person's tables, for the dives that they have a cylinder for.
func (t *turn) keepLines(p *roster.Person) []message.Line {
	var lines []message.Line
	for n := max(1, t.trip.CurrentDive()); n <= len(t.trip.Dives); n++ {
		if len(filter(t.cylindersOf(p), func(c *roster.Cylinder) bool { return c.Dive == n })) > 0 {
			lines = append(lines, t.keepTable(p, n)...)
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return append(append([]message.Line{gap(), message.Loud("remind.keep", nil)}, lines...),
		message.Say("remind.keep.round", nil), message.Line{Key: "remind.keep.only", Style: message.Quiet})
}

// keepTable is the table of one dive, at the depth that the person dives it.
func (t *turn) keepTable(p *roster.Person, n int) []message.Line {
	d := t.trip.GasDive(n)
	if p.SetDepth.Known() && d.Depth.DeeperThan(p.SetDepth) {
		d.Depth = p.SetDepth
	}
	bands := gas.Keep(t.trip.Policy, d)
	if bands == nil {
		return nil
	}
	lines := []message.Line{message.Say("remind.keep.dive", message.Args{
		"dive": message.Count(n), "site": message.Name(t.site(n)), "depth": message.Planned(d.Depth)})}
	for _, b := range bands {
		lines = append(lines, bandLine(b))
	}
	return lines
}

func bandLine(b gas.Band) message.Line {
	a := message.Args{"from": message.Count(int(b.From)), "to": message.Count(int(b.To)),
		"verdict": message.Of(message.Verdict(b.Status, b.MaxDepth))}
	key := "remind.keep.range"
	switch b.To {
	case 0:
		key = "remind.keep.more"
	case b.From:
		key = "remind.keep.one"
	}
	return message.Line{Key: key, Args: a, Style: message.Table}
}
