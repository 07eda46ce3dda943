package app

import (
	"context"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

var kept []byte

// Memory is given back after a quiet minute, and not in a busy one.
func TestMemoryIsGivenBackWhenItIsQuiet(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		var given atomic.Int64
		go giveBack(ctx, func() { given.Add(1) })
		for i, busy := range []bool{false, true, false} {
			time.Sleep(time.Minute / 2)
			if busy {
				kept = make([]byte, 2*quietMinute)
			}
			time.Sleep(time.Minute / 2)
			synctest.Wait()
			if want := []int64{1, 1, 2}[i]; given.Load() != want {
				t.Errorf("after %d minutes: given back %d times, want %d", i+1, given.Load(), want)
			}
		}
		stop()
	})
}
