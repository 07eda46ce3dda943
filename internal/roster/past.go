package roster

import "gasmuster/internal/gas"

// diver makes d what the check needs of a person with these cylinders: what
// they are qualified for, and what they dived before. It uses the room that the
// lists of d have.
func (t *Trip) diver(d *gas.Diver, p *Person, cylinders []*Cylinder, claims map[string]int) {
	*d = gas.Diver{Card: p.Card, DepthLimit: p.DepthLimit, SetDepth: p.SetDepth, OwnComputer: p.DivedBefore == "yes",
		Cylinders: d.Cylinders[:0], Past: d.Past[:0]}
	for _, c := range cylinders {
		d.Cylinders = t.appendChecked(d.Cylinders, p, c, claims)
	}
	for _, c := range p.Cylinders {
		if c.Retired.IsZero() && t.wentOn(c.Dive, p) {
			d.Past = t.appendChecked(d.Past, p, c, nil)
		}
	}
}

// appendChecked appends a cylinder as the check needs it. Its readings take the
// place of those that stood there before.
func (t *Trip) appendChecked(checked []gas.Cylinder, p *Person, c *Cylinder, claims map[string]int) []gas.Cylinder {
	var room []gas.Reading
	if n := len(checked); n < cap(checked) {
		room = checked[:n+1][n].Readings[:0]
	}
	return append(checked, t.checked(p, c, claims, room))
}

// checked is a person's cylinder as the check needs it, with what was dived.
func (t *Trip) checked(p *Person, c *Cylinder, claims map[string]int, room []gas.Reading) gas.Cylinder {
	g := t.cylinder(c, claims, room)
	if dived, ok := t.DivedBy(c.Dive, p.ID); ok {
		g.Dive.DivedDepth, g.Dive.DivedMinutes = dived.Depth, dived.Minutes
	}
	return g
}

// wentOn tells whether dive n is signed off and the person was on it: its
// cylinders are no longer checked, and the times of later dives carry it.
func (t *Trip) wentOn(n int, p *Person) bool {
	s := t.signature(n)
	if s == nil {
		return false
	}
	line := s.Board.Of(p.ID)
	return line != nil && line.Active && line.Out == nil
}

// expected are a person's cylinders for the dives before dive n, each with what
// was read or else asked for.
func (t *Trip) expected(p *Person, n int) []gas.Cylinder {
	var past []gas.Cylinder
	for _, c := range p.InUse() {
		if c.Dive >= n || (t.signature(c.Dive) != nil && !t.wentOn(c.Dive, p)) {
			continue
		}
		g := t.checked(p, c, nil, nil)
		if len(g.Readings) == 0 {
			g.Readings = []gas.Reading{{Percent: c.Asked, By: gas.ByDiver}}
		}
		past = append(past, g)
	}
	return past
}

// LeanestForTime is the leanest whole blend that gives a person the planned
// minutes of dive n without stops, after the dives before it as they were read
// or else asked for; see gas.LeanestForTime.
func (t *Trip) LeanestForTime(p *Person, n int) (leanest gas.Percent, ok bool) {
	d := t.dive(n)
	if p.SetDepth.Known() && d.Depth.DeeperThan(p.SetDepth) {
		d.Depth = p.SetDepth
	}
	return gas.LeanestForTime(t.Policy, gas.Diver{OwnComputer: p.DivedBefore == "yes", Past: t.expected(p, n)}, d)
}
