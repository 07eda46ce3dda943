package app

import (
	"os"
	"runtime/debug"
)

// Most of what one event allocates is gone with it, so that collecting at twice
// what is in use, as Go does by itself, is seldom worth it on a busy morning.
// More than this would not be given back between two ticks of an idle process,
// which is to stay below 40 MB. Above the limit it collects as often as it takes.
const (
	collectAt   = 200 // per cent of growth
	memoryLimit = 256 << 20
)

// TuneMemory sets when garbage is collected, unless GOGC or GOMEMLIMIT say so.
func TuneMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}
