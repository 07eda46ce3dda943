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

// seat is a roster.Seat as it is stored, under its trip. Short: Redis packs a
// record of fields under 64 bytes into a third of the room.
type seat struct {
	roster.Seat
	Trip    *struct{} `json:"trip,omitempty"` // these in place of the seat's own
	Person  string    `json:"p"`
	Departs int64     `json:"d"` // ms
	Linked  int64     `json:"l"` // ms, for the order of joining
}

const seatPrefix = "seat:"

// readSeat reads a field of a record, false when it is no seat.
func readSeat(field, line string) (s seat, ok bool) {
	trip, ok := strings.CutPrefix(field, seatPrefix)
	if !ok || json.Unmarshal([]byte(line), &s) != nil {
		return seat{}, false
	}
	s.Seat.Trip, s.Seat.Person, s.Seat.Departs = roster.TripID(trip), roster.PersonID(s.Person),
		time.UnixMilli(s.Departs).UTC()
	return s, true
}

// Route reads an address's record and any earlier claim of source, in one round
// trip. Seats of trips that have expired are left out.
func (s *Addresses) Route(ctx context.Context, a roster.Address, source string) (roster.Route, error) {
	pipe := s.c.Pipeline()
	record := pipe.HGetAll(ctx, recordKey(a))
	claim := pipe.HGet(ctx, claimsKey(a), source)
	if _, err := pipe.Exec(ctx); err != nil && !errors.Is(err, redis.Nil) {
		return roster.Route{}, fault("read route", err)
	}
	return s.route(record.Val(), claim.Val()), nil
}

func (s *Addresses) route(record map[string]string, claim string) roster.Route {
	r := roster.Route{Current: roster.TripID(record["current"]), Language: record["language"], Units: record["units"]}
	var seats []seat
	for field, line := range record {
		if st, ok := readSeat(field, line); ok && s.Now().Before(s.ends(st.Seat)) {
			seats = append(seats, st)
		}
	}
	slices.SortFunc(seats, func(x, y seat) int {
		if x.Linked != y.Linked {
			return int(min(1, max(-1, x.Linked-y.Linked)))
		}
		return strings.Compare(string(x.Seat.Trip), string(y.Seat.Trip))
	})
	for _, st := range seats {
		r.Trips = append(r.Trips, st.Seat)
	}
	r.Host = readHost(record["host"])
	if at, state, ok := strings.Cut(record["talk"], " "); ok && s.Now().Sub(readMS(at)) < roster.TalkLife {
		r.Talk = json.RawMessage(state)
	}
	if at, trip, ok := strings.Cut(claim, " "); ok {
		if s.Now().Sub(readMS(at)) < claimLife {
			r.Claimed = roster.TripID(trip)
		}
	}
	return r
}

// ends is until when a seat is kept.
func (s *Addresses) ends(st roster.Seat) time.Time {
	if !st.Expires.IsZero() {
		return st.Expires
	}
	return st.Departs.Add(s.Keep)
}

// Claim binds source to a trip for 48 h; the first claim wins and is returned.
func (s *Addresses) Claim(ctx context.Context, a roster.Address, source string, trip roster.TripID) (roster.TripID,
	error) {
	got, err := claimScript.Run(ctx, s.c, []string{claimsKey(a)}, ms(s.Now()), source, string(trip)).Text()
	if err != nil {
		return "", fault("claim message", err)
	}
	return roster.TripID(got), nil
}

// Seat seats an address on a trip, or renews its seat there. It keeps the
// order of joining.
func (s *Addresses) Seat(ctx context.Context, a roster.Address, st roster.Seat) error {
	record, err := s.c.HGetAll(ctx, recordKey(a)).Result()
	if err != nil {
		return fault("link", err)
	}
	mine := seatPrefix + string(st.Trip)
	stored := seat{Seat: st, Person: string(st.Person), Departs: st.Departs.UnixMilli(), Linked: s.Now().UnixMilli()}
	if was, ok := readSeat(mine, record[mine]); ok && was.Linked != 0 {
		stored.Linked = was.Linked
	}
	line, err := json.Marshal(stored)
	if err != nil {
		return fault("link", err)
	}
	var over []string
	for field, line := range record {
		if old, ok := readSeat(field, line); ok && !s.Now().Before(s.ends(old.Seat)) {
			over = append(over, field)
		}
	}
	return s.change(ctx, a, s.ends(st), over, mine, string(line))
}

// change removes and sets fields of a record that is to live at least until ends.
func (s *Addresses) change(ctx context.Context, a roster.Address, ends time.Time, remove []string,
	set ...string) error {
	args := []any{ms(ends), len(remove)}
	for _, v := range append(remove, set...) {
		args = append(args, v)
	}
	if err := preferScript.Run(ctx, s.c, []string{recordKey(a)}, args...).Err(); err != nil {
		return fault("change an address's record", err)
	}
	return nil
}

// Unseat takes an address off a trip.
func (s *Addresses) Unseat(ctx context.Context, a roster.Address, trip roster.TripID) error {
	if err := s.c.HDel(ctx, recordKey(a), seatPrefix+string(trip)).Err(); err != nil {
		return fault("unlink", err)
	}
	return nil
}

// Prefer stores the current trip, language or units; "" leaves one as it is.
func (s *Addresses) Prefer(ctx context.Context, a roster.Address, current roster.TripID, language, units string) error {
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

// hostLife is how long an account is a host's without using it.
const hostLife = 400 * 24 * time.Hour

// Talk keeps the state of a dialogue beside any trip; nil ends it.
func (s *Addresses) Talk(ctx context.Context, a roster.Address, state json.RawMessage) error {
	if state == nil {
		return s.change(ctx, a, s.Now(), []string{"talk"})
	}
	return s.change(ctx, a, s.Now().Add(roster.TalkLife), nil, "talk", ms(s.Now())+" "+string(state))
}

// Hosts makes an account a host's.
func (s *Addresses) Hosts(ctx context.Context, a roster.Address, seat roster.HostSeat) error {
	return s.change(ctx, a, s.Now().Add(hostLife), nil, "host", string(seat.ID)+" "+strconv.Itoa(seat.Generation))
}

func readHost(field string) roster.HostSeat {
	id, generation, _ := strings.Cut(field, " ")
	n, err := strconv.Atoi(generation)
	if err != nil {
		return roster.HostSeat{}
	}
	return roster.HostSeat{ID: roster.HostID(id), Generation: n}
}

// readMS is an instant as ms writes it, long ago when it is none.
func readMS(text string) time.Time {
	v, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return time.Time{}
	}
	return time.UnixMilli(v)
}

// Forget erases the whole record, with the claims of its messages.
func (s *Addresses) Forget(ctx context.Context, a roster.Address) error {
	if err := s.c.Del(ctx, recordKey(a), claimsKey(a)).Err(); err != nil {
		return fault("forget an address", err)
	}
	return nil
}

// Migrate moves a record to a new id; what the new one holds already stays. A
// repeated call completes what was interrupted.
func (s *Addresses) Migrate(ctx context.Context, from, to roster.Address) error {
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
		if st, ok := readSeat(field, v); ok && s.ends(st.Seat).After(ends) {
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
