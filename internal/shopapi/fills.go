package shopapi

import (
	"cmp"
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// fillsJSON is the fill list: cylinders by blend for the blender, and per
// diver for handing out.
type fillsJSON struct {
	Trip   roster.TripID   `json:"trip"`
	Locked time.Time       `json:"locked_at,omitzero"`
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

// fillJSON is one cylinder of the list. Status is the request check's: a
// no-go doesn't fit the site and should be settled before it is filled.
type fillJSON struct {
	ID          roster.CylinderID `json:"id"`
	Label       string            `json:"label,omitempty"`
	Asked       gas.Percent       `json:"asked,omitzero"`
	Dive        int               `json:"dive"`
	Size        string            `json:"size,omitempty"`
	Owner       string            `json:"owner,omitempty"`
	Filled      time.Time         `json:"filled_at,omitzero"`
	Check       *checkJSON        `json:"check,omitempty"`
	ChangedFrom gas.Percent       `json:"changed_from,omitzero"` // asked before the list was locked
	ChangedLate time.Time         `json:"changed_late_at,omitzero"`
}

func (a *api) fills(c *call) {
	if t, ok := a.trip(c); ok {
		answer(c.w, http.StatusOK, a.fillList(t, c.now))
	}
}

// lockFills ends the divers' one-tap changes: what changes afterwards is
// flagged in the list.
func (a *api) lockFills(c *call) {
	var f faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	objectAt("", v, &f).close()
	t, ok := a.apply(c, func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Lock: true}, f.err()
	})
	if ok {
		answer(c.w, http.StatusOK, a.fillList(t, c.now))
	}
}

func (a *api) fillList(t *roster.Trip, now time.Time) fillsJSON {
	out := fillsJSON{Trip: t.ID, Locked: t.FillLocked, Blends: []blendJSON{}, Divers: []diverFillJSON{}}
	blends := map[gas.Percent]*blendJSON{}
	for _, p := range t.People {
		if !p.Left.IsZero() || p.Out != nil {
			continue
		}
		one := diverFillJSON{ID: p.ID, Name: p.Name, Cylinders: []fillJSON{}}
		for _, c := range p.InUse() {
			one.Cylinders = append(one.Cylinders, a.fillOut(t, p, c, now))
			if c.Asked == 0 {
				continue // brought at the dock, nothing was ordered
			}
			if blends[c.Asked] == nil {
				blends[c.Asked] = &blendJSON{Asked: c.Asked}
			}
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
	out := fillJSON{ID: c.ID, Label: c.Label, Asked: c.Asked, Dive: c.Dive, Size: c.Size, Owner: c.Owner,
		Filled: booked.Filled, Check: booked.Check}
	for _, was := range c.Changed {
		if was.AfterLock {
			out.ChangedFrom, out.ChangedLate = was.Was, was.At
			break
		}
	}
	return out
}

// fill notes that a cylinder was filled or topped up: its earlier readings are
// void, and its diver is asked to analyse again.
func (a *api) fill(c *call) {
	var f faults
	v, ok := c.readDocument(&f, true, typeJSON)
	if !ok {
		return
	}
	o := objectAt("", v, &f)
	at := pastMoment(o, "filled_at", c.now)
	o.close()
	id := roster.CylinderID(c.PathValue("cylinder"))
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		if _, cyl := t.Cylinder(id); cyl == nil || !cyl.Retired.IsZero() {
			return conversation.Change{}, roster.ErrNotFound
		}
		return conversation.Change{Filled: []roster.CylinderID{id}, FilledAt: at}, f.err()
	})
	if !ok {
		return
	}
	p, cyl := t.Cylinder(id)
	answer(c.w, http.StatusOK, a.cylinderOut(t, p, cyl, c.now))
}

// clockSkew is how far a shop's clock may be ahead.
const clockSkew = 5 * time.Minute

// pastMoment is when something happened: now when not given, not later, and
// not more than a week ago.
func pastMoment(o *object, name string, now time.Time) time.Time {
	at, ok := o.moment(name)
	switch {
	case !ok:
		return now
	case at.After(now.Add(clockSkew)):
		o.fault(name, "is in the future: a time up to now, %s, is accepted", now.UTC().Format(time.RFC3339))
	case at.Before(now.AddDate(0, 0, -7)):
		o.fault(name, "is more than a week ago")
	}
	return at
}
