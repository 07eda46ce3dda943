package roster

import (
	"slices"
	"time"

	"gasmuster/internal/evidence"
)

// seriesFewest is of how many cylinders the shop's analyses have to be off the same way,
// against their divers', to be off as a series.
const seriesFewest = 3

// SeriesOff are the shop's analyses that are off the same way against their
// divers' last readings; nil when there are fewer than three cylinders of them. A
// cylinder that stands in several places is one.
func (t *Trip) SeriesOff(now time.Time) []ReadingID {
	l := t.look(now)
	var rich, lean series
	seen := map[*physical]bool{}
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			ph := l.physical(p, c)
			if seen[ph] {
				continue
			}
			seen[ph] = true
			k := l.question(p, c, c.Dive, ph)
			richer, leaner := evidence.ShopOff(&ph.all, &k)
			rich.add(richer)
			lean.add(leaner)
		}
	}
	return append(rich.off(), lean.off()...)
}

// series are analyses that are off the same way.
type series struct {
	cylinders int
	readings  []ReadingID
}

func (s *series) add(of []string) {
	s.cylinders += min(len(of), 1)
	for _, id := range of {
		s.readings = append(s.readings, ReadingID(id))
	}
}

func (s *series) off() []ReadingID {
	if s.cylinders < seriesFewest {
		return nil
	}
	return s.readings
}

// SetAsideSeries sets the shop's analyses that are off the same way aside, by a
// leader: they are no longer compared. It returns false when there is no series, or
// it was set aside before.
func (d *Draft) SetAsideSeries(by PersonID, now time.Time) bool {
	series := slices.DeleteFunc(d.SeriesOff(now), func(id ReadingID) bool {
		_, r := d.Reading(id)
		return r.Aside != ""
	})
	if len(series) == 0 || !d.leads(by) {
		return false
	}
	at := d.moment(now)
	for _, id := range series {
		_, r := d.EditReading(id)
		r.Aside, r.AsideAt = by, at
		d.act(now, by, VerbSeriesAside, string(id), "", "percent", percentText(r.Percent))
	}
	return true
}
