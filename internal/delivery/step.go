package delivery

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	mathrand "math/rand/v2"
	"runtime/debug"
	"slices"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// value is a trip with its people's dialogue states, as stored. Nobody writes to it.
type value struct {
	trip       *roster.Trip
	sessions   map[roster.PersonID]json.RawMessage
	book       book
	remembered bool // not just loaded
}

// batch is what several events come to, each stepped on what the one before left:
// its value is the trip as it is by now.
type batch struct {
	value
	commit  roster.Commit
	done    []stepped
	refused []refusedRequest
	again   []*request // judged once what was stepped is stored
}

// stepped is one event with what it came to.
type stepped struct {
	request       *request
	event         conversation.Event // completed by prepare
	result        conversation.Result
	before, after book
}

type refusedRequest struct {
	request *request
	err     error
}

// errFirst is an event that takes an address away. What waits for it is dropped
// before a commit's own messages are put in: none of an earlier event may be
// among those.
var errFirst = errors.New("comes first in its commit")

// gone are the addresses that an event takes away.
func (s stepped) gone() []roster.Address {
	if s.event.Kind == conversation.Moved { // what waits for a chat that moved goes after it
		return nil
	}
	return missing(s.before, s.after)
}

// open are the requests that nobody has answered.
func (b *batch) open() []*request {
	var all []*request
	for _, s := range b.done {
		all = append(all, s.request)
	}
	return append(all, b.again...)
}

// forgets tells whether the value is not to be remembered.
func (b *batch) forgets() bool {
	for _, s := range b.done {
		if s.request.forgets {
			return true
		}
	}
	return false
}

// stepAll steps all that can be committed together.
func (d *Door) stepAll(v value, requests []*request) *batch {
	b := &batch{value: v, commit: roster.Commit{Was: v.trip, Token: randomID(10)}}
	for i, r := range requests {
		if r.event.Source != "" && slices.Contains(b.commit.Sources, r.event.Source) {
			b.again = append(b.again, r)
			continue
		}
		err := d.step(b, r)
		if err != nil && len(b.done) > 0 { // by what is not stored yet; nobody is overtaken
			b.again = append(b.again, requests[i:]...)
			break
		}
		if err != nil {
			b.refused = append(b.refused, refusedRequest{r, err})
		}
	}
	b.commit.Trip = b.trip
	return b
}

// step answers one event and adds what is to be written to the commit. After an
// error the batch is as it was: a value is never written to.
func (d *Door) step(b *batch, r *request) (err error) {
	was := *b
	defer func() {
		if err != nil {
			*b = was
		}
	}()
	defer caught(&err)
	w := r.work // its own event to complete
	draft := roster.Change(b.trip)
	if w.prepare != nil {
		if err := w.prepare(draft, &w.event); err != nil {
			return err
		}
	}
	s := stepped{request: r, before: b.book}
	in := conversation.Input{Trip: draft.Done(), Session: readSession(b.sessions[w.event.Person]), Event: w.event,
		Now:   d.cfg.Now(),
		Trips: 1 + len(w.others), Others: w.others}
	found := d.heardFrom(w, in)
	if found.Trip != nil {
		in.Trip = found.Trip
	}
	step := d.cfg.Step
	if w.step != nil {
		step = w.step
	}
	s.result = step(in)
	s.result.Acts = append(append(draft.Acts, found.Acts...), s.result.Acts...)
	s.result.Letters = append(found.Letters, s.result.Letters...)
	s.result.Happened = append(found.Happened, s.result.Happened...)
	s.event, s.after = w.event, b.book.after(b.trip, s.result.Trip)
	if len(b.done) > 0 && len(s.gone()) > 0 {
		return errFirst
	}
	b.add(s, in.Session, w.step == nil)
	b.commit.Expire = d.expires(b.trip)
	return nil
}

// fault is a panic on the way of one event.
type fault struct {
	value any
	stack []byte
}

func (f fault) Error() string { return fmt.Sprintf("event could not be handled: %T", f.value) }

// caught makes a panic an error of the event that brought it on.
func caught(err *error) {
	if v := recover(); v != nil {
		*err = fault{v, debug.Stack()}
	}
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

// add takes what an event came to into the batch. talks says that the event
// moves the person's dialogue on.
func (b *batch) add(s stepped, was conversation.Session, talks bool) {
	r, c := s.result, &b.commit
	c.Out = envelopes(c.Out, r.Trip, s.event, r.Letters)
	c.Acts = append(c.Acts, r.Acts...)
	c.Wake = r.Wake
	if s.event.Source != "" {
		c.Sources = append(c.Sources, s.event.Source)
	}
	c.Drop = append(c.Drop, s.gone()...)
	for _, h := range r.Happened {
		c.Events = append(c.Events, mustJSON(h))
	}
	if s.event.Person != "" && talks && !sameSession(was, r.Session) {
		b.talk(s.event.Person, writeSession(r.Session))
	}
	b.trip, b.book = r.Trip, s.after
	b.done = append(b.done, s)
}

// talk sets a person's dialogue state, nil for none.
func (b *batch) talk(p roster.PersonID, state json.RawMessage) {
	if b.commit.Sessions == nil {
		b.commit.Sessions, b.sessions = map[roster.PersonID]json.RawMessage{}, maps.Clone(b.sessions)
	}
	if b.sessions == nil {
		b.sessions = map[roster.PersonID]json.RawMessage{}
	}
	b.commit.Sessions[p], b.sessions[p] = state, state
	if state == nil {
		delete(b.sessions, p)
	}
}

// expires is when the trip and everything about its people is erased.
func (d *Door) expires(t *roster.Trip) time.Time {
	return t.Starts(max(1, len(t.Dives))).Add(d.cfg.Keep)
}

// follow does what follows an event's commit. What fails here is logged only:
// the commit stands, and this is made good by a later one.
func (d *Door) follow(ctx context.Context, s stepped, version int64) {
	trip, r := s.request.trip, s.result
	d.cfg.Meter.Committed(string(s.event.Kind))
	about := []slog.Attr{slog.String("trip", string(trip)), slog.String("person", string(s.event.Person)),
		slog.String("source", s.event.Source)}
	d.cfg.Log.LogAttrs(ctx, slog.LevelDebug, "committed", append(about, slog.String("kind", string(s.event.Kind)),
		slog.Int64("version", version), slog.Int("letters", len(r.Letters)))...)
	if (r.PreferLanguage != "" || r.PreferUnits != "") && linkable(s.event.Address) {
		if err := d.cfg.Addresses.Prefer(ctx, s.event.Address, "", r.PreferLanguage, r.PreferUnits); err != nil {
			d.cfg.Log.LogAttrs(ctx, slog.LevelWarn, "preference not kept for other trips",
				append(about, slog.Any("error", err))...)
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
	return a.State == b.State && string(a.Data) == string(b.Data) && slices.Equal(a.Offered, b.Offered)
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
