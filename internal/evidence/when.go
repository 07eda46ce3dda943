package evidence

import (
	"time"

	"gasmuster/internal/gas"
)

// 2. When. A reading is no older than the policy says at the later of the
// planned start and now. Once the boat check is open it was taken since, or a
// little before, or it stayed with its diver.

const (
	boatFresh = 4 * time.Hour    // once the boat check is open
	boatEarly = 30 * time.Minute // before the first opening
)

// when tells whether a reading counts by its age, or why not, and until when that
// is so if nothing happens.
func (c *Case) when(r *Reading) (why gas.Absent, until time.Time, ok bool) {
	until = r.Taken.Add(c.limit())
	if c.at().After(until) {
		if len(c.Opened) > 0 && !c.since(r) {
			return gas.AbsentBoatReading, time.Time{}, false
		}
		return gas.AbsentStale, time.Time{}, false
	}
	if len(c.Opened) == 0 || c.since(r) {
		return 0, until, true
	}
	switch kept := c.kept(); {
	case c.All:
		return gas.AbsentBoatReading, until, false
	case kept.IsZero():
		return gas.AbsentBoatQuestion, until, false
	case c.at().After(kept.At.Add(boatFresh)):
		return gas.AbsentBoatReading, until, false
	default:
		return 0, earlier(until, kept.At.Add(boatFresh)), true
	}
}

// limit is how old a reading may be: both limits hold once the check is open,
// so that opening it makes nothing fresh.
func (c *Case) limit() time.Duration {
	if len(c.Opened) > 0 {
		return min(c.FreshFor, boatFresh)
	}
	return c.FreshFor
}

// since tells whether a reading was taken since the boat check was opened last,
// or shortly before it was opened for the first time.
func (c *Case) since(r *Reading) bool {
	last := c.Opened[len(c.Opened)-1]
	if len(c.Opened) == 1 && !r.Taken.Before(last.At.Add(-boatEarly)) {
		return true
	}
	return last.Before(r.moment())
}

// kept is the "stayed with me" that was said since the last opening.
func (c *Case) kept() Moment {
	if c.Kept.IsZero() || c.Kept.Nth < c.Opened[len(c.Opened)-1].Nth {
		return Moment{}
	}
	return c.Kept
}

// used tells whether a dive with the cylinder was dived since the reading.
func (c *Case) used(r *Reading) bool { return r.moment().Before(c.Used) }

func (c *Case) usedAsKnown(r *Reading) bool { return r.moment().Before(c.UsedAsKnown) }

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
