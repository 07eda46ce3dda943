//go:build testclock

package app

import (
	"fmt"
	"os"
	"strings"
	"time"
)

// clock is the system's clock plus what stands in the file that TESTCLOCK_FILE
// names ("-1h", "25h30m"), read at every look, so that a test can set the clock
// of a running process. Unlike time.Now it carries no monotonic reading: where a
// real process would still measure a span rightly, this one can't. What can't be
// read ends the process, for a test with the wrong clock proves nothing.
func clock() time.Time {
	raw, err := os.ReadFile(os.Getenv("TESTCLOCK_FILE"))
	if err != nil {
		panic(fmt.Sprintf("test clock: %v", err))
	}
	by, err := time.ParseDuration(strings.TrimSpace(string(raw)))
	if err != nil {
		panic(fmt.Sprintf("test clock: %v", err))
	}
	return time.Now().Round(0).Add(by)
}
