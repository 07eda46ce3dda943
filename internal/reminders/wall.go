package reminders

import (
	"sync"
	"time"

	"github.com/robfig/cron/v3"

	"gasmuster/internal/roster"
)

// DefaultEvening is when the evening-before message goes out on a trip that
// says nothing: 18:00.
const DefaultEvening = "0 18 * * *"

// eveningSearch is how many days before departure an expression may match
// that does not match the day before: "0 18 * * 5" tells on Friday about
// Sunday's trip.
const eveningSearch = 7

var zones sync.Map // name -> *time.Location; LoadLocation reads a file each time

// location is the zone of that IANA name, UTC when there is none: a trip's
// zone was checked when the trip came in.
func location(name string) *time.Location {
	if l, ok := zones.Load(name); ok {
		return l.(*time.Location)
	}
	l, err := time.LoadLocation(name)
	if err != nil {
		return time.UTC
	}
	zones.Store(name, l)
	return l
}

// wall is the instant at which clocks in zone show that date and time. A time
// that does not exist (the clocks jump over it) is the first instant after the
// jump; one that comes twice is the first of the two. Clock alone has neither:
// time.Date may give any of them.
func wall(year int, month time.Month, day, hour, minute int, zone *time.Location) time.Time {
	t := time.Date(year, month, day, hour, minute, 0, 0, zone)
	want := time.Date(year, month, day, hour, minute, 0, 0, time.UTC)
	start, end := t.ZoneBounds()
	if shown(t) != want {
		for _, jump := range []time.Time{start, end} {
			if !jump.IsZero() && !shown(jump.Add(-1)).After(want) && shown(jump).After(want) {
				return jump
			}
		}
		return t
	}
	if !start.IsZero() {
		if first := t.Add(shown(t).Sub(t) - shown(start.Add(-1)).Sub(start.Add(-1))); first.Before(start) {
			return first
		}
	}
	return t
}

// shown is what the clocks show at t, as if it were UTC.
func shown(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), time.UTC)
}

// specs are the expressions read so far: shops use a few, and reading one costs
// more than all the rest of a plan. There is room for so many: then they are
// read anew.
var specs = struct {
	sync.Mutex
	read map[string]*cron.SpecSchedule
}{read: map[string]*cron.SpecSchedule{}}

const mostSpecs = 256

// spec is readSpec from memory where it can be.
func spec(expression string) *cron.SpecSchedule {
	specs.Lock()
	defer specs.Unlock()
	if s := specs.read[expression]; s != nil {
		return s
	}
	if len(specs.read) >= mostSpecs {
		clear(specs.read)
	}
	s := readSpec(expression)
	specs.read[expression] = s
	return s
}

// readSpec is the trip's expression as it matches what clocks show: we turn that
// into an instant ourselves. One that can't be read (it was checked when it
// came in) is DefaultEvening.
func readSpec(expression string) *cron.SpecSchedule {
	for _, e := range []string{expression, DefaultEvening} {
		if parsed, err := roster.Schedule(e); err == nil {
			if s, ok := parsed.(*cron.SpecSchedule); ok {
				s.Location = time.UTC
				return s
			}
		}
	}
	panic("reminders: DefaultEvening can't be read")
}

// eveningOf is when the evening-before message of a trip is due: the first
// time that its expression matches on the day before departure in the trip's
// zone, or on the nearest earlier day within a week.
func eveningOf(t *roster.Trip, zone *time.Location) (time.Time, bool) {
	evening := spec(t.Evening)
	y, m, d := t.Departs.In(zone).Date()
	for back := 1; back <= eveningSearch; back++ {
		day := time.Date(y, m, d-back, 0, 0, 0, 0, time.UTC)
		at := evening.Next(day.Add(-time.Second))
		if !at.IsZero() && at.Before(day.AddDate(0, 0, 1)) {
			return wall(at.Year(), at.Month(), at.Day(), at.Hour(), at.Minute(), zone), true
		}
	}
	return time.Time{}, false
}

// quietUntil tells whether clocks in zone show a quiet hour at now, and when
// it ends. Quiet hours that can't be read are none.
func quietUntil(quiet string, zone *time.Location, now time.Time) (time.Time, bool) {
	start, stop, err := roster.Quiet(quiet)
	if err != nil || start == stop {
		return time.Time{}, false
	}
	from, to := int(start.Minutes()), int(stop.Minutes())
	local := now.In(zone)
	minute := local.Hour()*60 + local.Minute()
	inside := minute >= from && minute < to
	if from > to {
		inside = minute >= from || minute < to
	}
	if !inside {
		return time.Time{}, false
	}
	y, m, d := local.Date()
	if minute >= to {
		d++
	}
	end := wall(y, m, d, to/60, to%60, zone)
	if !end.After(now) { // the hour comes twice today and the first end has passed
		return time.Time{}, false
	}
	return end, true
}
