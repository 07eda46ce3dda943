package delivery

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	mathrand "math/rand/v2"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// maxAttempts bounds how often one event is stepped again after other commits
// came first. Within a process a trip's events queue up, so that only other
// processes can be in the way.
const maxAttempts = 12

// ErrBusy says that other commits came first too many times; nothing was recorded.
var ErrBusy = errors.New("trip is changing too fast, nothing was recorded")

// work is one event on its way into one trip.
type work struct {
	trip   roster.TripID
	event  conversation.Event
	others []conversation.OtherTrip
	route  roster.Route
	// prepare looks at the freshly loaded trip before the step, and may
	// complete the event. errNothingToDo ends the work without a commit.
	prepare func(*roster.Trip, *conversation.Event) error
	// step replaces conversation.Step for what only the door knows about.
	step func(conversation.Input) conversation.Result
}

var errNothingToDo = errors.New("nothing to do")

// commit loads, steps and commits until no other commit comes between. It
// returns the trip as it is stored.
func (d *Door) commit(ctx context.Context, w work) (*roster.Trip, error) {
	unlock, err := d.locks.lock(ctx, w.trip)
	if err != nil {
		return nil, err
	}
	defer unlock()
	for attempt := range maxAttempts {
		trip, err := d.once(ctx, w)
		if !errors.Is(err, roster.ErrConflict) {
			return trip, err
		}
		d.cfg.Meter.Conflict()
		if err := d.cfg.Wait(ctx, attempt); err != nil {
			return nil, err
		}
	}
	return nil, ErrBusy
}

// once is one attempt.
func (d *Door) once(ctx context.Context, w work) (*roster.Trip, error) {
	l, err := d.cfg.Store.Load(ctx, w.trip, w.event.Person, w.event.Source)
	if err != nil {
		return nil, err
	}
	if l.Seen {
		return l.Trip, nil
	}
	if w.prepare != nil {
		if err := w.prepare(l.Trip, &w.event); err != nil {
			return l.Trip, nothingIsFine(err)
		}
	}
	before, known := linksOf(l.Trip), addressesOf(l.Trip)
	c, result := d.step(w, l)
	after := linksOf(l.Trip)
	if w.event.Kind != conversation.Moved { // what waits for a chat that moved goes after it
		c.Drop = missing(known, addressesOf(l.Trip))
	}
	if err := d.link(ctx, before, after); err != nil {
		return nil, err
	}
	switch err := d.cfg.Store.Commit(ctx, c); {
	case errors.Is(err, roster.ErrDuplicate):
		return d.stored(ctx, w.trip)
	case err != nil:
		return nil, err
	}
	d.committed(ctx, w, c, result, before, after)
	return l.Trip, nil
}

func nothingIsFine(err error) error {
	if errors.Is(err, errNothingToDo) {
		return nil
	}
	return err
}

// stored is the trip as it is stored, for an event that came in twice at once.
func (d *Door) stored(ctx context.Context, id roster.TripID) (*roster.Trip, error) {
	l, err := d.cfg.Store.Load(ctx, id, "", "")
	return l.Trip, err
}

// step answers the event and gathers what is to be written.
func (d *Door) step(w work, l roster.Loaded) (roster.Commit, conversation.Result) {
	session := readSession(l.Session)
	in := conversation.Input{Trip: l.Trip, Session: session, Event: w.event, Now: d.cfg.Now(),
		Trips: 1 + len(w.others), Others: w.others}
	found := d.heardFrom(w, in)
	step := d.cfg.Step
	if w.step != nil {
		step = w.step
	}
	result := step(in)
	result.Letters = append(found.Letters, result.Letters...)
	result.Happened = append(found.Happened, result.Happened...)
	return d.gather(w, l, session, result), result
}

// heardFrom answers the event before the event: somebody who was unreachable
// and now writes can be reached again.
func (d *Door) heardFrom(w work, in conversation.Input) conversation.Result {
	p := in.Trip.Person(w.event.Person)
	if p == nil || p.Unreachable == "" || w.step != nil || !acts[w.event.Kind] {
		return conversation.Result{}
	}
	in.Event = conversation.Event{Kind: conversation.Found, Person: p.ID, Address: w.event.Address, At: w.event.At}
	return d.cfg.Step(in)
}

// acts are the kinds of events that a person causes by writing.
var acts = map[conversation.Kind]bool{
	conversation.Join: true, conversation.Text: true, conversation.Edited: true, conversation.Button: true,
}

func (d *Door) gather(w work, l roster.Loaded, was conversation.Session, r conversation.Result) roster.Commit {
	c := roster.Commit{
		Trip: l.Trip, Out: envelopes(l.Trip, w.event, r.Letters), Wake: r.Wake,
		Source: w.event.Source, Token: randomID(16), Expire: d.expires(l.Trip),
	}
	if w.event.Person != "" && w.step == nil && !sameSession(was, r.Session) {
		c.Sessions = map[roster.PersonID]json.RawMessage{w.event.Person: writeSession(r.Session)}
	}
	for _, h := range r.Happened {
		c.Events = append(c.Events, mustJSON(h))
	}
	return c
}

// expires is when the trip and everything about its people is erased.
func (d *Door) expires(t *roster.Trip) time.Time {
	return t.Starts(max(1, len(t.Dives))).Add(d.cfg.Keep)
}

// committed does what follows a commit. What fails here is logged only: the
// commit stands, and each of these is made good by a later one.
func (d *Door) committed(ctx context.Context, w work, c roster.Commit, r conversation.Result, before, after links) {
	d.cfg.Meter.Committed(string(w.event.Kind))
	if len(c.Out) > 0 {
		d.cfg.Kick()
	}
	log := d.cfg.Log.With("trip", w.trip, "person", w.event.Person, "source", w.event.Source)
	log.Debug("committed", "kind", w.event.Kind, "version", c.Trip.Version, "messages", len(c.Out))
	if err := d.unlink(ctx, before, after); err != nil {
		log.Warn("routes not cleaned up", "error", err)
	}
	if (r.PreferLanguage != "" || r.PreferUnits != "") && linkable(w.event.Address) {
		if err := d.cfg.People.Prefer(ctx, w.event.Address, "", r.PreferLanguage, r.PreferUnits); err != nil {
			log.Warn("preference not kept for other trips", "error", err)
		}
	}
}

func readSession(b json.RawMessage) conversation.Session {
	var s conversation.Session
	if len(b) > 0 && json.Unmarshal(b, &s) != nil {
		return conversation.Session{} // of another version: nothing is being asked
	}
	return s
}

// writeSession is nil for "nothing asked", which removes the stored state.
func writeSession(s conversation.Session) json.RawMessage {
	if s.State == conversation.Idle && len(s.Data) == 0 {
		return nil
	}
	return mustJSON(s)
}

func sameSession(a, b conversation.Session) bool {
	return a.State == b.State && string(a.Data) == string(b.Data)
}

// mustJSON encodes our own types.
func mustJSON(v any) json.RawMessage {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return b
}

// backOff waits a little longer after each conflict, never in step with the
// process that was in the way.
func backOff(ctx context.Context, attempt int) error {
	most := min(5<<attempt, 200) // milliseconds
	t := time.NewTimer(time.Duration(1+mathrand.IntN(most)) * time.Millisecond)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}

// randomID is n random characters of [a-z2-7].
func randomID(n int) string {
	const letters = "abcdefghijklmnopqrstuvwxyz234567"
	b := make([]byte, n)
	rand.Read(b) // never fails, see crypto/rand
	for i := range b {
		b[i] = letters[b[i]&31]
	}
	return string(b)
}
