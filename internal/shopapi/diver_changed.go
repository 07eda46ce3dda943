package shopapi

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// changedPersonJSON is a person after a change, with what became of their
// cylinders and readings.
type changedPersonJSON struct {
	personJSON
	Changed []changedCylinderJSON `json:"changed_cylinders"`
}

// changedCylinderJSON is what a change did to a cylinder. No reading is ever
// lost: those of a changed cylinder are checked against the new request, those
// of one out of use stay in the record.
type changedCylinderJSON struct {
	ID       roster.CylinderID `json:"id"`
	Label    string            `json:"label,omitempty"`
	Change   string            `json:"change"` // "added", "changed" or "out-of-use"
	WasAsked gas.Percent       `json:"was_asked,omitzero"`
	WasDive  int               `json:"was_dive,omitempty"`
	Readings int               `json:"readings_kept"`
	Counting bool              `json:"readings_count"` // they count in the check still
}

// copies are the cylinders as they are now, whatever happens to them later.
func copies(list []*roster.Cylinder) []*roster.Cylinder {
	var out []*roster.Cylinder
	for _, c := range list {
		one := *c
		out = append(out, &one)
	}
	return out
}

// changedCylinders compares a person's cylinders in use before a change with
// those after it.
func changedCylinders(before []*roster.Cylinder, t *roster.Trip, p *roster.Person,
	now time.Time) []changedCylinderJSON {
	out := []changedCylinderJSON{}
	for _, c := range p.Cylinders {
		i := slices.IndexFunc(before, func(was *roster.Cylinder) bool { return was.ID == c.ID })
		one := changedCylinderJSON{ID: c.ID, Label: c.Label, Readings: len(c.Readings), Counting: c.Retired.IsZero() &&
			counting(t, c.ID, now) != nil}
		switch {
		case i < 0 && !c.Retired.IsZero():
			continue // out of use before
		case i < 0:
			one.Change = "added"
		case !c.Retired.IsZero():
			one.Change = "out-of-use"
		case before[i].Asked != c.Asked || before[i].Dive != c.Dive || before[i].Label != c.Label:
			one.Change, one.WasAsked, one.WasDive = "changed", before[i].Asked, before[i].Dive
		default:
			continue
		}
		out = append(out, one)
	}
	return out
}
