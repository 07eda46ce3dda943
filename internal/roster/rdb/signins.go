package rdb

import (
	"context"
	"errors"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// SignIns keeps who is signed in at the desk. Of tokens it is given hashes only.
// A mark is the caller's own: it comes back with the session.
type SignIns Store

// Begin keeps a session for so long.
func (s *SignIns) Begin(ctx context.Context, shop roster.ShopID, hash, mark string, life time.Duration) error {
	epoch, err := s.c.Get(ctx, deskKey(shop, "epoch")).Result()
	if err == nil || errors.Is(err, redis.Nil) {
		err = s.c.Set(ctx, deskKey(shop, "in:"+hash), epoch+" "+mark, life).Err()
	}
	if err != nil {
		return fault("sign in", err)
	}
	return nil
}

// Session is the mark of a session; ErrNotFound when it ended or never was.
func (s *SignIns) Session(ctx context.Context, shop roster.ShopID, hash string) (mark string, err error) {
	found, err := s.c.MGet(ctx, deskKey(shop, "in:"+hash), deskKey(shop, "epoch")).Result()
	if err != nil {
		return "", fault("read a session", err)
	}
	session, ok := found[0].(string)
	epoch, _ := found[1].(string)
	began, mark, _ := strings.Cut(session, " ")
	if !ok || began != epoch {
		return "", roster.ErrNotFound
	}
	return mark, nil
}

// End ends one session.
func (s *SignIns) End(ctx context.Context, shop roster.ShopID, hash string) error {
	if err := s.c.Del(ctx, deskKey(shop, "in:"+hash)).Err(); err != nil {
		return fault("sign out", err)
	}
	return nil
}

// EndAll ends every session of a shop.
func (s *SignIns) EndAll(ctx context.Context, shop roster.ShopID) error {
	if err := s.c.Incr(ctx, deskKey(shop, "epoch")).Err(); err != nil {
		return fault("sign everybody out", err)
	}
	return nil
}

// Offer keeps a link that signs somebody in once.
func (s *SignIns) Offer(ctx context.Context, shop roster.ShopID, hash string, life time.Duration) error {
	if err := s.c.Set(ctx, deskKey(shop, "link:"+hash), "1", life).Err(); err != nil {
		return fault("keep a sign-in link", err)
	}
	return nil
}

// Redeem uses a link up; ErrNotFound when it was used, ran out or never was. Of
// two at the same moment one gets in.
func (s *SignIns) Redeem(ctx context.Context, shop roster.ShopID, hash string) error {
	n, err := s.c.Del(ctx, deskKey(shop, "link:"+hash)).Result()
	switch {
	case err != nil:
		return fault("use a sign-in link", err)
	case n == 0:
		return roster.ErrNotFound
	}
	return nil
}
