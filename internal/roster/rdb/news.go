package rdb

import (
	"cmp"
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

// due is a trip with news in its bucket's index.
type dueNews struct {
	bucket bucket
	member string
	score  float64
}

// TakeNews leases up to max trips that have news due at now, the longest due
// first. It looks first and leases bucket by bucket, so that every script names
// its keys; when one bucket fails, what was taken from others is returned.
func (s *News) TakeNews(ctx context.Context, token string, now time.Time, lease time.Duration,
	max int) ([]roster.News, error) {
	found, err := s.dueNews(ctx, now, max)
	if err != nil {
		return nil, fault("look for news", err)
	}
	var taken []roster.News
	var failed error
	for b := range bucket(buckets) {
		mine := slices.DeleteFunc(slices.Clone(found), func(d dueNews) bool { return d.bucket != b })
		if len(mine) == 0 {
			continue
		}
		got, err := s.takeNews(ctx, b, mine, token, now, lease)
		if err != nil {
			failed = err
		}
		taken = append(taken, got...)
	}
	if len(taken) == 0 && failed != nil {
		return nil, fault("take news", failed)
	}
	return taken, nil
}

func (s *News) dueNews(ctx context.Context, now time.Time, max int) ([]dueNews, error) {
	by := &redis.ZRangeBy{Min: "-inf", Max: ms(now), Count: int64(max)}
	pipe := s.c.Pipeline()
	var cmds []*redis.ZSliceCmd
	for b := range bucket(buckets) {
		cmds = append(cmds, pipe.ZRangeByScoreWithScores(ctx, b.news(), by))
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, err
	}
	var found []dueNews
	for b, cmd := range cmds {
		for _, z := range cmd.Val() {
			found = append(found, dueNews{bucket(b), z.Member.(string), z.Score})
		}
	}
	slices.SortStableFunc(found, func(x, y dueNews) int { return cmp.Compare(x.score, y.score) })
	return found[:min(max, len(found))], nil
}

// takeNews leases trips of one bucket.
func (s *News) takeNews(ctx context.Context, b bucket, due []dueNews, token string, now time.Time,
	lease time.Duration) ([]roster.News, error) {
	keys, args := []string{b.news(), b.teller()}, []any{token, ms(now), ms(now.Add(lease))}
	for _, d := range due {
		trip, _ := splitMember(d.member)
		keys, args = append(keys, tripKey("events", trip), tripKey("told", trip)), append(args, d.member)
	}
	parts, err := newsTakeScript.Run(ctx, s.c, keys, args...).StringSlice()
	if err != nil {
		return nil, err
	}
	var taken []roster.News
	for ; len(parts) >= 5; parts = parts[5:] {
		n := roster.News{Token: token, Since: msTime(parts[3]), Event: json.RawMessage(parts[4])}
		n.Trip, n.Shop = splitMember(parts[0])
		n.Number, _ = strconv.Atoi(parts[1])
		n.Attempts, _ = strconv.Atoi(parts[2])
		taken = append(taken, n)
	}
	return taken, nil
}

// splitMember takes apart what expiryMember put together.
func splitMember(m string) (roster.TripID, roster.ShopID) {
	trip, shop, _ := strings.Cut(m, "|")
	return roster.TripID(trip), roster.ShopID(shop)
}

// msTime reads an instant as scripts return it; "" is the zero time.
func msTime(s string) time.Time {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		return time.Time{}
	}
	return time.UnixMilli(n).UTC()
}

func newsKeys(trip roster.TripID) []string {
	b := bucketOf(trip)
	return []string{b.news(), b.teller(), tripKey("events", trip), tripKey("told", trip), tripKey("trip", trip)}
}

// EndNews ends a lease. ErrConflict when it is no longer ours.
func (s *News) EndNews(ctx context.Context, n roster.News, end roster.NewsEnd, at time.Time) error {
	answer, err := newsEndScript.Run(ctx, s.c, newsKeys(n.Trip), string(end), n.Token, expiryMember(n.Trip, n.Shop),
		n.Number, ms(s.Now()), msOrNone(at)).Text()
	switch {
	case err != nil:
		return fault("end news of trip "+string(n.Trip), err)
	case answer != "ok":
		return roster.ErrConflict
	}
	return nil
}

// WakeNews makes what a trip still has to tell due now, from event number from
// on, or from where it stands when from is 0; afresh, with failures forgotten.
func (s *News) WakeNews(ctx context.Context, shop roster.ShopID, trip roster.TripID, from int, afresh bool,
	now time.Time) (int, error) {
	left, err := newsWakeScript.Run(ctx, s.c, newsKeys(trip), expiryMember(trip, shop), from, ms(now), afresh).Int()
	switch {
	case err != nil:
		return 0, fault("wake news of trip "+string(trip), err)
	case left < 0:
		return 0, roster.ErrNotFound
	}
	return left, nil
}

// NewsWaiting counts the events of trips that were not told yet.
func (s *News) NewsWaiting(ctx context.Context, trips []roster.TripID) (int, error) {
	pipe := s.c.Pipeline()
	events, told := make([]*redis.IntCmd, len(trips)), make([]*redis.SliceCmd, len(trips))
	for i, id := range trips {
		events[i] = pipe.LLen(ctx, tripKey("events", id))
		told[i] = pipe.HMGet(ctx, tripKey("told", id), "sent", "gone")
	}
	if _, err := pipe.Exec(ctx); err != nil && !errors.Is(err, redis.Nil) {
		return 0, fault("count news", err)
	}
	waiting := 0
	for i := range trips {
		var at struct {
			Sent int `redis:"sent"`
			Gone int `redis:"gone"`
		}
		_ = told[i].Scan(&at) // our own numbers, or none yet
		waiting += max(0, at.Gone+int(events[i].Val())-at.Sent)
	}
	return waiting, nil
}
