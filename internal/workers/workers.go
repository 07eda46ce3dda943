// Package workers runs short jobs on goroutines that stay for the next one. A
// new goroutine begins with a small stack, and a job that needs a large one
// spends a tenth of its time on growing it.
package workers

import "time"

// stay is how long an idle goroutine waits for another job.
const stay = time.Second

// Pool runs jobs. Nobody waits for a free goroutine: where none is idle there is
// a new one. Its zero value can't be used; see New.
type Pool struct {
	jobs chan func()
}

// New makes a pool without goroutines.
func New() *Pool { return &Pool{make(chan func())} }

// Go runs a job beside the caller.
func (p *Pool) Go(job func()) {
	select {
	case p.jobs <- job:
	default:
		go p.work(job)
	}
}

func (p *Pool) work(job func()) {
	rest := time.NewTimer(stay)
	defer rest.Stop()
	for {
		job()
		rest.Reset(stay)
		select {
		case job = <-p.jobs:
		case <-rest.C:
			return
		}
	}
}
