package rdb

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/roster"
)

// Commit writes everything or nothing; see roster.Store.
func (s *Store) Commit(ctx context.Context, c roster.Commit) (*roster.Trip, error) {
	if err := mayCommit(c); err != nil {
		return nil, err
	}
	was := before(c)
	args, err := s.commitArgs(c, was)
	if err != nil {
		return nil, fault("write trip "+string(c.Trip.ID), err)
	}
	answer, err := s.commits[int(bucketOf(c.Trip.ID))%len(s.commits)].run(ctx, args)
	if err != nil {
		return nil, fault("commit trip "+string(c.Trip.ID), err)
	}
	if source, ok := strings.CutPrefix(answer, "duplicate "); ok {
		return nil, roster.DuplicateError{Source: source}
	}
	if n, gaveWay := strings.CutPrefix(answer, "ok "); gaveWay {
		answer = "ok"
		s.Logger.Warn("messages dropped", "trip", c.Trip.ID, "count", n, "reason", "too many wait for one address")
	}
	if answer != "ok" && answer != "applied" {
		return nil, roster.ErrConflict
	}
	t := *c.Trip
	t.Version, t.Stored = was.Version+1, roster.Stored{Token: c.Token, Wake: c.Wake, Expire: c.Expire}
	return &t, nil
}

// mayCommit refuses what could not be recognised when it came again.
func mayCommit(c roster.Commit) error {
	if c.Trip == nil || c.Token == "" || strings.Contains(c.Token, " ") {
		return errors.New("store: a commit needs a trip and a token of one word")
	}
	for _, source := range c.Sources {
		if source == "" || strings.ContainsAny(source, "\r\n") {
			return fmt.Errorf("store: %q is no id of an event", source)
		}
	}
	return nil
}

// before is the trip that a commit builds on. Of one that was never stored
// nothing is there: no part is the same, and no number.
func before(c roster.Commit) *roster.Trip {
	switch {
	case c.Was == nil:
		return &roster.Trip{Next: -1}
	case c.Was.Stored.Token == "":
		return &roster.Trip{Next: -1, Version: c.Was.Version}
	}
	return c.Was
}

// writing is what a commit writes of a trip's hash.
type writing struct {
	set  []any // field, value, ...
	gone []any // fields
}

func (w *writing) add(field string, value any) error {
	b, err := json.Marshal(value)
	w.set = append(w.set, field, b)
	return err
}

// written is what of a commit goes into the trip's hash: the parts that are
// others than before, and the dialogue states.
func written(c roster.Commit, was *roster.Trip) (writing, error) {
	var w writing
	var failed error
	write := func(field string, value any) { failed = errors.Join(failed, w.add(field, value)) }
	old := parts(was)
	for i, p := range parts(c.Trip) {
		if p.value != old[i].value {
			write(p.field, p.value)
		}
	}
	if c.Trip.Next != was.Next {
		write("next", c.Trip.Next)
	}
	for i, p := range c.Trip.People {
		if i < len(was.People) && was.People[i] == p {
			continue
		}
		if before := was.Person(p.ID); before != p {
			writePerson(write, before, p)
			w.gone = append(w.gone, cylindersGone(before, c.Trip)...)
		}
	}
	if is := identityOf(c.Trip); !is.same(identityOf(was)) {
		write("data", is)
		w.gone = append(w.gone, leavers(was, c.Trip)...)
	}
	for person, state := range c.Sessions {
		if len(state) == 0 {
			w.gone = append(w.gone, sessionField(person))
		} else {
			w.set = append(w.set, sessionField(person), []byte(state))
		}
	}
	return w, failed
}

// writePerson writes what of a person is another than before. A draft copies
// whoever it touches with all their cylinders, so that values are compared.
func writePerson(write func(string, any), before, is *roster.Person) {
	if before == nil || !personOf(is).same(personOf(before)) {
		write(personField(is.ID), personOf(is))
	}
	if before == nil || is.Noted != before.Noted {
		write(notedField(is.ID), is.Noted)
	}
	for _, c := range is.Cylinders {
		if was := cylinder(before, c.ID); was == nil || was != c && !reflect.DeepEqual(was, c) {
			write(cylinderField(c.ID), c)
		}
	}
}

