package reminders

import (
	"testing"
	"time"
	_ "time/tzdata" // the same zones on every machine
)

// The transitions are those of the IANA time zone database.
func TestWall(t *testing.T) {
	tests := []struct {
		name, zone, clock, want string
	}{
		{"an ordinary time", "Europe/Berlin", "2026-06-01 18:00", "2026-06-01T16:00:00Z"},
		{"spring: does not exist, first instant after", "Europe/Berlin", "2026-03-29 02:30", "2026-03-29T01:00:00Z"},
		{"spring: the last that exists before", "Europe/Berlin", "2026-03-29 01:59", "2026-03-29T00:59:00Z"},
		{"spring: the first that exists after", "Europe/Berlin", "2026-03-29 03:00", "2026-03-29T01:00:00Z"},
		{"autumn: twice, the first", "Europe/Berlin", "2026-10-25 02:30", "2026-10-25T00:30:00Z"},
		{"autumn: before", "Europe/Berlin", "2026-10-25 01:59", "2026-10-24T23:59:00Z"},
		{"autumn: after", "Europe/Berlin", "2026-10-25 03:00", "2026-10-25T02:00:00Z"},
		{"midnight does not exist", "Africa/Cairo", "2026-04-24 00:00", "2026-04-23T22:00:00Z"},
		{"late evening twice", "Africa/Cairo", "2026-10-29 23:30", "2026-10-29T20:30:00Z"},
		{"half an hour of summer time, does not exist", "Australia/Lord_Howe", "2026-10-04 02:15", "2026-10-03T15:30:00Z"},
		{"half an hour of summer time, twice", "Australia/Lord_Howe", "2026-04-05 01:45", "2026-04-04T14:45:00Z"},
		{"a day that does not exist", "Pacific/Apia", "2011-12-30 18:00", "2011-12-30T10:00:00Z"},
		{"the day before it", "Pacific/Apia", "2011-12-29 23:59", "2011-12-30T09:59:00Z"},
		{"America, spring", "America/New_York", "2026-03-08 02:30", "2026-03-08T07:00:00Z"},
		{"America, autumn", "America/New_York", "2026-11-01 01:30", "2026-11-01T05:30:00Z"},
		{"America, midnight does not exist", "America/Sao_Paulo", "2018-11-04 00:00", "2018-11-04T03:00:00Z"},
		{"summer time is the standard", "Europe/Dublin", "2026-10-25 01:30", "2026-10-25T00:30:00Z"},
		{"Azores, at midnight", "Atlantic/Azores", "2026-03-29 00:30", "2026-03-29T01:00:00Z"},
		{"never changes", "Indian/Maldives", "2026-03-29 02:30", "2026-03-28T21:30:00Z"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c, err := time.Parse("2006-01-02 15:04", tt.clock)
			if err != nil {
				t.Fatal(err)
			}
			got := wall(c.Year(), c.Month(), c.Day(), c.Hour(), c.Minute(), zone(t, tt.zone))
			if got.UTC().Format(time.RFC3339) != tt.want {
				t.Errorf("got %s, want %s", got.UTC().Format(time.RFC3339), tt.want)
			}
		})
	}
}

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	l, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Through a day on which the clocks change, a later wall time is never an
// earlier instant, and what the clocks show is what was wanted or comes right
// after the jump.
func TestWallIsMonotone(t *testing.T) {
	for _, day := range []struct {
		zone string
		y    int
		m    time.Month
		d    int
	}{{"Europe/Berlin", 2026, 3, 29}, {"Europe/Berlin", 2026, 10, 25}, {"Africa/Cairo", 2026, 4, 24},
		{"Africa/Cairo", 2026, 10, 29},
		{"Australia/Lord_Howe", 2026, 10, 4}, {"Australia/Lord_Howe", 2026, 4, 5}, {"Pacific/Apia", 2011, 12, 30},
		{"America/New_York", 2026, 11, 1},
		{"America/St_Johns", 2026, 3, 8}, {"Asia/Kathmandu", 1986, 1, 1}, {"Antarctica/Troll", 2026, 3, 29},
		{"Antarctica/Troll", 2026, 10, 25}} {
		z := zone(t, day.zone)
		var last time.Time
		for minute := range 24 * 60 {
			got := wall(day.y, day.m, day.d, minute/60, minute%60, z)
			want := time.Date(day.y, day.m, day.d, minute/60, minute%60, 0, 0, time.UTC)
			if got.Before(last) {
				t.Errorf("%s %s: %s lies before the minute before it, %s", day.zone, want, got, last)
			}
			if shown(got) != want && !(shown(got).After(want) && shown(got.Add(-1)).Before(want.Add(1))) {
				t.Errorf("%s %s: clocks show %s", day.zone, want, shown(got))
			}
			if earlier := got.Add(-30 * time.Minute); shown(earlier) == want {
				t.Errorf("%s %s: %s is not the first", day.zone, want, got)
			}
			last = got
		}
	}
}

func TestQuietUntil(t *testing.T) {
	tests := []struct{ name, quiet, zone, now, want string }{
		{"before midnight", "22:00-06:00", "Europe/Berlin", "2026-06-01T21:00:00Z", "2026-06-02T04:00:00Z"},
		{"after midnight", "22:00-06:00", "Europe/Berlin", "2026-06-02T01:00:00Z", "2026-06-02T04:00:00Z"},
		{"the first minute", "22:00-06:00", "Europe/Berlin", "2026-06-01T20:00:00Z", "2026-06-02T04:00:00Z"},
		{"the end is loud", "22:00-06:00", "Europe/Berlin", "2026-06-02T04:00:00Z", ""},
		{"by day", "22:00-06:00", "Europe/Berlin", "2026-06-01T12:00:00Z", ""},
		{"within one day", "13:00-15:00", "Europe/Berlin", "2026-06-01T12:00:00Z", "2026-06-01T13:00:00Z"},
		{"none", "", "Europe/Berlin", "2026-06-01T23:00:00Z", ""},
		{"from is to", "22:00-22:00", "Europe/Berlin", "2026-06-01T23:00:00Z", ""},
		{"the end does not exist", "22:00-02:30", "Europe/Berlin", "2026-03-29T00:30:00Z", "2026-03-29T01:00:00Z"},
		{"the end comes twice: the first", "22:00-02:30", "Europe/Berlin", "2026-10-25T00:10:00Z", "2026-10-25T00:30:00Z"},
		{"and the second time is loud", "22:00-02:30", "Europe/Berlin", "2026-10-25T01:10:00Z", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			end, quiet := quietUntil(tt.quiet, zone(t, tt.zone), instant(t, tt.now))
			got := ""
			if quiet {
				got = end.UTC().Format(time.RFC3339)
			}
			if got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

func instant(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}
