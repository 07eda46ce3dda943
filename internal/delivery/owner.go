package delivery

import (
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// The owner of a trip, top to bottom:
//
//	commit   hands an event to the trip's owner, and waits
//	own      the trip's owner: takes what has come in
//	serve    steps each event on the value before it (step.go), commits once,
//	         tells everybody
//
// There is one owner a trip in a process, so that its events do not meet at the
// store. That is a kindness, not a guarantee: other processes are held off by the
// trip's version alone.

// work is one event on its way into one trip.
type work struct {
	trip   roster.TripID
	event  conversation.Event
	others []conversation.OtherTrip
	// prepare looks at the trip before the step, and may complete the event and
	// change the trip. An error ends the work without a commit; errNothingToDo is
	// none to the caller. It is called again when the trip turns out to have changed.
	prepare func(*roster.Draft, *conversation.Event) error
	// step replaces conversation.Step for what only the door knows about.
	step func(conversation.Input) conversation.Result
	// forgets says that the store changes the trip's dialogues beside the commit:
	// the value is not remembered.
	forgets bool
}

var errNothingToDo = errors.New("nothing to do")

const (
	// maxAttempts bounds how often events are stepped again after other commits
	// came first. Only other processes can be in the way.
	maxAttempts = 12
	// mostTogether bounds what one commit carries.
	mostTogether = 16
	// commitTime bounds one attempt, whoever waits for it.
	commitTime = 15 * time.Second
)

// ErrBusy says that other commits came first too many times; nothing was recorded.
var ErrBusy = errors.New("trip is changing too fast, nothing was recorded")

// request is work that somebody waits for.
type request struct {
	work
	answer chan answer // of one place: the owner never waits for who asked
}

type answer struct {
	trip *roster.Trip // as it is stored
	err  error
}

// commit lets the trip's owner step and commit one event.
func (d *Door) commit(ctx context.Context, w work) error {
	_, err := d.committed(ctx, w)
	return err
}

// committed does the same and returns the trip as it is stored. When ctx ends
// first it is not known whether the event was recorded.
func (d *Door) committed(ctx context.Context, w work) (*roster.Trip, error) {
	r := &request{work: w, answer: make(chan answer, 1)}
	if d.owners.enter(r) {
		d.cfg.Go(func() { d.own(w.trip) })
	}
	select {
	case a := <-r.answer:
		return a.trip, a.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// owners are what waits for each trip that is being worked on.
type owners struct {
	mu      sync.Mutex
	waiting map[roster.TripID][]*request
}

// enter queues a request up and tells whether the trip has no owner yet.
func (o *owners) enter(r *request) (first bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.waiting == nil {
		o.waiting = map[roster.TripID][]*request{}
	}
	_, owned := o.waiting[r.trip]
	o.waiting[r.trip] = append(o.waiting[r.trip], r)
	return !owned
}

// next are the requests to serve now, in the order they came; with none the
// trip has no owner any more.
func (o *owners) next(trip roster.TripID) []*request {
	o.mu.Lock()
	defer o.mu.Unlock()
	all := o.waiting[trip]
	if len(all) == 0 {
		delete(o.waiting, trip)
		return nil
	}
	n := min(len(all), mostTogether)
	o.waiting[trip] = slices.Clone(all[n:])
	return all[:n]
}

// own serves a trip until nobody waits.
func (d *Door) own(trip roster.TripID) {
	for {
		requests := d.owners.next(trip)
		if requests == nil {
			return
		}
		d.serve(trip, requests)
	}
}

// serve commits requests together and answers each. One that is refused, was
// handled before or can't be handled is answered by itself, and the others go on.
func (d *Door) serve(trip roster.TripID, requests []*request) {
	for attempt := 0; len(requests) > 0; {
		if attempt == maxAttempts {
			answerAll(requests, answer{err: ErrBusy})
			return
		}
		still, conflict := d.guarded(trip, requests)
		if conflict {
			d.cfg.Meter.Conflict()
			_ = d.cfg.Wait(context.Background(), attempt) // it ends by itself
		}
		if len(still) == len(requests) { // an attempt that answered somebody was not in vain
			attempt++
		}
		requests = still
	}
}

// guarded is an attempt, with a panic that no event is to blame for as an error
// of all: the process lives on, and nobody waits for ever.
func (d *Door) guarded(trip roster.TripID, requests []*request) (still []*request, conflict bool) {
	var err error
	defer func() {
		if err != nil {
			d.kept.drop(trip)
			answerAll(requests, answer{err: err})
		}
	}()
	defer caught(&err)
	return d.attempt(trip, requests)
}

// attempt loads unless the trip is at hand, steps and commits. It returns the
// requests that are still to be answered: those that another commit came before.
func (d *Door) attempt(trip roster.TripID, requests []*request) (still []*request, conflict bool) {
	ctx, cancel := context.WithTimeout(context.Background(), commitTime)
	defer cancel()
	value, err := d.value(ctx, trip)
	if err != nil {
		answerAll(requests, answer{err: err})
		return nil, false
	}
	b := d.stepAll(value, requests)
	if len(b.refused) > 0 && value.remembered { // a refusal is judged by a loaded trip
		d.kept.drop(trip)
		return requests, false
	}
	for _, r := range b.refused {
		r.request.tell(d.refused(ctx, value, r))
	}
	if len(b.done) == 0 {
		return nil, false
	}
	if err := d.linkAll(ctx, b); err != nil {
		answerAll(b.open(), answer{err: err})
		return nil, false
	}
	stored, err := d.cfg.Store.Commit(ctx, b.commit)
	d.kept.drop(trip) // unless it is known what is stored
	switch duplicate := (roster.DuplicateError{}); {
	case err == nil:
		d.stored(ctx, b, stored)
		return b.again, false
	case errors.Is(err, roster.ErrConflict):
		return b.open(), true
	case errors.As(err, &duplicate):
		return d.handledBefore(ctx, b.open(), duplicate.Source), false
	}
	answerAll(b.open(), answer{err: err})
	return nil, false
}

func answerAll(requests []*request, a answer) {
	for _, r := range requests {
		r.tell(a)
	}
}

// tell answers a request that has no answer yet.
func (r *request) tell(a answer) {
	select {
	case r.answer <- a:
	default:
	}
}

// value is a trip as it is stored, or was when this process committed it last:
// then nothing may be decided by it that does not end in a commit.
func (d *Door) value(ctx context.Context, trip roster.TripID) (value, error) {
	if v, ok := d.kept.get(trip); ok {
		v.remembered = true
		return v, nil
	}
	l, err := d.cfg.Store.Load(ctx, trip, "")
	if err != nil {
		return value{}, err
	}
	v := value{trip: l.Trip, sessions: l.Sessions, book: bookOf(l.Trip)}
	d.kept.put(v)
	return v, nil
}

// refused is the answer to what the trip as it is loaded refuses, unless it was
// committed before: then that stands.
func (d *Door) refused(ctx context.Context, v value, r refusedRequest) answer {
	if errors.Is(r.err, errNothingToDo) {
		return answer{trip: v.trip}
	}
	if r.request.event.Source != "" && !errors.As(r.err, new(fault)) {
		switch l, err := d.cfg.Store.Load(ctx, v.trip.ID, r.request.event.Source); {
		case err != nil:
			return answer{err: err}
		case l.Seen:
			return answer{trip: l.Trip}
		}
	}
	return answer{err: r.err}
}

// handledBefore answers the requests whose event was committed before, and
// returns the others.
func (d *Door) handledBefore(ctx context.Context, requests []*request, source string) []*request {
	l, err := d.cfg.Store.Load(ctx, requests[0].trip, "")
	return slices.DeleteFunc(requests, func(r *request) bool {
		before := r.event.Source == source
		if before {
			r.tell(answer{trip: l.Trip, err: err})
		}
		return before
	})
}

// stored does what follows, and tells everybody that their event is recorded:
// who was told finds their choices in place on every other trip.
func (d *Door) stored(ctx context.Context, b *batch, trip *roster.Trip) {
	if !b.forgets() {
		d.kept.put(value{trip: trip, sessions: b.sessions, book: b.book})
	}
	if len(b.commit.Out) > 0 {
		d.cfg.Kick()
	}
	if err := d.unlink(ctx, trip.ID, b.done[0].before, b.book); err != nil { // made good by a later commit
		d.cfg.Log.LogAttrs(ctx, slog.LevelWarn, "routes not cleaned up", slog.String("trip", string(trip.ID)),
			slog.Any("error", err))
	}
	for _, s := range b.done {
		d.follow(ctx, s, trip.Version)
		s.request.tell(answer{trip: trip})
	}
}
