package conversation

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The table to keep for where there is no signal, for one diver: for each dive,
// which readings go, which go with a depth, which do not, by the diver's own
// card, qualification and limits. It never names more than the diver's max.

// keepLines are a person's tables, for the dives that they have a cylinder for
// that nobody has read: a reading has a verdict.
func (t *turn) keepLines(p *roster.Person) []message.Line {
	var lines []message.Line
	for _, n := range t.ahead() {
		for _, c := range p.InUse() {
			if c.Dive == n && p.OutsideOf(n) == nil && len(t.trip.Evidence(c.ID, t.now).Compared) == 0 {
				lines = append(lines, t.keepTable(p, c, len(lines) > 0)...)
				break
			}
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return append(lines, message.Say("remind.keep.round", nil))
}

// keepTable is the table of one dive in a row; next is one below another.
func (t *turn) keepTable(p *roster.Person, c *roster.Cylinder, next bool) []message.Line {
	d := t.trip.GasDive(c.Dive)
	bands := short(t.bands(p, c), d.Depth)
	if bands == nil {
		return nil
	}
	row := bandLine(bands[0])
	for _, b := range bands[1:] {
		row = then(row, bandLine(b))
	}
	for _, l := range t.keepTime(p, c.Dive) {
		row = then(row, l)
	}
	key := "remind.keep.dive"
	if next {
		key = "remind.keep.next"
	}
	return []message.Line{message.Say(key, message.Args{"dive": message.Count(c.Dive), "table": message.Of(row)})}
}

// then are two parts of one row.
func then(first, next message.Line) message.Line {
	return message.Say("remind.keep.then", message.Args{"first": message.Of(first), "next": message.Of(next)})
}

// kept are the rules that a table without a reading can look at.
var kept = map[gas.Rule]bool{gas.RuleOutOfRange: true, gas.RuleDepth: true, gas.RuleBottom: true,
	gas.RuleContingency: true, gas.RuleDeepest: true,
	gas.RuleDepthLimit: true, gas.RuleSetLimit: true, gas.RuleTeam: true, gas.RuleCard: true, gas.RuleAirIsNotAir: true}

// band is a run of whole percentages that come to the same on one dive. A reading between two whole numbers is
// rounded up to use it.
type band struct {
	From, To gas.Percent // To is 0 for "and richer"
	Status   gas.Status  // Go, GoWithLimits (no deeper than MaxDepth) or NoGo
	MaxDepth gas.Depth   // whole, zero when none
}

// bands are the whole percentages from air up that come to the same for one
// diver on one dive.
func (t *turn) bands(p *roster.Person, c *roster.Cylinder) []band {
	if !t.trip.Dives[c.Dive-1].Depth.Known() {
		return nil
	}
	var bands []band
	for o2 := gas.Air; o2 <= t.trip.Policy.MaxO2+1; o2++ {
		b := t.band(p, c, o2)
		if n := len(bands); n > 0 && bands[n-1].Status == b.Status && bands[n-1].MaxDepth == b.MaxDepth {
			bands[n-1].To = o2
			continue
		}
		bands = append(bands, b)
	}
	bands[len(bands)-1].To = 0 // above the policy's most nothing goes any more
	return bands
}

// band is what one whole percentage comes to: a go names the plan, a limit the
// diver's max.
func (t *turn) band(p *roster.Person, c *roster.Cylinder, o2 gas.Percent) band {
	v := t.trip.Preview(p.ID, c.ID, o2, t.now)
	b := band{From: o2, To: o2, Status: gas.Go}
	for i := range v.Findings {
		f := &v.Findings[i]
		if !kept[f.Rule] || f.Cylinder != "" && f.Cylinder != string(c.ID) {
			continue
		}
		switch f.Severity.Status() {
		case gas.NoGo:
			return band{From: o2, To: o2, Status: gas.NoGo}
		case gas.GoWithLimits:
			b.Status, b.MaxDepth = gas.GoWithLimits, v.Max
		}
	}
	return b
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

// mostBands is how many bands a row may have before it is shortened: it has to fit
// on a phone and into a head.
const mostBands = 4

// short makes one row of neighbouring bands that all reach the planned depth
// and differ only in how much deeper they would go (a wall without a bottom):
// the shallowest of their depths holds for all of them.
func short(bands []band, planned gas.Depth) []band {
	if len(bands) <= mostBands {
		return bands
	}
	reaches := func(b band) bool {
		return b.Status == gas.GoWithLimits && b.MaxDepth.Known() && !planned.DeeperThan(b.MaxDepth)
	}
	var rows []band
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

func bandLine(b band) message.Line {
	a := message.Args{"from": message.Count(int(b.From)), "to": message.Count(int(b.To)),
		"verdict": message.Of(bandVerdict(b))}
	key := "remind.keep.range"
	switch b.To {
	case 0:
		key = "remind.keep.more"
	case b.From:
		key = "remind.keep.one"
	}
	return message.Say(key, a)
}

func bandVerdict(b band) message.Line {
	switch b.Status {
	case gas.Go:
		return message.Say("remind.keep.go", nil)
	case gas.GoWithLimits:
		return message.Say("remind.keep.limits", message.Args{"depth": message.Limit(b.MaxDepth)})
	}
	return message.Say("remind.keep.stop", nil)
}