// cylinder is one of a person's, nil when there is none or nobody.
func cylinder(p *roster.Person, id roster.CylinderID) *roster.Cylinder {
	if p == nil {
		return nil
	}
	i := slices.IndexFunc(p.Cylinders, func(c *roster.Cylinder) bool { return c.ID == id })
	if i < 0 {
		return nil
	}
	return p.Cylinders[i]
}

// cylindersGone are the fields of a person's cylinders that nobody has any more.
func cylindersGone(before *roster.Person, is *roster.Trip) (gone []any) {
	if before == nil {
		return nil
	}
	for _, c := range before.Cylinders {
		if _, still := is.Cylinder(c.ID); still == nil {
			gone = append(gone, cylinderField(c.ID))
		}
	}
	return gone
}

// leavers are the fields of people who are no longer on the trip.
func leavers(was, is *roster.Trip) (gone []any) {
	for _, p := range was.People {
		if is.Person(p.ID) == nil {
			gone = append(append(gone, personField(p.ID), notedField(p.ID)), cylindersGone(p, is)...)
		}
	}
	return gone
}

// instants are wake-up, departure and expiry as commit.lua takes them, "=" for
// one that is as stored, and whether the expiry is another. One that is zero in
// what was stored is not known.
func instants(c roster.Commit, was *roster.Trip) (wake, departs, expire string, moved bool) {
	as := func(stored, now time.Time) string {
		if !stored.IsZero() && ms(stored) == msOrNone(now) {
			return "="
		}
		return msOrNone(now)
	}
	var left time.Time
	if was.Plan != nil {
		left = was.Departs
	}
	moved = as(was.Stored.Expire, c.Expire) != "="
	return as(was.Stored.Wake, c.Wake), as(left, c.Trip.Departs), msOrNone(c.Expire), moved
}

// commitKeys are the keys of commit.lua.
func commitKeys(t *roster.Trip, moved bool) []string {
	b, mine := bucketOf(t.ID), tripKeys(t.ID)
	keys := append(slices.Clone(mine[:5]), b.seq(), b.ready(), b.due(), b.expiry(), b.shop(t.Shop), b.news())
	if moved {
		keys = append(keys, mine[5:]...)
	}
	return keys
}

// expiryMember is a trip in its bucket's expiry index: the shop with it, whose
// list it is in.
func expiryMember(id roster.TripID, shop roster.ShopID) string {
	return string(id) + "|" + string(shop)
}

// commitArgs is a call of commit.lua; see call.
func (s *Store) commitArgs(c roster.Commit, was *roster.Trip) ([]any, error) {
	w, err := written(c, was)
	if err != nil {
		return nil, err
	}
	t := c.Trip
	wake, departs, expire, moved := instants(c, was)
	keys := commitKeys(t, moved)
	args := []any{nil, nil, len(keys)}
	args = appendAll(args, keys)
	args = append(args, ms(s.Now()), was.Version, was.Version+1, c.Token, was.Stored.Token,
		string(t.ID), expiryMember(t.ID, t.Shop), wake, departs, expire, moved,
		len(c.Sources), len(w.set)/2, len(w.gone), len(c.Acts), len(c.Events), len(c.Drop), len(c.Out))
	args = appendAll(args, c.Sources)
	args = append(append(args, w.set...), w.gone...)
	return appendLines(args, c)
}

// appendLines appends what goes into a trip's lists and to its people.
func appendLines(args []any, c roster.Commit) ([]any, error) {
	for _, a := range c.Acts {
		line, err := json.Marshal(actOf(a))
		if err != nil {
			return nil, err
		}
		args = append(args, line)
	}
	for _, e := range c.Events {
		args = append(args, []byte(e))
	}
	for _, a := range c.Drop {
		args = append(args, address(a))
	}
	for _, e := range c.Out {
		line, err := sealed(e)
		if err != nil {
			return nil, err
		}
		args = append(args, address(e.Address), int(min(e.Level, roster.Levels-1)), line)
	}
	return args, nil
}

func appendAll(args []any, more []string) []any {
	for _, s := range more {
		args = append(args, s)
	}
	return args
}
