package e2e

import (
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"
)

// clockFile is the setting of the build with a clock that can be set: the file
// that says how far it is from the system's.
const clockFile = "TESTCLOCK_FILE"

// clock is the clock of this test's programs. The Bot API server has the right
// time.
type clock struct {
	t    *testing.T
	path string
	by   atomic.Int64
}

func newClock(t *testing.T) *clock {
	t.Helper()
	c := &clock{t: t, path: filepath.Join(t.TempDir(), "clock")}
	c.set(0)
	return c
}

func (c *clock) setting() string { return clockFile + "=" + c.path }

// set puts the clock that far from the system's. The file is replaced as a
// whole: the program may read it at any moment.
func (c *clock) set(by time.Duration) {
	c.t.Helper()
	c.by.Store(int64(by))
	next := c.path + ".next"
	if err := os.WriteFile(next, []byte(by.String()), 0o600); err != nil {
		c.t.Fatal(err)
	}
	if err := os.Rename(next, c.path); err != nil {
		c.t.Fatal(err)
	}
}

// step moves the clock.
func (c *clock) step(by time.Duration) {
	c.t.Helper()
	c.set(time.Duration(c.by.Load()) + by)
}
