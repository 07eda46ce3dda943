package rdb

import (
	"context"
	"encoding/json"
	"errors"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// Append adds an entry to a person's chat page; one with the same id again
// changes nothing. ErrNotFound when there is no such trip: a page never
// outlives it.
func (s *Chats) Append(ctx context.Context, trip roster.TripID, person roster.PersonID, e roster.Entry) error {
	line, err := json.Marshal(e)
	if err != nil {
		return fault("append to a page", err)
	}
	keys := []string{tripKey("trip", trip), tripKey("chat", trip), tripKey("chatid", trip)}
	n, err := appendScript.Run(ctx, s.c, keys, string(person), e.ID, line).Int()
	switch {
	case err != nil:
		return fault("append to a page", err)
	case n < 0:
		return roster.ErrNotFound
	}
	return nil
}

// Read returns entries after the one with id after ("" or unknown: all),
// oldest first.
func (s *Chats) Read(ctx context.Context, trip roster.TripID, person roster.PersonID, after string) ([]roster.Entry,
	error) {
	keys := []string{tripKey("chat", trip), tripKey("chatid", trip)}
	lines, err := readScript.Run(hastily(ctx), s.c, keys, string(person), after).StringSlice()
	if err != nil {
		return nil, fault("read a page", err)
	}
	return decodeAll[roster.Entry](lines)
}

// Erase removes a person's page.
func (s *Chats) Erase(ctx context.Context, trip roster.TripID, person roster.PersonID) error {
	keys := []string{tripKey("chat", trip), tripKey("chatid", trip)}
	if err := wipeScript.Run(ctx, s.c, keys, string(person)).Err(); err != nil {
		return fault("erase a page", err)
	}
	return nil
}

// Pulse changes whenever the trip or one of its pages does: one cheap look for
// a process that keeps pages live. ErrNotFound when the trip is gone.
func (s *Chats) Pulse(ctx context.Context, trip roster.TripID) (string, error) {
	var version, last *redis.StringCmd
	_, err := s.c.Pipelined(ctx, func(p redis.Pipeliner) error {
		version = p.HGet(ctx, tripKey("trip", trip), "v")
		last = p.HGet(ctx, tripKey("chatid", trip), "")
		return nil
	})
	switch {
	case errors.Is(version.Err(), redis.Nil):
		return "", roster.ErrNotFound
	case err != nil && !errors.Is(err, redis.Nil):
		return "", fault("look at a trip", err)
	}
	return version.Val() + "/" + last.Val(), nil
}
