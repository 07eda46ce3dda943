package reminders

import (
	"fmt"
	"strings"
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

var cronParser = cron.NewParser(cron.Minute | cron.Hour | cron.Dom | cron.Month | cron.Dow | cron.Descriptor)

// parseEvening reads a cron expression of five fields. A zone prefix is
// refused (the trip has a zone, and the library panics on a malformed one), and
// so is @every, which names no time of day.
func parseEvening(expression string) (*cron.SpecSchedule, error) {
	if strings.TrimSpace(expression) == "" {
		expression = DefaultEvening
	}
	if strings.Contains(expression, "TZ=") {
		return nil, fmt.Errorf("schedule %q: names a time zone; times are those of the trip's zone", expression)
	}
	s, err := cronParser.Parse(expression)
	if err != nil {
		return nil, fmt.Errorf("schedule %q: %w; accepted are five fields, minute hour day month weekday, as %q", expression, err, DefaultEvening)
	}
	spec, ok := s.(*cron.SpecSchedule)
	if !ok {
		return nil, fmt.Errorf("schedule %q: names no time of day; accepted are five fields, as %q", expression, DefaultEvening)
	}
	spec.Location = time.UTC // we ask it about what clocks show, and turn that into an instant ourselves
	return spec, nil
}

// CheckEvening tells what is wrong with the cron expression of the
// evening-before message; "" is DefaultEvening.
func CheckEvening(expression string) error {
	s, err := parseEvening(expression)
	if err != nil {
		return err
	}
	if s.Next(time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)).IsZero() {
		return fmt.Errorf("schedule %q: never comes", expression)
	}
	return nil
}

// eveningOf is when the evening-before message of a trip is due: the first
// time that its expression matches on the day before departure in the trip's
// zone, or on the nearest earlier day within a week.
func eveningOf(t *roster.Trip, zone *time.Location) (time.Time, bool) {
	spec, err := parseEvening(t.Evening)
	if err != nil {
		spec, _ = parseEvening(DefaultEvening)
	}
	y, m, d := t.Departs.In(zone).Date()
	for back := 1; back <= eveningSearch; back++ {
		day := time.Date(y, m, d-back, 0, 0, 0, 0, time.UTC)
		at := spec.Next(day.Add(-time.Second))
		if !at.IsZero() && at.Before(day.AddDate(0, 0, 1)) {
			return wall(at.Year(), at.Month(), at.Day(), at.Hour(), at.Minute(), zone), true
		}
	}
	return time.Time{}, false
}

// parseQuiet reads "22:00-06:00" into minutes of the day. "" is no quiet hours.
func parseQuiet(s string) (from, to int, err error) {
	if strings.TrimSpace(s) == "" {
		return 0, 0, nil
	}
	a, b, ok := strings.Cut(s, "-")
	from, errA := minuteOfDay(a)
	to, errB := minuteOfDay(b)
	if !ok || errA != nil || errB != nil {
		return 0, 0, fmt.Errorf("quiet hours %q: accepted is from-to, as 22:00-06:00, or nothing", s)
	}
	return from, to, nil
}

func minuteOfDay(s string) (int, error) {
	t, err := time.Parse("15:04", strings.TrimSpace(s))
	if err != nil {
		return 0, err
	}
	return t.Hour()*60 + t.Minute(), nil
}

// CheckQuiet tells what is wrong with quiet hours; "" is none.
func CheckQuiet(s string) error {
	_, _, err := parseQuiet(s)
	return err
}

// quietUntil tells whether clocks in zone show a quiet hour at now, and when
// it ends. Quiet hours that can't be read are none.
func quietUntil(quiet string, zone *time.Location, now time.Time) (time.Time, bool) {
	from, to, err := parseQuiet(quiet)
	if err != nil || from == to {
		return time.Time{}, false
	}
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
