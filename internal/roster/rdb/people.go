package rdb

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// claimLife is how long a message stays bound to its trip.
const claimLife = 48 * time.Hour

// seat is a roster.Seat as it is stored.
type seat struct {
	roster.Seat
	Linked int64 `json:"linked"` // ms, for the order of joining
}

// Route reads an address's record and any earlier claim of source, in one round
// trip. Seats of trips that have expired are left out.
func (s *People) Route(ctx context.Context, a roster.Address, source string) (roster.Route, error) {
	pipe := s.c.Pipeline()
	record := pipe.HGetAll(ctx, recordKey(a))
	claim := pipe.HGet(ctx, claimsKey(a), source)
	if _, err := pipe.Exec(ctx); err != nil && !errors.Is(err, redis.Nil) {
		return roster.Route{}, fault("read route", err)
	}
	return s.route(record.Val(), claim.Val()), nil
}

func (s *People) route(record map[string]string, claim string) roster.Route {
	r := roster.Route{Current: roster.TripID(record["current"]), Language: record["language"], Units: record["units"]}
	var seats []seat
	for field, line := range record {
		var st seat
		if strings.HasPrefix(field, "seat:") && json.Unmarshal([]byte(line), &st) == nil && s.Now().Before(s.ends(st.Seat)) {
			seats = append(seats, st)
		}
	}
	slices.SortFunc(seats, func(x, y seat) int {
		if x.Linked != y.Linked {
			return int(min(1, max(-1, x.Linked-y.Linked)))
		}
		return strings.Compare(string(x.Trip), string(y.Trip))
	})
	for _, st := range seats {
		r.Trips = append(r.Trips, st.Seat)
	}
	if at, trip, ok := strings.Cut(claim, " "); ok {
		if since, err := strconv.ParseInt(at, 10, 64); err == nil && s.Now().Sub(time.UnixMilli(since)) < claimLife {
			r.Claimed = roster.TripID(trip)
		}
	}
	return r
}

// ends is until when a seat is kept.
func (s *People) ends(st roster.Seat) time.Time {
	if !st.Expires.IsZero() {
		return st.Expires
	}
	return st.Departs.Add(s.Keep)
}

// Claim binds source to a trip for 48 h; the first claim wins and is returned.
func (s *People) Claim(ctx context.Context, a roster.Address, source string, trip roster.TripID) (roster.TripID, error) {
	got, err := claimScript.Run(ctx, s.c, []string{claimsKey(a)}, ms(s.Now()), source, string(trip)).Text()
	if err != nil {
		return "", fault("claim message", err)
	}
	return roster.TripID(got), nil
}

// Link seats an address on a trip, or renews its seat there. It keeps the
// order of joining.
func (s *People) Link(ctx context.Context, a roster.Address, st roster.Seat) error {
	record, err := s.c.HGetAll(ctx, recordKey(a)).Result()
	if err != nil {
		return fault("link", err)
	}
	stored := seat{Seat: st, Linked: s.Now().UnixMilli()}
	var was seat
	if json.Unmarshal([]byte(record["seat:"+string(st.Trip)]), &was) == nil && was.Linked != 0 {
		stored.Linked = was.Linked
	}
	line, err := json.Marshal(stored)
	if err != nil {
		return fault("link", err)
	}
	var over []string
	for field, line := range record {
		var old seat
		if strings.HasPrefix(field, "seat:") && json.Unmarshal([]byte(line), &old) == nil && !s.Now().Before(s.ends(old.Seat)) {
			over = append(over, field)
		}
	}
	return s.change(ctx, a, s.ends(st), over, "seat:"+string(st.Trip), string(line))
}

// change removes and sets fields of a record that is to live at least until ends.
func (s *People) change(ctx context.Context, a roster.Address, ends time.Time, remove []string, set ...string) error {
	args := []any{ms(ends), len(remove)}
	for _, v := range append(remove, set...) {
		args = append(args, v)
	}
	if err := preferScript.Run(ctx, s.c, []string{recordKey(a)}, args...).Err(); err != nil {
		return fault("change an address's record", err)
	}
	return nil
}

// Unlink takes an address off a trip.
func (s *People) Unlink(ctx context.Context, a roster.Address, trip roster.TripID) error {
	if err := s.c.HDel(ctx, recordKey(a), "seat:"+string(trip)).Err(); err != nil {
		return fault("unlink", err)
	}
	return nil
}

// Prefer stores the current trip, language or units; "" leaves one as it is.
func (s *People) Prefer(ctx context.Context, a roster.Address, current roster.TripID, language, units string) error {
	var set []string
	for _, f := range [][2]string{{"current", string(current)}, {"language", language}, {"units", units}} {
		if f[1] != "" {
			set = append(set, f[0], f[1])
		}
	}
	if len(set) == 0 {
		return nil
	}
	return s.change(ctx, a, s.Now().Add(24*time.Hour), nil, set...)
}

// Forget erases the whole record, with the claims of its messages.
func (s *People) Forget(ctx context.Context, a roster.Address) error {
	if err := s.c.Del(ctx, recordKey(a), claimsKey(a)).Err(); err != nil {
		return fault("forget an address", err)
	}
	return nil
}

// Migrate moves a record to a new id; what the new one holds already stays. A
// repeated call completes what was interrupted.
func (s *People) Migrate(ctx context.Context, from, to roster.Address) error {
	if from == to {
		return nil
	}
	old, err := s.c.HGetAll(ctx, recordKey(from)).Result()
	if err != nil {
		return fault("migrate an address", err)
	}
	present, err := s.c.HGetAll(ctx, recordKey(to)).Result()
	if err != nil {
		return fault("migrate an address", err)
	}
	ends := s.Now().Add(24 * time.Hour)
	var set []string
	for field, v := range old {
		var st seat
		if strings.HasPrefix(field, "seat:") && json.Unmarshal([]byte(v), &st) == nil && s.ends(st.Seat).After(ends) {
			ends = s.ends(st.Seat)
		}
		if _, taken := present[field]; !taken {
			set = append(set, field, v)
		}
	}
	if len(set) > 0 {
		if err := s.change(ctx, to, ends, nil, set...); err != nil {
			return err
		}
	}
	return s.Forget(ctx, from)
}
