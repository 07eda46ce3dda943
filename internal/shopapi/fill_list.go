package shopapi

import (
	"cmp"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// fillsJSON is the fill list: what to settle first, cylinders by blend for the
// blender, and per diver for handing out.
type fillsJSON struct {
	Trip   roster.TripID   `json:"trip"`
	Locked time.Time       `json:"locked_at,omitzero"`
	Settle []settleJSON    `json:"settle"`
	Total  int             `json:"total"`
	Blends []blendJSON     `json:"blends"`
	Divers []diverFillJSON `json:"divers"`
}

type blendJSON struct {
	Asked     gas.Percent         `json:"asked"`
	Count     int                 `json:"count"`
	Cylinders []roster.CylinderID `json:"cylinders"`
}

type diverFillJSON struct {
	ID        roster.PersonID `json:"id"`
	Name      string          `json:"name"`
	Cylinders []fillJSON      `json:"cylinders"`
}

// fillJSON is one cylinder of the list, with the request check.
type fillJSON struct {
	orderJSON
	Fits        bool        `json:"fits"` // its site, by depth; true when nothing was ordered
	Check       *checkJSON  `json:"check,omitempty"`
	ChangedFrom gas.Percent `json:"changed_from,omitzero"` // asked before the list was locked
	ChangedLate time.Time   `json:"changed_late_at,omitzero"`
	AddedLate   time.Time   `json:"added_late_at,omitzero"` // after the list was locked
}

// settleJSON is something to settle before filling, or to fill otherwise than
// the locked list said.
type settleJSON struct {
	What        string            `json:"what"` // does-not-fit, changed-late, added-late or dropped-late
	Person      roster.PersonID   `json:"person"`
	Name        string            `json:"name"`
	Cylinder    roster.CylinderID `json:"cylinder"`
	Asked       gas.Percent       `json:"asked"`
	Recommended gas.Percent       `json:"recommended,omitzero"` // of does-not-fit: richest that fits when it comes out a point rich
	Richest     gas.Percent       `json:"richest,omitzero"`     // richest that fits at all; neither: not even air fits
	At          time.Time         `json:"at,omitzero"`          // of a late change
	Text        string            `json:"text"`
	line        message.Line
}

func (a *api) fillList(t *roster.Trip, now time.Time) fillsJSON {
	out := fillsJSON{Trip: t.ID, Locked: t.FillLocked, Settle: []settleJSON{}, Blends: []blendJSON{}, Divers: []diverFillJSON{}}
	blends := map[gas.Percent]*blendJSON{}
	for _, p := range t.People {
		out.Settle = append(out.Settle, a.dropped(t, p)...)
		if !p.Left.IsZero() || p.Out != nil {
			continue
		}
		one := diverFillJSON{ID: p.ID, Name: p.Name, Cylinders: []fillJSON{}}
		for _, c := range p.InUse() {
			f := a.fillOut(t, p, c, now)
			one.Cylinders = append(one.Cylinders, f)
			out.Settle = append(out.Settle, a.toSettle(t, p, c, f)...)
			if c.Asked == 0 {
				continue // brought at the dock, nothing was ordered
			}
			if blends[c.Asked] == nil {
				blends[c.Asked] = &blendJSON{Asked: c.Asked}
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
	slices.SortFunc(out.Blends, func(a, b blendJSON) int { return cmp.Compare(a.Asked, b.Asked) })
	return out
}

func (a *api) fillOut(t *roster.Trip, p *roster.Person, c *roster.Cylinder, now time.Time) fillJSON {
	booked := a.cylinderOut(t, p, c, now)
	out := fillJSON{orderJSON: booked.orderJSON, Check: booked.Check, Fits: booked.Check.fits()}
	switch was, late := lateRequest(c); {
	case t.FillLocked.IsZero():
	case c.Added.After(t.FillLocked):
		out.AddedLate = c.Added
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
func (a *api) toSettle(t *roster.Trip, p *roster.Person, c *roster.Cylinder, f fillJSON) []settleJSON {
	var list []settleJSON
	if !f.Fits {
		list = append(list, a.doesNotFit(t, p, c, f))
	}
	switch {
	case !f.AddedLate.IsZero() && c.Asked > 0:
		list = append(list, a.settle("added-late", p, c, f.AddedLate, message.Say("fills.added", message.Args{"name": message.Name(p.Name),
			"cylinder": called(c), "asked": message.Blend(c.Asked), "at": message.Moment(f.AddedLate, t.Zone)})))
	case !f.ChangedLate.IsZero():
		list = append(list, a.settle("changed-late", p, c, f.ChangedLate, message.Say("fills.changed", message.Args{"name": message.Name(p.Name),
			"cylinder": called(c), "was": message.Blend(f.ChangedFrom), "asked": message.Blend(c.Asked), "at": message.Moment(f.ChangedLate, t.Zone)})))
	}
	return list
}

func (a *api) doesNotFit(t *roster.Trip, p *roster.Person, c *roster.Cylinder, f fillJSON) settleJSON {
	d := t.Dive(c.Dive)
	args := message.Args{"name": message.Name(p.Name), "cylinder": called(c), "asked": message.Blend(c.Asked),
		"site": message.Name(d.Site), "depth": message.Planned(d.Depth)}
	line := message.Say("fills.nothing-fits", args)
	switch margin, richest := f.Check.Recommended, f.Check.Richest; {
	case margin > 0:
		args["margin"], args["richest"] = message.Blend(margin), message.Blend(richest)
		line = message.Say("fills.too-rich", args)
	case richest > 0:
		args["richest"] = message.Blend(richest)
		line = message.Say("fills.too-rich.edge", args)
	}
	out := a.settle("does-not-fit", p, c, time.Time{}, line)
	out.Recommended, out.Richest = f.Check.Recommended, f.Check.Richest
	return out
}

func (a *api) settle(what string, p *roster.Person, c *roster.Cylinder, at time.Time, line message.Line) settleJSON {
	return settleJSON{What: what, Person: p.ID, Name: p.Name, Cylinder: c.ID, Asked: c.Asked, At: at,
		Text: a.Renderer.Line(line, message.Reader{}), line: line}
}

// dropped are a person's cylinders that stood on the locked list and are not
// needed any more: changed for another, or their diver left or sits out.
func (a *api) dropped(t *roster.Trip, p *roster.Person) []settleJSON {
	if t.FillLocked.IsZero() {
		return nil
	}
	gone := p.Left
	if p.Out != nil && gone.IsZero() {
		gone = p.Out.At
	}
	var list []settleJSON
	for _, c := range p.Cylinders {
		at := c.Retired
		if at.IsZero() {
			at = gone
		}
		if c.Asked == 0 || !at.After(t.FillLocked) || c.Added.After(t.FillLocked) {
			continue
		}
		list = append(list, a.settle("dropped-late", p, c, at, message.Say("fills.dropped", message.Args{"name": message.Name(p.Name),
			"cylinder": called(c), "asked": message.Blend(c.Asked), "at": message.Moment(at, t.Zone)})))
	}
	return list
}

// called is what stands on a cylinder, or its id until something does.
func called(c *roster.Cylinder) message.Value {
	if c.Label != "" {
		return message.Name(c.Label)
	}
	return message.Name(string(c.ID))
}
