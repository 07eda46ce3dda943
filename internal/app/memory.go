package app

import (
	"os"
	"runtime/debug"
)

// collectAt is the growth in per cent at which garbage is collected. Most of
// what one event allocates is gone with it, so that collecting at twice what is
// in use, as Go does by itself, is seldom worth it on a busy morning. More than
// this would not be given back between two ticks of an idle process, which is to
// stay below 40 MB. There is no limit beside it: one that is reached makes the
// process collect all the time.
const collectAt = 200

// TuneMemory sets when garbage is collected, unless GOGC says so.
func TuneMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
}
