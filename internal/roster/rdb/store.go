package rdb

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// Store keeps trips in Redis. Its other faces (Outbox, People, Chats, Shops,
// Limiter) use the same client. It is safe for concurrent use, by any number of
// processes.
type Store struct {
	c redis.UniversalClient
	// commits by bucket: on a cluster the buckets of one server must not wait
	// for those of another; on one server all share.
	commits []*pipeline
	// process tells those who wait for a place to send apart.
	process string
	// Now is the clock that source ids and claims are forgotten by.
	Now func() time.Time
	// Logger gets what was given up.
	Logger *slog.Logger
	// Keep is how long an address's record outlives a departure when its seat
	// does not say.
	Keep time.Duration
}

// The faces of a store; each implements the interface of its name in roster.
type (
	Outbox    Store
	Addresses Store
	Chats     Store
	Shops     Store
	Hosts     Store
	Limiter   Store
	News      Store
)

// New makes a store that uses c; see Open. Set Now, Logger and Keep before its faces
// are used.
func New(c redis.UniversalClient) *Store {
	s := &Store{c: c, process: roster.NewToken(), Logger: slog.Default(), Now: time.Now, Keep: 31 * 24 * time.Hour}
	groups := 1
	if _, cluster := c.(*redis.ClusterClient); cluster {
		groups = buckets
	}
	for range groups {
		s.commits = append(s.commits, newPipeline(c, text("commit")))
	}
	return s
}

// Outbox is the door out's store.
func (s *Store) Outbox() *Outbox { return (*Outbox)(s) }

// Addresses are the records of addresses.
func (s *Store) Addresses() *Addresses { return (*Addresses)(s) }

// Chats are the chat pages.
func (s *Store) Chats() *Chats { return (*Chats)(s) }

// Shops are the shops of a deployment.
func (s *Store) Shops() *Shops { return (*Shops)(s) }

// SignIns are the sessions at the desk.
func (s *Store) SignIns() *SignIns { return (*SignIns)(s) }

// Hosts are those who may start trips from a phone.
func (s *Store) Hosts() *Hosts { return (*Hosts)(s) }

// Limiter shares sending limits between processes.
func (s *Store) Limiter() *Limiter { return (*Limiter)(s) }

// News is what the shops' systems still have to hear of.
func (s *Store) News() *News { return (*News)(s) }

var (
	_ roster.Newsroom  = (*News)(nil)
	_ roster.Store     = (*Store)(nil)
	_ roster.Outbox    = (*Outbox)(nil)
	_ roster.Addresses = (*Addresses)(nil)
	_ roster.Chats     = (*Chats)(nil)
	_ roster.Shops     = (*Shops)(nil)
	_ roster.Hosts     = (*Hosts)(nil)
	_ roster.Limiter   = (*Limiter)(nil)
)

// sourceLife is how long the id of an event is remembered; commit.lua has the
// same number, in minutes.
const sourceLife = 48 * time.Hour

// ms is an instant as scripts take it: whole milliseconds, as text, since Lua
// would print a large number in its own way.
func ms(t time.Time) string { return strconv.FormatInt(t.UnixMilli(), 10) }

// msOrNone is "" for the zero time.
func msOrNone(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return ms(t)
}

func fault(what string, err error) error { return fmt.Errorf("store: %s: %w", what, err) }

// Load reads a trip, its people's dialogue states and whether source was
// committed before, in one round trip. It need not be one instant: a commit in
// between is noticed by the version.
func (s *Store) Load(ctx context.Context, id roster.TripID, source string) (roster.Loaded, error) {
	pipe := s.c.Pipeline()
	fields, sources := pipe.HGetAll(ctx, tripKey("trip", id)), pipe.Get(ctx, tripKey("sources", id))
	if _, err := pipe.Exec(ctx); err != nil && !errors.Is(err, redis.Nil) {
		return roster.Loaded{}, fault("load trip "+string(id), err)
	}
	trip, err := decode(fields.Val())
	if err != nil {
		return roster.Loaded{}, fault("load trip "+string(id), err)
	}
	l := roster.Loaded{Trip: trip, Sessions: map[roster.PersonID]json.RawMessage{},
		Seen: source != "" && heard(sources.Val(), source, s.Now().Add(-sourceLife))}
	for field, state := range fields.Val() {
		if person, ok := strings.CutPrefix(field, sessionPrefix); ok {
			l.Sessions[roster.PersonID(person)] = json.RawMessage(state)
		}
	}
	return l, nil
}

