package delivery

import (
	"context"
	"errors"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// Apply lets the shop change a trip. change looks at the trip as it is stored
// and says what is to change, or refuses with an error that is returned as it
// is; it may be called again when another commit came first. source makes the
// change happen once; "" means that it is not repeated. The trip that comes
// back is the stored one. roster.ErrNotFound is an unknown or erased trip.
func (d *Door) Apply(ctx context.Context, trip roster.TripID, source string,
	change func(*roster.Trip) (conversation.Change, error),
) (*roster.Trip, error) {
	if source == "" {
		source = "shop:" + randomID(16)
	}
	w := work{trip: trip, event: conversation.Event{Kind: conversation.Changed, Source: source, At: d.cfg.Now()}}
	w.prepare = func(t *roster.Draft, ev *conversation.Event) error {
		c, err := change(t.Trip)
		ev.Change = &c
		return err
	}
	stored, err := d.committed(ctx, w)
	return stored, d.noted(source, err)
}

// noted logs where a shop's change brought on a panic; the shop hears that it
// failed.
func (d *Door) noted(source string, err error) error {
	if f := (fault{}); errors.As(err, &f) {
		d.faulted(Inbound{Kind: conversation.Changed, Source: source}, f)
	}
	return err
}

// Create stores a new trip and returns it as it is stored. It gets an id unless
// it has one, and the deployment's evening and quiet hours unless it brings its
// own.
func (d *Door) Create(ctx context.Context, t *roster.Draft) (*roster.Trip, error) {
	if t.Evening == "" {
		plan := t.EditPlan()
		plan.Evening, plan.Quiet = d.cfg.Evening, d.cfg.Quiet
	}
	given := t.ID != ""
	for attempt := range maxAttempts {
		if !given {
			t.ID = roster.NewTripID()
		}
		stored, err := d.create(ctx, *t.Trip, t.Acts)
		if given || !errors.Is(err, roster.ErrConflict) {
			return stored, err
		}
		if err := d.cfg.Wait(ctx, attempt); err != nil {
			return nil, err
		}
	}
	return nil, ErrBusy
}

func (d *Door) create(ctx context.Context, t roster.Trip, acts []roster.Act) (*roster.Trip, error) {
	w := nothingChanged(t.ID, nil)
	w.event.Source, w.event.At = "create:"+string(t.ID), d.cfg.Now()
	// nobody's dialogue
	b := d.stepAll(value{trip: &t, book: bookOf(&t)}, []*request{{work: w, answer: make(chan answer, 1)}})
	if len(b.refused) > 0 {
		return nil, d.noted(w.event.Source, b.refused[0].err)
	}
	b.commit.Was, b.commit.Acts = nil, append(acts, b.commit.Acts...)
	stored, err := d.cfg.Store.Commit(ctx, b.commit)
	if err != nil {
		return nil, err
	}
	d.stored(ctx, b, stored)
	return stored, nil
}

// nothingChanged is the event of a change of nothing: a step that gives back
// the trip's wake-up.
func nothingChanged(id roster.TripID, prepare func(*roster.Draft) error) work {
	w := work{trip: id, event: conversation.Event{Kind: conversation.Changed, Change: &conversation.Change{}}}
	if prepare != nil {
		w.prepare = func(t *roster.Draft, _ *conversation.Event) error { return prepare(t) }
	}
	return w
}

// Due lists trips whose wake-up is due; see roster.Store.
func (d *Door) Due(ctx context.Context, now time.Time, most int) ([]roster.TripID, error) {
	return d.cfg.Store.Due(ctx, now, most)
}

// Wake sends a due trip its timer event. Two processes that wake the same trip
// conflict at the store, and the second then finds nothing due: the event
// needs no source id.
func (d *Door) Wake(ctx context.Context, trip roster.TripID) error {
	err := d.commit(ctx, work{trip: trip, event: conversation.Event{Kind: conversation.Timer, At: d.cfg.Now()}})
	switch f := (fault{}); {
	case errors.As(err, &f):
		d.faulted(Inbound{Kind: conversation.Timer, Source: string(trip)}, f)
		return nil
	case errors.Is(err, roster.ErrNotFound):
		return nil // erased meanwhile
	}
	return err
}
