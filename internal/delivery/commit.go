package delivery

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"log/slog"
	mathrand "math/rand/v2"
	"slices"
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
	// prepare looks at the trip before the step, and may complete the event. An
	// error ends the work without a commit; errNothingToDo is none to the
	// caller, and must leave the trip as it was. It is called again when the
	// trip turns out to have changed.
	prepare func(*roster.Trip, *conversation.Event) error
	// step replaces conversation.Step for what only the door knows about.
	step func(conversation.Input) conversation.Result
	// handOut says that the caller keeps the trip: it is not the next event's.
	handOut bool
	// together says that it may be committed with events that wait for the same
	// trip. It has a source then.
	together bool
}

var errNothingToDo = errors.New("nothing to do")

// commit loads, steps and commits until no other commit comes between.
func (d *Door) commit(ctx context.Context, w work) error {
	_, err := d.repeat(ctx, w)
	return err
}

// committed does the same and returns the trip as it is stored.
func (d *Door) committed(ctx context.Context, w work) (*roster.Trip, error) {
	w.handOut = true
	return d.repeat(ctx, w)
}

func (d *Door) repeat(ctx context.Context, w work) (*roster.Trip, error) {
	me, err := d.turns.enter(ctx, w)
	if err != nil || me.done {
		return nil, err
	}
	defer d.turns.leave(me)
	if with := d.turns.company(me); len(with) > 0 {
		done := d.together(ctx, me, with)
		d.turns.part(me, with, done)
		if done {
			return nil, nil
		}
	}
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

// once is one attempt: with the trip as this process committed it last, else
// as it is loaded. A refusal is judged by a loaded trip only.
func (d *Door) once(ctx context.Context, w work) (*roster.Trip, error) {
	if l, ok := d.kept.take(w.trip); ok {
		tried := w // its own event to complete
		if tried.mayStep(l.Trip) == nil {
			return d.attempt(ctx, tried, l)
		}
	}
	l, err := d.fetch(ctx, w.trip, w.event.Source)
	if err != nil {
		return nil, err
	}
	err = errNothingToDo
	if !l.Seen {
		err = w.mayStep(l.Trip)
	}
	switch {
	case err == nil:
		return d.attempt(ctx, w, l)
	case !errors.Is(err, errNothingToDo):
		return nil, err
	case !w.handOut:
		d.kept.put(l, l.book)
	}
	return l.Trip, nil
}

func (w *work) mayStep(t *roster.Trip) error {
	if w.prepare == nil {
		return nil
	}
	return w.prepare(t, &w.event)
}

func (d *Door) fetch(ctx context.Context, id roster.TripID, source string) (atHand, error) {
	l, err := d.cfg.Store.Load(ctx, id, source)
	if err != nil {
		return atHand{}, err
	}
	return atHand{Loaded: l, book: bookOf(l.Trip)}, nil
}

// attempt steps and commits.
func (d *Door) attempt(ctx context.Context, w work, l atHand) (*roster.Trip, error) {
	before, after := l.book, l.book
	c := newCommit(l.Trip)
	result := d.step(&c, w, l.Loaded)
	if !before.is(l.Trip) {
		after = bookOf(l.Trip)
		if w.event.Kind != conversation.Moved { // what waits for a chat that moved goes after it
			c.Drop = missing(before, after)
		}
		if err := d.link(ctx, l.Trip, before, after); err != nil {
			return nil, err
		}
	}
	switch err := d.cfg.Store.Commit(ctx, c); {
	case errors.Is(err, roster.ErrDuplicate):
		return d.stored(ctx, w)
	case err != nil:
		return nil, err
	}
	d.kick(c)
	d.follow(ctx, w, c.Trip.Version, result, before, after)
	if !w.handOut {
		d.kept.put(l, after)
	}
	return l.Trip, nil
}

// together steps the events of several turns one after the other and commits
// them at once: while a trip's commit is under way others gather behind it, and
// a commit costs more than a step. Whatever comes in the way (a refusal, an
// address that changes, a conflict, a fault) stops all of it. Nothing is stored
// then that is not recognised when each goes its own way.
func (d *Door) together(ctx context.Context, me *turn, with []*turn) (done bool) {
	l, ok := d.kept.take(me.work.trip)
	if !ok {
		var err error
		if l, err = d.fetch(ctx, me.work.trip, ""); err != nil {
			return false
		}
	}
	defer func() {
		if recover() != nil { // whoever brought it on meets it again, alone
			done = false
		}
	}()
	c := newCommit(l.Trip)
	all := append([]*turn{me}, with...)
	results := make([]conversation.Result, len(all))
	for i, t := range all {
		w := t.work // its own event to complete
		if slices.Contains(c.Sources, w.event.Source) || w.mayStep(l.Trip) != nil {
			return false
		}
		results[i] = d.step(&c, w, l.Loaded)
		if !l.book.is(l.Trip) {
			return false
		}
	}
	if d.cfg.Store.Commit(ctx, c) != nil {
		return false
	}
	d.kick(c)
	for i, t := range all {
		d.follow(ctx, t.work, c.Trip.Version, results[i], l.book, l.book)
	}
	d.kept.put(l, l.book)
	return true
}

// stored is the trip as it is stored, for an event that came in twice.
func (d *Door) stored(ctx context.Context, w work) (*roster.Trip, error) {
	if !w.handOut {
		return nil, nil
	}
	l, err := d.cfg.Store.Load(ctx, w.trip, "")
	return l.Trip, err
}

func newCommit(t *roster.Trip) roster.Commit { return roster.Commit{Trip: t, Token: randomID(16)} }

// step answers an event and adds what is to be written to a commit.
func (d *Door) step(c *roster.Commit, w work, l roster.Loaded) conversation.Result {
	session := readSession(l.Sessions[w.event.Person])
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
	d.gather(c, w, l, session, result)
	return result
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

// gather adds what an event makes necessary to a commit, and notes the dialogue
// state for the trip's next event.
func (d *Door) gather(c *roster.Commit, w work, l roster.Loaded, was conversation.Session, r conversation.Result) {
	c.Out = envelopes(c.Out, l.Trip, w.event, r.Letters)
	c.Wake, c.Expire = r.Wake, d.expires(l.Trip)
	if w.event.Source != "" {
		c.Sources = append(c.Sources, w.event.Source)
	}
	if w.event.Person != "" && w.step == nil && !sameSession(was, r.Session) {
		if c.Sessions == nil {
			c.Sessions = map[roster.PersonID]json.RawMessage{}
		}
		state := writeSession(r.Session)
		c.Sessions[w.event.Person] = state
		if state == nil {
			delete(l.Sessions, w.event.Person)
		} else {
			l.Sessions[w.event.Person] = state
		}
	}
	for _, h := range r.Happened {
		c.Events = append(c.Events, h.AppendJSON(make([]byte, 0, 320)))
	}
}

// expires is when the trip and everything about its people is erased.
func (d *Door) expires(t *roster.Trip) time.Time {
	return t.Starts(max(1, len(t.Dives))).Add(d.cfg.Keep)
}

func (d *Door) kick(c roster.Commit) {
	if len(c.Out) > 0 {
		d.cfg.Kick()
	}
}

// follow does what follows a commit. What fails here is logged only: the
// commit stands, and each of these is made good by a later one.
func (d *Door) follow(ctx context.Context, w work, version int64, r conversation.Result, before, after book) {
	d.cfg.Meter.Committed(string(w.event.Kind))
	about := []slog.Attr{slog.String("trip", string(w.trip)), slog.String("person", string(w.event.Person)), slog.String("source", w.event.Source)}
	d.cfg.Log.LogAttrs(ctx, slog.LevelDebug, "committed", append(about, slog.String("kind", string(w.event.Kind)),
		slog.Int64("version", version), slog.Int("letters", len(r.Letters)))...)
	if err := d.unlink(ctx, w.trip, before, after); err != nil {
		d.cfg.Log.LogAttrs(ctx, slog.LevelWarn, "routes not cleaned up", append(about, slog.Any("error", err))...)
	}
	if (r.PreferLanguage != "" || r.PreferUnits != "") && linkable(w.event.Address) {
		if err := d.cfg.People.Prefer(ctx, w.event.Address, "", r.PreferLanguage, r.PreferUnits); err != nil {
			d.cfg.Log.LogAttrs(ctx, slog.LevelWarn, "preference not kept for other trips", append(about, slog.Any("error", err))...)
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
	most := min(5<<attempt, 200)                                             // milliseconds
	return sleep(ctx, time.Duration(1+mathrand.IntN(most))*time.Millisecond) // #nosec G404 -- jitter, no secret
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
