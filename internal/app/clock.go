//go:build !testclock

package app

import "time"

// clock is what the service lives by: the system's clock. A build for tests has
// one that can be set, see clock_settable.go.
func clock() time.Time { return time.Now() }
