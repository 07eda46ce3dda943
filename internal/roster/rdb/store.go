package rdb

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
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
	commits []*together
	written *written
	full    *toPack
	// Now is the clock that source ids and claims are forgotten by.
	Now func() time.Time
	// Keep is how long an address's record outlives a departure when its seat
	// does not say.
	Keep time.Duration
}

// The faces of a store; each implements the interface of its name in roster.
type (
	Outbox  Store
	People  Store
	Chats   Store
	Shops   Store
	Limiter Store
	News    Store
)

// New makes a store that uses c; see Open. Set Now and Keep before its faces
// are used.
func New(c redis.UniversalClient) *Store {
	s := &Store{c: c, Now: time.Now, Keep: 31 * 24 * time.Hour, written: newWritten(), full: new(toPack)}
	groups := 1
	if _, cluster := c.(*redis.ClusterClient); cluster {
		groups = buckets
	}
	for range groups {
		s.commits = append(s.commits, newTogether(c, text("commit")))
	}
	return s
}

// Outbox is the door out's store.
func (s *Store) Outbox() *Outbox { return (*Outbox)(s) }

// People are the records of addresses.
func (s *Store) People() *People { return (*People)(s) }

// Chats are the chat pages.
func (s *Store) Chats() *Chats { return (*Chats)(s) }

// Shops are the shops of a deployment.
func (s *Store) Shops() *Shops { return (*Shops)(s) }

// Limiter shares sending limits between processes.
func (s *Store) Limiter() *Limiter { return (*Limiter)(s) }

// News is what the shops' systems still have to hear of.
func (s *Store) News() *News { return (*News)(s) }

var (
	_ roster.Newsroom = (*News)(nil)
	_ roster.Store    = (*Store)(nil)
	_ roster.Outbox   = (*Outbox)(nil)
	_ roster.People   = (*People)(nil)
	_ roster.Chats    = (*Chats)(nil)
	_ roster.Shops    = (*Shops)(nil)
	_ roster.Limiter  = (*Limiter)(nil)
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

// Commit writes everything or nothing; see roster.Store. On success the trip
// has its new version and its acts are with the log.
func (s *Store) Commit(ctx context.Context, c roster.Commit) error {
	if err := mayCommit(c); err != nil {
		return err
	}
	answer, err := s.commit(ctx, c)
	if err == nil && answer == "whole" {
		s.written.forget(c.Trip.ID)
		answer, err = s.commit(ctx, c)
	}
	switch {
	case err != nil:
		return fault("commit trip "+string(c.Trip.ID), err)
	case answer == "ok" || answer == "full" || answer == "applied":
		c.Trip.Version++
		c.Trip.Acts = nil
		return nil
	case answer == "duplicate":
		return roster.ErrDuplicate
	default:
		return roster.ErrConflict
	}
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

// commit runs the script once and returns its answer.
func (s *Store) commit(ctx context.Context, c roster.Commit) (string, error) {
	to, err := s.written.write(c)
	if err != nil {
		return "", err
	}
	args := s.commitArgs(c, to)
	answer, err := s.commits[int(bucketOf(c.Trip.ID))%len(s.commits)].run(ctx, args)
	if err == nil && (answer == "ok" || answer == "full") {
		s.written.now(c.Trip.ID, to.after)
	}
	if answer == "full" {
		s.full.add(c.Trip.ID)
	}
	return answer, err
}

// oftenTouched is how many keys commit.lua takes unless the expiry changes.
const oftenTouched = 11

// commitKeys are the keys of commit.lua.
func commitKeys(t *roster.Trip) []string {
	b, mine := bucketOf(t.ID), tripKeys(t.ID)
	keys := append(slices.Clone(mine[:5]), b.seq(), b.ready(), b.due(), b.expiry(), b.shop(t.Shop), b.news())
	return append(keys, mine[5:]...)
}

// beginCommit is what a call of commit.lua begins with: room for the command,
// how many keys, and they.
func beginCommit(keys []string) []any {
	begin := []any{nil, nil, len(keys)}
	for _, key := range keys {
		begin = append(begin, key)
	}
	return begin
}

// expiryMember is a trip in its bucket's expiry index: the shop with it, whose
// list it is in.
func expiryMember(id roster.TripID, shop roster.ShopID) string {
	return string(id) + "|" + string(shop)
}

// commitArgs is a call of commit.lua; see passenger.
func (s *Store) commitArgs(c roster.Commit, to writing) []any {
	wake, departs, moved := to.times()
	begin := to.after.begin
	if moved {
		begin = beginCommit(commitKeys(c.Trip))
	}
	args := make([]any, 0, len(begin)+18+len(c.Sources)+len(to.fields)+len(to.gone)+len(c.Trip.Acts)+len(c.Events)+len(c.Drop)+3*len(c.Out))
	args = append(append(args, begin...), ms(s.Now()), c.Trip.Version, to.after.number, c.Token, to.before.token,
		string(c.Trip.ID), expiryMember(c.Trip.ID, c.Trip.Shop), wake, departs, to.after.expire, moved,
		len(c.Sources), len(to.fields)/2, len(to.gone), len(c.Trip.Acts), len(c.Events), len(c.Drop), len(c.Out))
	for _, source := range c.Sources {
		args = append(args, source)
	}
	args = append(append(args, to.fields...), to.gone...)
	for _, a := range c.Trip.Acts {
		args = append(args, a.AppendJSON(make([]byte, 0, 256)))
	}
	for _, e := range c.Events {
		args = append(args, []byte(e))
	}
	for _, a := range c.Drop {
		args = append(args, address(a))
	}
	for _, e := range c.Out {
		e.Trip = c.Trip.ID
		line := e.AppendJSON(make([]byte, 0, len(e.Payload)+256))
		args = append(args, address(e.Address), int(min(e.Level, roster.Bulk)), line)
	}
	return args
}

// Log returns the trip's acts, oldest first.
func (s *Store) Log(ctx context.Context, id roster.TripID) ([]roster.Act, error) {
	return history[roster.Act](ctx, s, id, "log")
}

// Events returns the trip's news for the shop's systems, oldest first.
func (s *Store) Events(ctx context.Context, id roster.TripID) ([]json.RawMessage, error) {
	return history[json.RawMessage](ctx, s, id, "events")
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
func (s *Store) everyBucket(ctx context.Context, read func(redis.Pipeliner, bucket) *redis.ZSliceCmd) ([]redis.Z, error) {
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

// Ping tells whether the store can be reached and written.
func (s *Store) Ping(ctx context.Context) error {
	if err := s.c.Set(ctx, pingKey(), ms(s.Now()), time.Minute).Err(); err != nil {
		return fault("ping", err)
	}
	return nil
}
