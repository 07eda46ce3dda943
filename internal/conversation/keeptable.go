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
	bands := short(gas.Keep(t.trip.Policy, d), d.Depth)
	if bands == nil {
		return nil
	}
	lines := []message.Line{message.Say("remind.keep.dive", message.Args{
		"dive": message.Count(n), "site": message.Name(t.site(n)), "depth": message.Planned(d.Depth)})}
	for _, b := range bands {
		lines = append(lines, bandLine(b))
	}
	return append(lines, t.keepTime(p, n)...)
}

// keepTime says how lean the gas may be for the planned minutes; nothing when
// air will do.
func (t *turn) keepTime(p *roster.Person, n int) []message.Line {
	leanest, ok := t.trip.LeanestForTime(p, n)
	a := message.Args{"minutes": message.Minutes(t.trip.Dives[n-1].Minutes), "from": message.Count(int(leanest))}
	switch {
	case !ok || leanest == gas.Air:
		return nil
	case leanest == 0:
		return []message.Line{message.Say("remind.keep.no-time", a)}
	}
	return []message.Line{message.Say("remind.keep.time", a)}
}

// mostBands is how many rows a table may have before it is shortened: it has
// to fit on a phone and into a head.
const mostBands = 8

// short makes one row of neighbouring bands that all reach the planned depth
// and differ only in how much deeper they would go (a wall without a bottom):
// the shallowest of their depths holds for all of them.
func short(bands []gas.Band, planned gas.Depth) []gas.Band {
	if len(bands) <= mostBands {
		return bands
	}
	reaches := func(b gas.Band) bool {
		return b.Status == gas.GoWithLimits && b.MaxDepth.Known() && !planned.DeeperThan(b.MaxDepth)
	}
	var rows []gas.Band
	for _, b := range bands {
		if n := len(rows); n > 0 && reaches(b) && reaches(rows[n-1]) {
			rows[n-1].To = b.To
			if rows[n-1].MaxDepth.DeeperThan(b.MaxDepth) {
				rows[n-1].MaxDepth = b.MaxDepth
			}
			continue
		}
		rows = append(rows, b)
	}
	return rows
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
	return message.Row(key, a)
}
