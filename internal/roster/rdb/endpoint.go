package rdb

import (
	"context"
	"encoding/json"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// A shop's delivery log: how many lines, and how long after the last one.
const (
	logLines = 1000
	logLife  = 31 * 24 * time.Hour
)

// PutEndpoint registers where a shop listens, with a clean history.
func (s *News) PutEndpoint(ctx context.Context, shop roster.ShopID, e roster.Endpoint) error {
	line, err := json.Marshal(e) // #nosec G117 -- the secret in it is sealed
	if err != nil {
		return fault("store an endpoint", err)
	}
	_, err = s.c.Pipelined(ctx, func(p redis.Pipeliner) error {
		p.HSet(ctx, endpointKey(shop), "id", e.ID, "endpoint", line)
		p.HDel(ctx, endpointKey(shop), "failing", "succeeded", "disabled", "reason")
		return nil
	})
	if err != nil {
		return fault("store an endpoint", err)
	}
	return nil
}

// Endpoint is where the shop listens; ErrNotFound when nowhere.
func (s *News) Endpoint(ctx context.Context, shop roster.ShopID) (roster.Endpoint, error) {
	fields, err := s.c.HGetAll(ctx, endpointKey(shop)).Result()
	if err != nil {
		return roster.Endpoint{}, fault("read an endpoint", err)
	}
	if fields["endpoint"] == "" {
		return roster.Endpoint{}, roster.ErrNotFound
	}
	var e roster.Endpoint
	if err := json.Unmarshal([]byte(fields["endpoint"]), &e); err != nil {
		return roster.Endpoint{}, fault("read an endpoint", err)
	}
	e.Failing, e.Succeeded, e.Disabled = msTime(fields["failing"]), msTime(fields["succeeded"]), msTime(fields["disabled"])
	e.Reason = fields["reason"]
	return e, nil
}

// DropEndpoint forgets where a shop listens.
func (s *News) DropEndpoint(ctx context.Context, shop roster.ShopID) error {
	if err := s.c.Del(ctx, endpointKey(shop)).Err(); err != nil {
		return fault("forget an endpoint", err)
	}
	return nil
}

// Report notes how an attempt ended; see roster.Newsroom.
func (s *News) Report(ctx context.Context, shop roster.ShopID, id, reason string, patience time.Duration,
	now time.Time) (time.Time, bool, error) {
	got, err := reportScript.Run(ctx, s.c, []string{endpointKey(shop)}, id, reason, patience.Milliseconds(),
		ms(now)).StringSlice()
	if err != nil || len(got) != 2 {
		return time.Time{}, false, fault("report on an endpoint", err)
	}
	return msTime(got[0]), got[1] == "1", nil
}

// LogDelivery appends to the shop's delivery log. The same line again changes
// nothing.
func (s *News) LogDelivery(ctx context.Context, shop roster.ShopID, d roster.Delivery) error {
	line, err := json.Marshal(d)
	if err != nil {
		return fault("log a delivery", err)
	}
	key := deliveriesKey(shop)
	_, err = s.c.Pipelined(ctx, func(p redis.Pipeliner) error {
		p.ZAdd(ctx, key, redis.Z{Score: float64(d.At.UnixMilli()), Member: line})
		p.ZRemRangeByRank(ctx, key, 0, -logLines-1)
		p.PExpire(ctx, key, logLife)
		return nil
	})
	if err != nil {
		return fault("log a delivery", err)
	}
	return nil
}

// Deliveries reads the delivery log, the latest first.
func (s *News) Deliveries(ctx context.Context, shop roster.ShopID, before time.Time, max int) ([]roster.Delivery,
	error) {
	by := &redis.ZRangeBy{Min: "-inf", Max: "+inf", Count: int64(max)}
	if !before.IsZero() {
		by.Max = ms(before)
	}
	lines, err := s.c.ZRevRangeByScore(ctx, deliveriesKey(shop), by).Result()
	if err != nil {
		return nil, fault("read deliveries", err)
	}
	return decodeAll[roster.Delivery](lines)
}
