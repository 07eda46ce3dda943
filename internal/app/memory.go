package app

import (
	"context"
	"os"
	"runtime/debug"
	runtimemetrics "runtime/metrics"
	"time"
)

// collectAt is the growth in per cent at which garbage is collected. Most of
// what one event allocates is gone with it, so that collecting at twice what is
// in use, as Go does by itself, is seldom worth it on a busy morning. There is no
// limit beside it: one that is reached makes the process collect all the time.
const collectAt = 400

// TuneMemory sets when garbage is collected, unless GOGC says so.
func TuneMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
}

// quietMinute is how much a process allocates in a minute in which nobody asks
// anything of it, at most, in bytes: a busy one allocates that in a second.
const quietMinute = 32 << 20

// giveBack gives memory back to the system after each quiet minute, until ctx ends:
// else an idle process would keep what its last busy one took.
func giveBack(ctx context.Context, free func()) {
	tick := time.NewTicker(time.Minute)
	defer tick.Stop()
	for was := allocated(); ; {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		is := allocated()
		if is-was < quietMinute {
			free()
		}
		was = is
	}
}

// allocated is how much the process has allocated so far, in bytes.
func allocated() uint64 {
	s := []runtimemetrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	runtimemetrics.Read(s)
	return s[0].Value.Uint64()
}
