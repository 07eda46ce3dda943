package roster

import (
	"errors"
	"fmt"
	"strings"
	"time"
	_ "time/tzdata" // a zone is valid or not whatever the machine has installed

	"github.com/robfig/cron/v3"
)

// Schedule reads the expression of the evening-before message: five fields, or
// @daily and the like. Zones inside the expression are refused, since the
// trip's own zone counts, and so are intervals (@every), which name no time of
// day, and expressions that never come true.
func Schedule(expr string) (cron.Schedule, error) {
	if strings.HasPrefix(expr, "CRON_TZ=") || strings.HasPrefix(expr, "TZ=") {
		return nil, errors.New("has a time zone; accepted is an expression without one, in the trip's zone")
	}
	if strings.HasPrefix(expr, "@every") {
		return nil, errors.New("is an interval; accepted are five fields that name a time of day, such as 0 18 * * *")
	}
	s, err := parseCron(expr)
	if err != nil {
		return nil, fmt.Errorf("is no cron expression; accepted are five fields (minute hour day month weekday) such as "+
			"0 18 * * *: %w", err)
	}
	if s.Next(time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)).IsZero() {
		return nil, errors.New("never comes true; accepted is an expression with a day that exists, such as 0 18 * * *")
	}
	return s, nil
}

// parseCron guards the parser, which panics on some input.
func parseCron(expr string) (s cron.Schedule, err error) {
	defer func() {
		if recover() != nil {
			s, err = nil, errors.New("can't be read")
		}
	}()
	return cron.ParseStandard(expr)
}

// Quiet reads quiet hours, "22:00-06:00": both as time of day since midnight.
// They may run over midnight. "none" or "" is none: both are zero.
func Quiet(s string) (from, to time.Duration, err error) {
	if s == "" || s == "none" {
		return 0, 0, nil
	}
	a, b, ok := strings.Cut(s, "-")
	from, errFrom := timeOfDay(a)
	to, errTo := timeOfDay(b)
	if !ok || errFrom != nil || errTo != nil || from == to {
		return 0, 0, errors.New("is no range of hours; accepted are two times of day such as 22:00-06:00, or none")
	}
	return from, to, nil
}

func timeOfDay(s string) (time.Duration, error) {
	t, err := time.Parse("15:04", s)
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute, err
}

// Zone loads a time zone by its IANA name, such as Atlantic/Azores. The
// server's own zone ("Local", ""), offsets and abbreviations are refused: they
// don't say when clocks change.
func Zone(name string) (*time.Location, error) {
	area, _, slash := strings.Cut(name, "/")
	switch {
	case name == "UTC", name == "Etc/UTC":
	case !slash, area == "Etc", area == "posix", area == "right", area == "SystemV":
		return nil, errors.New("is no IANA time zone; accepted is a name such as Atlantic/Azores")
	}
	loc, err := time.LoadLocation(name)
	if err != nil {
		return nil, errors.New("is no IANA time zone; accepted is a name such as Atlantic/Azores")
	}
	return loc, nil
}
