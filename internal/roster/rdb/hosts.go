package rdb

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// PutHost stores a host. ErrConflict when there are too many others. Two at the
// same moment may pass that by one, which harms nobody.
func (s *Hosts) PutHost(ctx context.Context, h roster.Host) error {
	line, err := json.Marshal(h)
	if err != nil {
		return fault("store a host", err)
	}
	pipe := s.c.Pipeline()
	known, many := pipe.HExists(ctx, hostsKey(), string(h.ID)), pipe.HLen(ctx, hostsKey())
	if _, err := pipe.Exec(ctx); err != nil {
		return fault("store a host", err)
	}
	if !known.Val() && many.Val() >= roster.MaxHosts {
		return roster.ErrConflict
	}
	if err := s.c.HSet(ctx, hostsKey(), string(h.ID), line).Err(); err != nil {
		return fault("store a host", err)
	}
	return nil
}

// Host is the host of that id, ErrNotFound when there is none.
func (s *Hosts) Host(ctx context.Context, id roster.HostID) (h roster.Host, err error) {
	line, err := s.c.HGet(ctx, hostsKey(), string(id)).Result()
	switch {
	case errors.Is(err, redis.Nil):
		return h, roster.ErrNotFound
	case err != nil:
		return h, fault("find a host", err)
	}
	if err := json.Unmarshal([]byte(line), &h); err != nil {
		return h, fault("find a host", err)
	}
	return h, nil
}

// HostList are all hosts, by name.
func (s *Hosts) HostList(ctx context.Context) ([]roster.Host, error) {
	lines, err := s.c.HVals(ctx, hostsKey()).Result()
	if err != nil {
		return nil, fault("list hosts", err)
	}
	hosts, err := decodeAll[roster.Host](lines)
	slices.SortFunc(hosts, func(x, y roster.Host) int { return strings.Compare(x.Name, y.Name) })
	return hosts, err
}

// RemoveHost makes a host nobody.
func (s *Hosts) RemoveHost(ctx context.Context, id roster.HostID) error {
	if err := s.c.HDel(ctx, hostsKey(), string(id)).Err(); err != nil {
		return fault("remove a host", err)
	}
	return nil
}
