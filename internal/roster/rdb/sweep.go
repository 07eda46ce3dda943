package rdb

import (
	"context"
	"strings"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// sweep clears the buckets' indexes of trips that have expired. A trip's own keys
// are expired by Redis, also when no process runs.
func (s *Store) sweep(ctx context.Context) error {
	by := &redis.ZRangeBy{Min: "-inf", Max: ms(s.Now()), Count: 10}
	expired, err := s.everyBucket(ctx, func(p redis.Pipeliner, b bucket) *redis.ZSliceCmd {
		return p.ZRangeByScoreWithScores(ctx, b.expiry(), by)
	})
	if err != nil {
		return fault("read expired trips", err)
	}
	for _, z := range expired {
		id, shop, _ := strings.Cut(z.Member.(string), "|")
		if err := s.erase(hastily(ctx), roster.TripID(id), roster.ShopID(shop), ""); err != nil {
			return fault("erase trip "+id, err)
		}
	}
	return nil
}

// EraseTrip erases a trip at once, and every text of the answers that are kept for the
// shop and tell of it: before, so that a crash in between leaves a trip to erase again.
func (s *Store) EraseTrip(ctx context.Context, shop roster.ShopID, id roster.TripID) error {
	how := roster.Rewrite{Text: func(string) string { return roster.ErasedName }}
	var missed int
	err := s.redactAnswers(ctx, shop, id, how, &missed)
	if err == nil {
		err = s.erase(ctx, id, shop, "now")
	}
	if err == nil {
		err = s.redactAnswers(ctx, shop, id, how, &missed)
	}
	if err != nil {
		return fault("erase trip "+string(id), err)
	}
	return nil
}

// erase takes when as erase.lua does.
func (s *Store) erase(ctx context.Context, id roster.TripID, shop roster.ShopID, when string) error {
	b := bucketOf(id)
	waiting, err := s.c.ZRange(ctx, b.ready(), 0, -1).Result()
	if err != nil {
		return err
	}
	args := []any{ms(s.Now()), string(id), expiryMember(id, shop), when}
	for _, q := range waiting {
		if of, _ := splitQueue(q); of == id {
			args = append(args, q)
		}
	}
	keys := []string{b.due(), b.expiry(), b.shop(shop), b.ready(), b.news(), b.teller()}
	return eraseScript.Run(ctx, s.c, append(keys, tripKeys(id)...), args...).Err()
}
