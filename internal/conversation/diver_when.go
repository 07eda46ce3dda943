package conversation

import (
	"fmt"
	"time"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/roster"
)

// "Measured at 7:40, 32.1": the reading was taken then. Only a time of the last
// few hours is taken; of any other nobody knows which day it is of.

// longestAgo is how long before the message a reading may be said to be taken.
const longestAgo = 3 * time.Hour

// saidTime is the instant of a time of day that was said, on a face of twelve
// hours or of twenty-four; false when there is none in the last hours.
func (t *turn) saidTime(c reply.Clock) (time.Time, bool) {
	zone, err := roster.Zone(t.trip.Zone)
	if err != nil {
		return time.Time{}, false
	}
	sent := t.sent()
	for _, days := range []int{0, -1} {
		day := sent.In(zone).AddDate(0, 0, days)
		for _, hour := range []int{c.Hour + 12, c.Hour} {
			at := time.Date(day.Year(), day.Month(), day.Day(), hour, c.Minute, 0, 0, zone)
			if ago := sent.Sub(at); hour < 24 && ago >= 0 && ago <= longestAgo {
				return at.UTC(), true
			}
		}
	}
	return time.Time{}, false
}

// timely asks about readings with a time of day that can't be placed, or that
// somebody says of another's cylinder: those have a command with a time.
func (t *turn) timely(r reply.Result) reply.Result {
	if _, ok := t.saidTime(r.Clock); !r.Clock.Said || len(r.Readings) == 0 || ok && !t.onlyWatches() {
		return r
	}
	said := fmt.Sprintf("%d:%02d", r.Clock.Hour, r.Clock.Minute)
	return reply.Result{Unclear: []reply.Doubt{{Text: said, Why: reply.OtherUnit}}}
}
