package rdb

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// answerLife is how long an answer is kept under its idempotency key.
const answerLife = 24 * time.Hour

// PutShop stores a shop; a new key hash replaces its earlier one. ErrConflict
// when the name (or the key) is taken by another id.
func (s *Shops) PutShop(ctx context.Context, shop roster.Shop) error { return s.put(ctx, shop, "") }

// ReplaceShop stores a shop in place of the value that was read: ErrConflict when it has
// another key by now, which would come back to life.
func (s *Shops) ReplaceShop(ctx context.Context, was, is roster.Shop) error {
	return s.put(ctx, is, was.KeyHash)
}

func (s *Shops) put(ctx context.Context, shop roster.Shop, hadKey string) error {
	line, err := json.Marshal(shop)
	if err != nil {
		return fault("store a shop", err)
	}
	answer, err := putShopScript.Run(ctx, s.c, []string{shopsKey(), shopKeysKey()}, string(shop.ID), line, shop.Name,
		shop.KeyHash, hadKey).Text()
	switch {
	case err != nil:
		return fault("store a shop", err)
	case answer != "ok":
		return roster.ErrConflict
	}
	return nil
}

// RemoveShop removes a shop and its key. What it booked stays.
func (s *Shops) RemoveShop(ctx context.Context, id roster.ShopID) error {
	if err := removeShopScript.Run(ctx, s.c, []string{shopsKey(), shopKeysKey()}, string(id)).Err(); err != nil {
		return fault("remove a shop", err)
	}
	return nil
}

// ShopByKey is the shop whose key has that hash; ErrNotFound when none has.
func (s *Shops) ShopByKey(ctx context.Context, keyHash string) (roster.Shop, error) {
	id, err := s.c.HGet(ctx, shopKeysKey(), keyHash).Result()
	if err == nil {
		var line string
		if line, err = s.c.HGet(ctx, shopsKey(), id).Result(); err == nil {
			var shop roster.Shop
			if err = json.Unmarshal([]byte(line), &shop); err == nil && shop.KeyHash == keyHash {
				return shop, nil
			}
		}
	}
	if err == nil || errors.Is(err, redis.Nil) { // no error: the key changed between the two reads
		return roster.Shop{}, roster.ErrNotFound
	}
	return roster.Shop{}, fault("find a shop", err)
}

// Shop is the shop with that id; ErrNotFound when there is none.
func (s *Shops) Shop(ctx context.Context, id roster.ShopID) (roster.Shop, error) {
	line, err := s.c.HGet(ctx, shopsKey(), string(id)).Result()
	if errors.Is(err, redis.Nil) {
		return roster.Shop{}, roster.ErrNotFound
	}
	var shop roster.Shop
	if err == nil {
		err = json.Unmarshal([]byte(line), &shop)
	}
	if err != nil {
		return roster.Shop{}, fault("find a shop", err)
	}
	return shop, nil
}

// ShopList are all shops, by name.
func (s *Shops) ShopList(ctx context.Context) ([]roster.Shop, error) {
	lines, err := s.c.HVals(ctx, shopsKey()).Result()
	if err != nil {
		return nil, fault("list shops", err)
	}
	shops, err := decodeAll[roster.Shop](lines)
	slices.SortFunc(shops, func(x, y roster.Shop) int { return strings.Compare(x.Name, y.Name) })
	return shops, err
}

// Idempotent returns the answer stored under key for 24 h, or stores the claim
// and returns nil. sameBody tells whether the key was claimed by a request with
// this hash.
func (s *Shops) Idempotent(ctx context.Context, shop roster.ShopID, key, body string) (answer []byte, sameBody bool,
	err error) {
	got, err := s.idempotent(ctx, shop, key, body, nil)
	if err != nil {
		return nil, false, err
	}
	if got[1] != "" {
		answer = []byte(got[1])
	}
	return answer, got[0] == body, nil
}

// Answer stores the answer of a claimed key. ErrConflict when the key was
// claimed by another request.
func (s *Shops) Answer(ctx context.Context, shop roster.ShopID, key, body string, answer []byte) error {
	got, err := s.idempotent(ctx, shop, key, body, answer)
	if err == nil && got[0] != body {
		return roster.ErrConflict
	}
	return err
}

func (s *Shops) idempotent(ctx context.Context, shop roster.ShopID, key, body string, answer []byte) ([]string, error) {
	got, err := idempotentScript.Run(ctx, s.c, []string{idemKey(shop, key)}, body, answer,
		answerLife.Milliseconds()).StringSlice()
	if err != nil {
		return nil, fault("idempotency key", err)
	}
	return got, nil
}
