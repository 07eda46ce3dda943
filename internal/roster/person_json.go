package roster

import (
	"slices"

	"gasmuster/internal/asjson"
	"gasmuster/internal/gas"
)

// AppendJSON appends p as they are stored: byte for byte what encoding/json
// makes of them, at a fraction of the cost, since each event stores a person or
// more. A field that is added to Person, or to what a person is made of, is
// added here. It is an error when a number is none or infinite, or a year has
// more than four digits.
func (p *Person) AppendJSON(b []byte) (_ []byte, err error) {
	defer asjson.Catch(&err)
	b = append(slices.Grow(b, p.roomAsJSON()), '{')
	b = asjson.String(asjson.Field(b, "id"), string(p.ID))
	b = asjson.String(asjson.Field(b, "name"), p.Name)
	b = asjson.OptTrue(b, "leader", p.Leader)
	b = asjson.String(asjson.Field(b, "card"), string(p.Card))
	b = appendDepth(b, "depth_limit", p.DepthLimit)
	b = appendDepth(b, "set_depth", p.SetDepth)
	b = asjson.OptString(b, "set_by", p.SetBy)
	b = asjson.OptString(b, "set_why", p.SetWhy)
	b = asjson.OptTime(b, "set_at", p.SetAt)
	b = asjson.OptString(b, "team", p.Team)
	b = asjson.OptString(b, "language", p.Language)
	b = asjson.OptString(b, "units", p.Units)
	b = appendList(b, "addresses", p.Addresses, Address.appendJSON)
	b = asjson.Int(asjson.Field(b, "generation"), p.Generation)
	b = asjson.OptTime(b, "joined", p.Joined)
	b = asjson.OptTrue(b, "only_trip", p.OnlyTrip)
	b = asjson.OptTime(b, "left", p.Left)
	b = p.Out.appendField(b)
	b = asjson.OptTrue(b, "erased", p.Erased)
	b = asjson.OptString(b, "unreachable", p.Unreachable)
	b = asjson.OptTime(b, "before_asked", p.BeforeAsked)
	b = asjson.OptString(b, "dived_before", p.DivedBefore)
	b = asjson.OptString(b, "analyser", p.Analyser)
	b = p.Told.appendField(b)
	b = asjson.OptInt(b, "noted", p.Noted)
	b = appendList(b, "cylinders", p.Cylinders, (*Cylinder).appendJSON)
	return append(b, '}'), nil
}

// roomAsJSON is about how many bytes p takes, rather more than less, so that
// the buffer seldom grows on the way.
func (p *Person) roomAsJSON() int {
	room := 320
	for _, c := range p.Cylinders {
		if c != nil {
			room += 96 + 224*len(c.Readings)
		}
	}
	return room
}

func (t Told) appendField(b []byte) []byte {
	if t == (Told{}) {
		return b
	}
	b = append(asjson.Field(b, "told"), '{')
	b = asjson.String(asjson.Field(b, "status"), t.Status.String())
	b = appendDepth(b, "max_depth", t.MaxDepth)
	b = asjson.OptFloat(b, "max_minutes", t.MaxMinutes)
	b = asjson.OptTime(b, "at", t.At)
	return append(b, '}')
}

func (o *Out) appendField(b []byte) []byte {
	if o == nil {
		return b
	}
	b = append(asjson.Field(b, "out"), '{')
	b = asjson.String(asjson.Field(b, "by"), string(o.By))
	b = asjson.Time(asjson.Field(b, "at"), o.At)
	b = asjson.String(asjson.Field(b, "reason"), o.Reason)
	return append(b, '}')
}

func (c *Cylinder) appendJSON(b []byte) []byte {
	if c == nil {
		return append(b, "null"...)
	}
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "id"), string(c.ID))
	b = asjson.OptString(b, "label", c.Label)
	b = asjson.OptFloat(b, "asked", c.Asked)
	b = asjson.Int(asjson.Field(b, "dive"), c.Dive)
	b = asjson.OptString(b, "size", c.Size)
	b = asjson.OptString(b, "owner", c.Owner)
	b = appendList(b, "fills", c.Fills, Fill.appendJSON)
	b = appendList(b, "readings", c.Readings, (*Reading).appendJSON)
	b = c.Attended.appendField(b)
	b = c.CO.appendField(b)
	b = c.Replanned.appendField(b)
	b = appendList(b, "changed", c.Changed, Asked.appendJSON)
	b = asjson.OptTime(b, "added", c.Added)
	b = asjson.OptTime(b, "retired", c.Retired)
	return append(b, '}')
}

