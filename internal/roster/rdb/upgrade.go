package rdb

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// Form 4 keeps other keys than the forms before it, which no script can look
// after in passing. So what older forms stored is brought into form 4 when the
// program starts. No process of an older program may run from then on.

// Upgrade brings everything into the present form: all that an older one stored
// goes on where it was, leases and what waits included. When there is nothing to
// do it asks once. It may be called again, by many processes at the same time,
// and after it was interrupted. It returns an error when a newer program has
// been here.
func (s *Store) Upgrade(ctx context.Context) error {
	forms, err := s.forms(ctx)
	if err != nil {
		return fault("look at the stored form", err)
	}
	for b, form := range forms {
		switch {
		case form > roster.SchemaVersion:
			return fmt.Errorf("store: stored form %d is newer than this program's %d", form, roster.SchemaVersion)
		case form == roster.SchemaVersion:
			continue
		}
		if err := s.upgrade(ctx, bucket(b)); err != nil {
			return fault("bring what is stored into form "+strconv.Itoa(roster.SchemaVersion), err)
		}
	}
	return nil
}

// forms are the forms of the buckets, 0 for one that was never upgraded.
func (s *Store) forms(ctx context.Context) (forms [buckets]int, err error) {
	pipe := s.c.Pipeline()
	var cmds [buckets]*redis.StringCmd
	for b := range cmds {
		cmds[b] = pipe.Get(ctx, bucket(b).form())
	}
	if _, err := pipe.Exec(ctx); err != nil && !errors.Is(err, redis.Nil) {
		return forms, err
	}
	for b, cmd := range cmds {
		if cmd.Val() == "" {
			continue
		}
		if forms[b], err = cmd.Int(); err != nil {
			return forms, err
		}
	}
	return forms, nil
}

// ofFormThree are the names of a bucket's keys that are no more, in the order
// that upgrade.lua takes them, and those of a trip.
var (
	ofFormThree     = []string{"lease", "owner", "level", "backlog", "unsure", "ready:0", "ready:1", "ready:2", "done"}
	tripOfFormThree = []string{"session", "seen", "applied", "fifo", "body", "levels"}
)

func (s *Store) upgrade(ctx context.Context, b bucket) error {
	trips, err := s.tripsOf(ctx, b)
	if err != nil {
		return err
	}
	for id := range trips {
		if err := s.upgradeTrip(ctx, b, id); err != nil {
			return fmt.Errorf("trip %s: %w", id, err)
		}
	}
	_, err = s.c.TxPipelined(ctx, func(p redis.Pipeliner) error {
		for _, name := range ofFormThree {
			p.Del(ctx, b.key(name))
		}
		p.Set(ctx, b.form(), roster.SchemaVersion, 0)
		return nil
	})
	return err
}

// tripsOf are the trips that a bucket's indexes name.
func (s *Store) tripsOf(ctx context.Context, b bucket) (map[roster.TripID]bool, error) {
	pipe := s.c.Pipeline()
	names := []*redis.StringSliceCmd{pipe.ZRange(ctx, b.expiry(), 0, -1), pipe.ZRange(ctx, b.due(), 0, -1), pipe.HKeys(ctx, b.key("level"))}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, err
	}
	trips := map[roster.TripID]bool{}
	for _, cmd := range names {
		for _, name := range cmd.Val() {
			id, _, _ := strings.Cut(name, "|")
			trips[roster.TripID(id)] = true
		}
	}
	return trips, nil
}

// upgradeTrip repeats until nobody else writes the trip meanwhile.
func (s *Store) upgradeTrip(ctx context.Context, b bucket, id roster.TripID) error {
	keys := []string{tripKey("trip", id), tripKey("sources", id), tripKey("out", id), b.ready()}
	for _, name := range tripOfFormThree {
		keys = append(keys, tripKey(name, id))
	}
	for _, name := range ofFormThree[:8] {
		keys = append(keys, b.key(name))
	}
	for done := false; !done; {
		fields, err := s.c.HGetAll(ctx, keys[0]).Result()
		if err != nil {
			return err
		}
		t, err := decode(fields)
		if errors.Is(err, roster.ErrNotFound) || err == nil && t.Schema == roster.SchemaVersion {
			return nil // expired, or brought into this form by another process
		}
		if err != nil {
			return err
		}
		set, err := whole(t)
		if err != nil {
			return err
		}
		args := append([]any{string(id), fields["data"]}, set...)
		if done, err = upgradeScript.Run(ctx, s.c, keys, args...).Bool(); err != nil {
			return err
		}
	}
	return nil
}
