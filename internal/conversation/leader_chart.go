package conversation

import (
	"cmp"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Chart is the current dive's cylinders against its depths, for a picture,
// those that need something first; it has no rows when every dive is signed
// off or nobody dives.
func Chart(trip *roster.Trip, now time.Time) message.Picture {
	t := newTurn(Input{Trip: trip, Now: now})
	b := t.board()
	d := trip.Dive(b.Dive)
	if d == nil {
		return message.Picture{}
	}
	p := message.Picture{Planned: d.Depth, Bottom: d.Bottom, Dark: dark(now, trip), Title: message.Say("chart.title", message.Args{
		"dive": message.Count(b.Dive), "site": message.Name(d.Site)})}
	for i := range b.People {
		pb := &b.People[i]
		if !pb.Active {
			continue
		}
		for _, c := range trip.Person(pb.Person).InUse() {
			if c.Dive == b.Dive {
				p.Rows = append(p.Rows, t.chartRow(pb, c))
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

func (t *turn) chartRow(pb *roster.PersonBoard, c *roster.Cylinder) message.PictureRow {
	row := message.PictureRow{Name: t.nameOf(pb.Person), Cylinder: cylinderName(c)}
	if n := numbersOf(pb, c.ID); n != nil {
		row.Reading, row.MOD, row.Fit = shown(c, n), n.Label, fitOf(pb.Verdict, c.ID)
	}
	return row
}

// fitOf is what the depth rules found for a cylinder, so that the chart never
// says anything else than the verdict.
func fitOf(v gas.Verdict, c roster.CylinderID) message.Fit {
	fit := message.FitGood
	for _, f := range v.Findings {
		if f.Cylinder != string(c) {
			continue
		}
		switch f.Rule {
		case gas.RuleDepth, gas.RuleBottom, gas.RuleContingency:
		default:
			continue
		}
		switch {
		case f.Severity == gas.Stop:
			return message.FitDeep
		case f.Severity == gas.Limits:
			fit = message.FitLimit
		}
	}
	return fit
}
