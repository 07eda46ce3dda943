package rdb

import (
	"context"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

// A trip's log and its news are as long as all the rest of it, and hardly ever
// read. So their older lines are packed, by the 64, in the background: a commit
// says when there are as many, and the next sweep packs them. When that fails, or
// the process ends before, the trip's next commit says so again.

// packedLines is how many lines are packed together; scripts have the same
// number.
const packedLines = 64

// packable are the lists that are packed, with the keys where that goes.
var packable = map[string]string{"log": "oldlog", "events": "oldevents"}

// toPack are the trips that have lines to pack.
type toPack struct {
	mu    sync.Mutex
	trips map[roster.TripID]bool
}

func (p *toPack) add(id roster.TripID) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.trips == nil {
		p.trips = map[roster.TripID]bool{}
	}
	p.trips[id] = true
}

func (p *toPack) all() []roster.TripID {
	p.mu.Lock()
	defer p.mu.Unlock()
	all := slices.Collect(maps.Keys(p.trips))
	p.trips = nil
	return all
}

// pack packs what commits of this process found to be long enough. A fault ends
// it and is no one's: nothing is lost by it, and nothing may wait for room.
func (s *Store) pack(ctx context.Context) {
	for _, id := range s.full.all() {
		for lines, old := range packable {
			if s.packList(ctx, id, lines, old) != nil {
				return
			}
		}
	}
}

// packList packs a list's oldest lines. What changes meanwhile waits for the
// next time.
func (s *Store) packList(ctx context.Context, id roster.TripID, name, old string) error {
	lines, err := s.c.LRange(ctx, tripKey(name, id), 0, -1).Result()
	if err != nil {
		return err
	}
	keys := []string{tripKey("trip", id), tripKey(name, id), tripKey(old, id)}
	for ; len(lines) >= packedLines; lines = lines[packedLines:] {
		plain := array(lines[:packedLines])
		done, err := packScript.Run(ctx, s.c, keys, packedLines, plain, roster.Pack(plain)).Bool()
		if err != nil || !done {
			return err
		}
	}
	return nil
}

// array are lines of JSON as one document, byte for byte as they are.
func array(lines []string) []byte { return []byte("[" + strings.Join(lines, ",") + "]") }

// unpacked are the lines that were packed together.
func unpacked(packed string) ([]string, error) {
	plain, err := roster.Unpack([]byte(packed))
	if err != nil {
		return nil, err
	}
	var raw []json.RawMessage
	if err := json.Unmarshal(plain, &raw); err != nil {
		return nil, err
	}
	lines := make([]string, len(raw))
	for i, line := range raw {
		lines[i] = string(line)
	}
	return lines, nil
}

// history reads a list of a trip whose older lines may be packed, oldest first.
// Lines that are packed between two reads would be missing: it is one.
func history[T any](ctx context.Context, s *Store, id roster.TripID, name string) ([]T, error) {
	var old, loose *redis.StringSliceCmd
	_, err := s.c.TxPipelined(ctx, func(p redis.Pipeliner) error {
		old, loose = p.LRange(ctx, tripKey(packable[name], id), 0, -1), p.LRange(ctx, tripKey(name, id), 0, -1)
		return nil
	})
	if err != nil {
		return nil, fault("read "+name+" of trip "+string(id), err)
	}
	var lines []string
	for _, packed := range old.Val() {
		some, err := unpacked(packed)
		if err != nil {
			return nil, fault("read "+name+" of trip "+string(id), err)
		}
		lines = append(lines, some...)
	}
	return decodeAll[T](append(lines, loose.Val()...))
}