func (f Fill) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.Time(asjson.Field(b, "at"), f.At)
	b = asjson.OptString(b, "by", f.By)
	return append(b, '}')
}

func (r *Reading) appendJSON(b []byte) []byte {
	if r == nil {
		return append(b, "null"...)
	}
	b = append(b, '{')
	b = asjson.String(asjson.Field(b, "id"), string(r.ID))
	b = asjson.Float(asjson.Field(b, "percent"), float64(r.Percent))
	b = asjson.Time(asjson.Field(b, "at"), r.At)
	b = asjson.OptString(b, "ref", r.Ref)
	b = asjson.OptString(b, "by", r.By)
	b = asjson.String(asjson.Field(b, "entrant"), string(r.Entrant))
	b = asjson.String(asjson.Field(b, "stage"), r.Stage.String())
	b = asjson.Int(asjson.Field(b, "dive"), r.Dive)
	b = asjson.OptString(b, "analyser", r.Analyser)
	b = asjson.OptFloat(b, "air_point", r.AirPoint)
	b = asjson.OptString(b, "shown", r.Shown)
	b = asjson.OptTrue(b, "hurried", r.Hurried)
	b = asjson.OptTrue(b, "calibrated", r.Calibrated)
	b = asjson.OptString(b, "replaces", r.Replaces)
	b = asjson.OptTime(b, "undone", r.Undone)
	b = asjson.OptString(b, "undone_by", r.UndoneBy)
	b = asjson.OptString(b, "replaced_by", r.ReplacedBy)
	b = asjson.OptString(b, "moved_to", r.MovedTo)
	b = asjson.OptTime(b, "taken", r.Taken)
	b = asjson.OptTime(b, "void", r.Void)
	return append(b, '}')
}

func (a Attended) appendField(b []byte) []byte {
	if a == (Attended{}) {
		return b
	}
	b = append(asjson.Field(b, "attended"), '{')
	b = asjson.OptString(b, "answer", a.Answer)
	b = asjson.OptTime(b, "at", a.At)
	b = asjson.OptInt(b, "dive", a.Dive)
	return append(b, '}')
}

func (m *Monoxide) appendField(b []byte) []byte {
	if m == nil {
		return b
	}
	b = append(asjson.Field(b, "co"), '{')
	b = asjson.Float(asjson.Field(b, "ppm"), m.PPM)
	b = asjson.OptString(b, "by", m.By)
	b = asjson.Time(asjson.Field(b, "at"), m.At)
	return append(b, '}')
}

func (r *Replanned) appendField(b []byte) []byte {
	if r == nil {
		return b
	}
	b = append(asjson.Field(b, "replanned"), '{')
	b = asjson.String(asjson.Field(b, "by"), string(r.By))
	b = asjson.Time(asjson.Field(b, "at"), r.At)
	return append(b, '}')
}

func (a Asked) appendJSON(b []byte) []byte {
	b = append(b, '{')
	b = asjson.Float(asjson.Field(b, "was"), float64(a.Was))
	b = asjson.String(asjson.Field(b, "by"), string(a.By))
	b = asjson.Time(asjson.Field(b, "at"), a.At)
	b = asjson.OptTrue(b, "after_lock", a.AfterLock)
	return append(b, '}')
}

// appendDepth appends a field that is left out for the zero depth.
func appendDepth(b []byte, name string, d gas.Depth) []byte {
	if d == (gas.Depth{}) {
		return b
	}
	b = append(asjson.Field(b, name), '{')
	b = asjson.Float(asjson.Field(b, "value"), d.Value)
	b = asjson.String(asjson.Field(b, "unit"), d.Unit.String())
	return append(b, '}')
}

// appendList appends a field that is left out when the list is empty.
func appendList[T any](b []byte, name string, list []T, one func(T, []byte) []byte) []byte {
	if len(list) == 0 {
		return b
	}
	b = append(asjson.Field(b, name), '[')
	for i, v := range list {
		b = one(v, asjson.Comma(b, i))
	}
	return append(b, ']')
}