// heard looks for an event's id in a trip's sources, as commit.lua writes and
// reads them: one that came in after since, to the minute.
func heard(sources, source string, since time.Time) bool {
	for {
		_, after, found := strings.Cut(sources, "\n"+source+"\r")
		if !found {
			return false
		}
		at, _, _ := strings.Cut(after, "\n")
		if minute, err := strconv.ParseInt(at, 10, 64); err == nil && minute > since.Unix()/60 {
			return true
		}
		sources = after
	}
}

// Log returns the trip's acts, oldest first.
func (s *Store) Log(ctx context.Context, id roster.TripID) ([]roster.Act, error) {
	stored, err := list[act](ctx, s.c, tripKey("log", id))
	if err != nil {
		return nil, err
	}
	acts := make([]roster.Act, len(stored))
	for i, a := range stored {
		acts[i] = a.act()
	}
	return acts, nil
}

// Events returns the trip's news for the shop's systems, oldest first.
func (s *Store) Events(ctx context.Context, id roster.TripID) ([]json.RawMessage, error) {
	return list[json.RawMessage](ctx, s.c, tripKey("events", id))
}

func list[T any](ctx context.Context, c redis.UniversalClient, key string) ([]T, error) {
	lines, err := c.LRange(ctx, key, 0, -1).Result()
	if err != nil {
		return nil, fault("read "+key, err)
	}
	return decodeAll[T](lines)
}

func decodeAll[T any](lines []string) ([]T, error) {
	all := make([]T, len(lines))
	for i, line := range lines {
		if err := json.Unmarshal([]byte(line), &all[i]); err != nil {
			return nil, fault("stored form can't be read", err)
		}
	}
	return all, nil
}

// List returns the ids of a shop's trips departing in [from, to), by departure.
// A zero time leaves that side open.
func (s *Store) List(ctx context.Context, shop roster.ShopID, from, to time.Time) ([]roster.TripID, error) {
	by := &redis.ZRangeBy{Min: "-inf", Max: "+inf"}
	if !from.IsZero() {
		by.Min = ms(from)
	}
	if !to.IsZero() {
		by.Max = "(" + ms(to)
	}
	found, err := s.everyBucket(ctx, func(p redis.Pipeliner, b bucket) *redis.ZSliceCmd {
		return p.ZRangeByScoreWithScores(ctx, b.shop(shop), by)
	})
	if err != nil {
		return nil, fault("list trips", err)
	}
	return tripIDs(found), nil
}

// Due returns trips whose wake-up is due at now, at most max, the earliest
// first. In passing it erases what is left of trips that have expired.
func (s *Store) Due(ctx context.Context, now time.Time, max int) ([]roster.TripID, error) {
	if err := s.sweep(ctx); err != nil {
		return nil, err
	}
	by := &redis.ZRangeBy{Min: "-inf", Max: ms(now), Count: int64(max)}
	found, err := s.everyBucket(ctx, func(p redis.Pipeliner, b bucket) *redis.ZSliceCmd {
		return p.ZRangeByScoreWithScores(ctx, b.due(), by)
	})
	if err != nil {
		return nil, fault("read due trips", err)
	}
	return tripIDs(found[:min(max, len(found))]), nil
}

// everyBucket reads one range of each bucket in one round trip (on a cluster,
// one to each server) and merges them by score.
func (s *Store) everyBucket(ctx context.Context,
	read func(redis.Pipeliner, bucket) *redis.ZSliceCmd) ([]redis.Z, error) {
	pipe := s.c.Pipeline()
	var cmds []*redis.ZSliceCmd
	for b := range bucket(buckets) {
		cmds = append(cmds, read(pipe, b))
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, err
	}
	var all []redis.Z
	for _, cmd := range cmds {
		all = append(all, cmd.Val()...)
	}
	slices.SortStableFunc(all, func(x, y redis.Z) int { return cmp.Compare(x.Score, y.Score) })
	return all, nil
}

func tripIDs(found []redis.Z) []roster.TripID {
	ids := make([]roster.TripID, len(found))
	for i, z := range found {
		ids[i] = roster.TripID(z.Member.(string))
	}
	return ids
}

// Ping tells whether the store can be reached and written, replicas or not: without
// them boards can still be looked at.
func (s *Store) Ping(ctx context.Context) error {
	if err := s.c.Set(hastily(ctx), pingKey(), ms(s.Now()), time.Minute).Err(); err != nil {
		return fault("ping", err)
	}
	return nil
}
