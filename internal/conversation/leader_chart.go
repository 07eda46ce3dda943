package conversation

import (
	"cmp"
	"slices"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Chart is a dive's cylinders against its depths, for a picture, those that
// need something first; dive 0 is the first that is neither signed nor dived. It
// has no rows when nobody dives.
func Chart(trip *roster.Trip, dive int, now time.Time) message.Picture {
	t := newTurn(Input{Trip: trip, Now: now})
	if trip.Dive(dive) == nil {
		dive = t.dive()
	}
	b, d := t.board(dive), trip.Dive(dive)
	if d == nil {
		return message.Picture{}
	}
	p := message.Picture{Planned: d.Depth, Bottom: d.Bottom, Dark: dark(now, trip),
		Title: message.Say("chart.title", message.Args{
			"dive": message.Count(b.Dive), "site": message.Name(d.Site)})}
	for i := range b.People {
		cl := &b.People[i]
		if !cl.Active {
			continue
		}
		for _, c := range trip.Person(cl.Person).InUse() {
			if c.Dive == b.Dive {
				p.Rows = append(p.Rows, t.chartRow(cl, c))
			}
		}
	}
	slices.SortStableFunc(p.Rows, func(x, y message.PictureRow) int {
		return cmp.Compare(slices.Index(message.Fits, x.Fit), slices.Index(message.Fits, y.Fit))
	})
	return p
}

// dark tells whether it is night where the trip is: a white picture would
// blind whoever is about to dive.
func dark(now time.Time, trip *roster.Trip) bool {
	zone, err := roster.Zone(trip.Zone)
	if err != nil {
		return false
	}
	h := now.In(zone).Hour()
	return h >= 20 || h < 6
}

// chartRow is one cylinder: it says nothing else than its diver's clearance.
func (t *turn) chartRow(cl *roster.Clearance, c *roster.Cylinder) message.PictureRow {
	row := message.PictureRow{Name: t.nameOf(cl.Person), Cylinder: cylinderName(c), Fit: message.FitOf(cl), Max: cl.Max}
	if n := numbersFor(cl, c.ID); n != nil {
		row.Reading = t.shownOf(c, n)
	}
	return row
}
