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
	w.prepare = func(t *roster.Trip, ev *conversation.Event) error {
		c, err := change(t)
		ev.Change = &c
		return err
	}
	return d.committed(ctx, w)
}

// Create stores a new trip, gives it an id unless it has one, and the
// deployment's evening and quiet hours unless it brings its own.
func (d *Door) Create(ctx context.Context, t *roster.Trip) error {
	if t.Schema == 0 {
		t.Schema = roster.SchemaVersion
	}
	if t.Evening == "" {
		t.Evening, t.Quiet = d.cfg.Evening, d.cfg.Quiet
	}
	given := t.ID != ""
	for attempt := range maxAttempts {
		if !given {
			t.ID = roster.NewTripID()
		}
		err := d.create(ctx, t)
		if given || !errors.Is(err, roster.ErrConflict) {
			return err
		}
		if err := d.cfg.Wait(ctx, attempt); err != nil {
			return err
		}
	}
	return ErrBusy
}

func (d *Door) create(ctx context.Context, t *roster.Trip) error {
	w := nothingChanged(t.ID, nil)
	w.event.Source, w.event.At = "create:"+string(t.ID), d.cfg.Now()
	c := newCommit(t)
	result := d.step(&c, w, roster.Loaded{Trip: t}) // nobody's dialogue
	if err := d.cfg.Store.Commit(ctx, c); err != nil {
		return err
	}
	d.kick(c)
	d.follow(ctx, w, t.Version, result, nil, nil)
	return nil
}

// nothingChanged is the event of a change of nothing: a step that gives back
// the trip's wake-up.
func nothingChanged(id roster.TripID, prepare func(*roster.Trip) error) work {
	w := work{trip: id, event: conversation.Event{Kind: conversation.Changed, Change: &conversation.Change{}}}
	if prepare != nil {
		w.prepare = func(t *roster.Trip, _ *conversation.Event) error { return prepare(t) }
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
func (d *Door) Wake(ctx context.Context, trip roster.TripID) (err error) {
	defer d.recovered(Inbound{Kind: conversation.Timer, Source: string(trip)}, new(*Reply), &err)
	err = d.commit(ctx, work{trip: trip, event: conversation.Event{Kind: conversation.Timer, At: d.cfg.Now()}})
	if errors.Is(err, roster.ErrNotFound) {
		return nil // erased meanwhile
	}
	return err
}
