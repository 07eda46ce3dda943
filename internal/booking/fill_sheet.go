package booking

import (
	"cmp"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"

	"time"
)

// Reader writes lines for who reads about a trip.
type Reader func(*roster.Trip) Words

// SheetOf is one fill list over several boats, in words: what changed since a
// list was locked on top, then what does not fit, then the cylinders by blend.
func SheetOf(trips []*roster.Trip, now time.Time, read Reader) papers.FillSheet {
	s := sheetMaker{now: now}
	for _, t := range trips {
		if t.CalledOff != nil {
			continue // nothing is filled for it
		}
		s.say = read(t)
		s.add(t)
	}
	out := s.FillSheet
	out.Settle = append(s.late, out.Settle...)
	slices.SortStableFunc(out.Blends, func(a, b papers.FillBlend) int { return cmp.Compare(a.Asked, b.Asked) })
	if s.say != nil {
		for i := range out.Blends {
			out.Blends[i].Count = s.total(len(out.Blends[i].Rows))
		}
		out.Total = s.total(s.cylinders)
	}
	return out
}

type sheetMaker struct {
	papers.FillSheet
	now       time.Time
	say       Words
	late      []string
	cylinders int
}

func (s *sheetMaker) total(n int) string {
	return s.say(message.Say("fills.total", message.Args{"count": message.Count(n)}))
}

func (s *sheetMaker) value(v message.Value) string {
	return s.say(message.Say("fills.value", message.Args{"value": v}))
}

func (s *sheetMaker) add(t *roster.Trip) {
	list := ListFills(t, s.now, s.say)
	s.cylinders += list.Total
	s.Open = s.Open || t.FillLocked.IsZero()
	for _, one := range list.Settle {
		text := t.Name + ": " + one.Text
		if one.At.IsZero() {
			s.Settle = append(s.Settle, text)
		} else {
			s.late = append(s.late, text)
		}
	}
	for _, p := range list.Divers {
		for _, c := range p.Cylinders {
			if c.Asked > 0 {
				s.addRow(t, p, c)
			}
		}
	}
}

func (s *sheetMaker) addRow(t *roster.Trip, diver DiverFills, f Fill) {
	_, c := t.Cylinder(f.ID)
	dive := t.Dives[f.Dive-1]
	row := papers.FillRow{Trip: t.ID, ID: f.ID, Boat: s.value(message.Clock(t.Departs, t.Zone)) + " " + t.Name,
		Diver:    diver.Name,
		Cylinder: s.value(Called(c)), Size: f.Size, Warn: !f.Fits || !f.ChangedLate.IsZero() || !f.AddedLate.IsZero(),
		Card: s.say(message.Say("fills.card."+string(diver.Card), nil)),
		Dive: s.say(message.Say("fills.dive", message.Args{"dive": message.Count(f.Dive), "site": message.Name(dive.Site),
			"depth": message.Planned(dive.Depth)}))}
	if f.Owner != "" {
		row.Owner = s.say(message.Say("fills.owner."+f.Owner, nil))
	}
	if diver.DepthLimit > 0 {
		row.Limit = s.value(message.Limit(gas.Depth{Value: diver.DepthLimit, Unit: t.Units}))
	}
	if !f.Filled.IsZero() {
		row.Filled = s.say(message.Say("desk.filled", message.Args{"at": message.Clock(f.Filled, t.Zone)}))
	}
	if r := shopReading(c); r != nil {
		row.Measured, row.Initials = s.value(message.Percent(r.Percent)), r.Initials
	}
	i := slices.IndexFunc(s.Blends, func(b papers.FillBlend) bool { return b.Asked == f.Asked })
	if i < 0 {
		i = len(s.Blends)
		s.Blends = append(s.Blends, papers.FillBlend{Asked: f.Asked, Blend: s.value(message.Blend(f.Asked))})
	}
	s.Blends[i].Rows = append(s.Blends[i].Rows, row)
}

// shopReading is the shop's newest own analysis since the last fill.
func shopReading(c *roster.Cylinder) *roster.Reading {
	for _, r := range slices.Backward(c.Readings) {
		if r.Entrant == gas.ByShop && r.Undone.IsZero() && !r.At.Before(c.Filled().At) {
			return r
		}
	}
	return nil
}
