package booking

import (
	"cmp"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// FillList is the fill list: what to settle first, cylinders by blend for the
// blender, and per diver for handing out.
type FillList struct {
	Trip   roster.TripID `json:"trip"`
	Locked time.Time     `json:"locked_at,omitzero"`
	Settle []Settle      `json:"settle"`
	Total  int           `json:"total"`
	Blends []Blend       `json:"blends"`
	Divers []DiverFills  `json:"divers"`
}

// Blend is the cylinders that one blend was ordered for.
type Blend struct {
	Asked     gas.Percent         `json:"asked"`
	Count     int                 `json:"count"`
	Cylinders []roster.CylinderID `json:"cylinders"`
}

// DiverFills is what is handed out to one diver.
type DiverFills struct {
	ID         roster.PersonID `json:"id"`
	Name       string          `json:"name"`
	Card       gas.Card        `json:"card"`
	DepthLimit float64         `json:"depth_limit,omitempty"` // of the qualification
	Cylinders  []Fill          `json:"cylinders"`
}

// Fill is one cylinder of the list, with the request check.
type Fill struct {
	Order
	Fits        bool        `json:"fits"` // its site and its diver; true when nothing was ordered
	Check       *Check      `json:"check,omitempty"`
	ChangedFrom gas.Percent `json:"changed_from,omitzero"` // asked before the list was locked
	ChangedLate time.Time   `json:"changed_late_at,omitzero"`
	AddedLate   time.Time   `json:"added_late_at,omitzero"` // after the list was locked
}

// Settle is something to settle before filling, or to fill otherwise than
// the locked list said.
type Settle struct {
	What     string            `json:"what"` // does-not-fit, changed-late, added-late or dropped-late
	Person   roster.PersonID   `json:"person"`
	Name     string            `json:"name"`
	Cylinder roster.CylinderID `json:"cylinder"`
	Asked    gas.Percent       `json:"asked"`
	Rule     gas.Rule          `json:"rule,omitempty"` // of does-not-fit: that it breaks
	// of does-not-fit: richest that fits when it comes out a point rich
	Recommended gas.Percent  `json:"recommended,omitzero"`
	Richest     gas.Percent  `json:"richest,omitzero"` // richest that fits at all; neither: not even air fits
	At          time.Time    `json:"at,omitzero"`      // of a late change
	Text        string       `json:"text"`
	Line        message.Line `json:"-"`
}

// ListFills is the fill list of a trip as of now.
func ListFills(t *roster.Trip, now time.Time, say Words) FillList {
	out := FillList{Trip: t.ID, Locked: t.FillLocked, Settle: []Settle{}, Blends: []Blend{}, Divers: []DiverFills{}}
	blends := map[gas.Percent]*Blend{}
	for _, p := range t.People {
		out.Settle = append(out.Settle, dropped(t, p, say)...)
		if !p.Left.IsZero() {
			continue
		}
		booked := PersonOf(p)
		one := DiverFills{ID: p.ID, Name: p.Name, Card: booked.Card, DepthLimit: booked.DepthLimit, Cylinders: []Fill{}}
		for _, c := range p.InUse() {
			if p.OutOf(c.Dive) != nil {
				continue
			}
			f := fillOut(t, p, c, now, say)
			one.Cylinders = append(one.Cylinders, f)
			out.Settle = append(out.Settle, toSettle(t, p, c, f, say)...)
			if c.Asked == 0 {
				continue // brought at the dock, nothing was ordered
			}
			if blends[c.Asked] == nil {
				blends[c.Asked] = &Blend{Asked: c.Asked}
			}
			out.Total++
			blends[c.Asked].Count++
			blends[c.Asked].Cylinders = append(blends[c.Asked].Cylinders, c.ID)
		}
		if len(one.Cylinders) > 0 {
			out.Divers = append(out.Divers, one)
		}
	}
	for _, b := range blends {
		out.Blends = append(out.Blends, *b)
	}
	slices.SortFunc(out.Blends, func(a, b Blend) int { return cmp.Compare(a.Asked, b.Asked) })
	return out
}

func fillOut(t *roster.Trip, p *roster.Person, c *roster.Cylinder, now time.Time, say Words) Fill {
	out := Fill{Order: OrderOf(c)}
	if c.Asked > 0 {
		out.Check = CheckRequest(t, p, c, now, say)
	}
	out.Fits = out.Check.fits()
	switch was, late := lateRequest(c); {
	case t.FillLocked.IsZero():
	case c.Added.At.After(t.FillLocked):
		out.AddedLate = c.Added.At
	case late:
		out.ChangedFrom, out.ChangedLate = was.Was, c.Changed[len(c.Changed)-1].At
	}
	return out
}

// lateRequest is what was asked for when the list was locked, if that is not
// what is asked for now.
func lateRequest(c *roster.Cylinder) (roster.Asked, bool) {
	for _, was := range c.Changed {
		if was.AfterLock {
			return was, was.Was != c.Asked
		}
	}
	return roster.Asked{}, false
}

// toSettle says what is the matter with a cylinder of the list.
func toSettle(t *roster.Trip, p *roster.Person, c *roster.Cylinder, f Fill, say Words) []Settle {
	var list []Settle
	if !f.Fits {
		list = append(list, doesNotFit(t, p, c, f, say))
	}
	switch {
	case !f.AddedLate.IsZero() && c.Asked > 0:
		list = append(list, settle("added-late", p, c, f.AddedLate,
			message.Say("fills.added", message.Args{"name": message.Name(p.Name),
				"cylinder": Called(c), "asked": message.Blend(c.Asked), "at": message.Moment(f.AddedLate, t.Zone)}), say))
	case !f.ChangedLate.IsZero():
		list = append(list, settle("changed-late", p, c, f.ChangedLate,
			message.Say("fills.changed", message.Args{"name": message.Name(p.Name),
				"cylinder": Called(c), "was": message.Blend(f.ChangedFrom), "asked": message.Blend(c.Asked),
				"at": message.Moment(f.ChangedLate, t.Zone)}), say))
	}
	return list
}

// doesNotFit says what a request breaks, and what to fill instead: the one
// depth it names is the plan's, or what the diver is qualified to.
func doesNotFit(t *roster.Trip, p *roster.Person, c *roster.Cylinder, f Fill, say Words) Settle {
	rule := f.Check.Misfit()
	out := settle("does-not-fit", p, c, time.Time{}, misfitLine(t, p, c, rule, f.Check), say)
	out.Rule, out.Recommended, out.Richest = rule, f.Check.Recommended, f.Check.Richest
	return out
}

func misfitLine(t *roster.Trip, p *roster.Person, c *roster.Cylinder, rule gas.Rule, check *Check) message.Line {
	d := t.Dive(c.Dive)
	args := message.Args{"name": message.Name(p.Name), "cylinder": Called(c), "asked": message.Blend(c.Asked),
		"site": message.Name(d.Site)}
	margin, richest := check.Recommended, check.Richest
	switch {
	case rule == gas.RuleCard && richest > 0:
		args["richest"] = message.Blend(richest)
		return message.Say("fills.no-card", args)
	case rule == gas.RuleCard:
		return message.Say("fills.no-card.nothing", args)
	case rule == gas.RuleDepthLimit:
		args["depth"] = message.Limit(p.DepthLimit.NamedIn(t.Units))
		return message.Say("fills.not-qualified", args)
	}
	args["depth"] = message.Planned(d.Depth)
	switch {
	case rule == gas.RuleDeepest:
		return message.Say("fills.too-deep", args)
	case margin > 0:
		args["margin"], args["richest"] = message.Blend(margin), message.Blend(richest)
		return message.Say("fills.too-rich", args)
	case richest > 0:
		args["richest"] = message.Blend(richest)
		return message.Say("fills.too-rich.edge", args)
	}
	return message.Say("fills.nothing-fits", args)
}

func settle(what string, p *roster.Person, c *roster.Cylinder, at time.Time, line message.Line, say Words) Settle {
	return Settle{What: what, Person: p.ID, Name: p.Name, Cylinder: c.ID, Asked: c.Asked, At: at,
		Text: say(line), Line: line}
}

// dropped are a person's cylinders that stood on the locked list and are not
// needed any more: changed for another, or their diver left or sits out.
func dropped(t *roster.Trip, p *roster.Person, say Words) []Settle {
	if t.FillLocked.IsZero() {
		return nil
	}
	var list []Settle
	for _, c := range p.Cylinders {
		at := c.Retired
		if out := p.OutOf(c.Dive); at.IsZero() && out != nil {
			at = out.At
		}
		if at.IsZero() {
			at = p.Left
		}
		if c.Asked == 0 || !at.After(t.FillLocked) || c.Added.At.After(t.FillLocked) {
			continue
		}
		list = append(list, settle("dropped-late", p, c, at,
			message.Say("fills.dropped", message.Args{"name": message.Name(p.Name),
				"cylinder": Called(c), "asked": message.Blend(c.Asked), "at": message.Moment(at, t.Zone)}), say))
	}
	return list
}

// Called is what stands on a cylinder, or its id until something does.
func Called(c *roster.Cylinder) message.Value {
	if c.Label != "" {
		return message.Name(c.Label)
	}
	return message.Name(string(c.ID))
}
