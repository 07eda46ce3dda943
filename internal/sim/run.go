package sim

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// Report is what came of many days.
type Report struct {
	Days, Events int
	Took         time.Duration
	Failures     []Failure // one of each kind, in the order of the seeds
	Disagreed    int       // days that did
	Which        []string  // seed and kind of each of them
}

// Failure is a day that shows a disagreement, made short.
type Failure struct {
	Day   Day
	Wrong *Disagreement
	Days  int // that showed one of this kind
}

// perSecond is how many of a count one core plays in a second.
func (r Report) perSecond(n int) float64 {
	return float64(n) / r.Took.Seconds() / float64(runtime.GOMAXPROCS(0))
}

// Run plays days from a seed on, each with a number of events, on all cores. Of each kind of disagreement the
// first day is made short, unless the report is to be brief.
func Run(first uint64, days, events int, brief bool) Report {
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // days are short-lived
	r := &runner{first: first, days: int64(days), events: events, began: time.Now()}
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(r.work)
	}
	workers.Wait()
	r.report.Took = time.Since(r.began)
	slices.SortFunc(r.report.Failures, func(a, b Failure) int { return b.Days - a.Days })
	if brief {
		return r.report
	}
	for i := range r.report.Failures[:min(mostShrunk, len(r.report.Failures))] {
		f := &r.report.Failures[i]
		f.Day, f.Wrong = Shrink(f.Day, f.Wrong)
	}
	return r.report
}

// mostShrunk is how many kinds of disagreement are made short.
const mostShrunk = 60

type runner struct {
	first  uint64
	days   int64
	events int
	began  time.Time
	next   atomic.Int64
	mu     sync.Mutex
	report Report
}

func (r *runner) work() {
	for {
		n := r.next.Add(1) - 1
		if n >= r.days {
			return
		}
		day, wrong := Make(r.first+uint64(n), r.events) // #nosec G115 -- a count from 0 on
		r.note(day, wrong)
	}
}

func (r *runner) note(day Day, wrong *Disagreement) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.report.Days++
	r.report.Events += len(day.Said)
	if wrong == nil {
		return
	}
	r.report.Disagreed++
	r.report.Which = append(r.report.Which, fmt.Sprint(day.Seed, " ", wrong.kind()))
	for i := range r.report.Failures {
		f := &r.report.Failures[i]
		if !f.Wrong.same(wrong) {
			continue
		}
		f.Days++
		if len(day.Said) < len(f.Day.Said) {
			f.Day, f.Wrong = day, wrong
		}
		return
	}
	r.report.Failures = append(r.report.Failures, Failure{Day: day, Wrong: wrong, Days: 1})
}
