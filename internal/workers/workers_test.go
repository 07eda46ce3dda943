package workers

import (
	"runtime"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

// Jobs that come one after the other share a goroutine, which ends when none
// comes any more; jobs at the same moment have one each.
func TestGoroutinesStayForTheNextJob(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p, before := New(), runtime.NumGoroutine()
		// One that has ended is counted for a moment longer.
		counted := func(want int) int {
			n := runtime.NumGoroutine() - before
			for i := 0; n != want && i < 1_000_000; i++ {
				runtime.Gosched()
				n = runtime.NumGoroutine() - before
			}
			return n
		}
		for range 10 {
			p.Go(func() {})
			synctest.Wait()
		}
		if n := counted(1); n != 1 {
			t.Errorf("ten jobs in turn: %d goroutines, want 1", n)
		}
		var all sync.WaitGroup
		all.Add(3)
		for range 3 {
			p.Go(func() { all.Done(); all.Wait() }) // each needs the others
		}
		synctest.Wait()
		if n := counted(3); n != 3 {
			t.Errorf("three jobs at once: %d goroutines, want 3", n)
		}
		time.Sleep(2 * stay)
		synctest.Wait()
		if n := counted(0); n != 0 {
			t.Errorf("after a rest: %d goroutines, want none", n)
		}
	})
}
