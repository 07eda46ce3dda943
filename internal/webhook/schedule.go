package webhook

import (
	"time"

	"gasmuster/internal/roster"
)

// day is how long an event that fails is tried, and how long an endpoint may
// answer nothing before it is disabled.
const day = 24 * time.Hour

// waits are the times between attempts; the last repeats until the day is over.
var waits = []time.Duration{5 * time.Second, 30 * time.Second, 2 * time.Minute, 10 * time.Minute, 30 * time.Minute,
	time.Hour}

// wait is how long to wait after attempts failed before this one failed too:
// longer each time, up to a fifth more or less as the dice (in [0, 1)) fall, so
// that what failed together does not come back together. The receiver may ask
// for more, up to an hour.
func wait(attempts int, asked time.Duration, dice float64) time.Duration {
	d := waits[max(0, min(attempts, len(waits)-1))]
	d = time.Duration(float64(d) * (0.8 + 0.4*dice))
	return max(d, min(asked, time.Hour))
}

// givenUp tells whether the event has been tried for a day.
func givenUp(n roster.News, now time.Time) bool {
	return !n.Since.IsZero() && now.Sub(n.Since) >= day
}
