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

// ready is a queue that may be sent from.
type ready struct {
	bucket bucket
	queue  string
	level  roster.Level
	score  float64
}

// longestWait is how far ahead a message can be put back. What lies further ahead
// was put back before the clock was set back, and is ready at once.
const longestWait = 3 * time.Minute

// leasedFrom is from what score on a queue is leased; see keys.go.
const leasedFrom = roster.Levels * 1e14

// Claim takes up to max heads of queues that are ready at now and not leased,
// most urgent first, then the longest waiting. A lease that ran out makes its
// head ready again with Unsure set. Attempts counts the claims of a message.
//
// It looks first, in one round trip, and then leases bucket by bucket, so that
// every script names its keys; a queue that another worker took in between is
// left out. When one bucket fails, what was taken from others is returned.
func (s *Outbox) Claim(ctx context.Context, token string, now time.Time, lease time.Duration, max int,
	held func(roster.TripID, roster.Address) bool,
) ([]roster.Claimed, error) {
	if max <= 0 {
		return nil, nil
	}
	found, err := s.pick(hastily(ctx), now, lease, max)
	if err != nil {
		return nil, fault("look into the outbox", err)
	}
	if held != nil {
		found = slices.DeleteFunc(found, func(r ready) bool { return held(ofQueue(r.queue)) })
	}
	found = found[:min(max, len(found))]
	// One worker may claim twice with its token; a lease is never the same.
	token += "." + roster.NewToken()
	taken := map[string]roster.Claimed{}
	var failed error
	for b := range bucket(buckets) {
		mine := slices.DeleteFunc(slices.Clone(found), func(r ready) bool { return r.bucket != b })
		if len(mine) == 0 {
			continue
		}
		if err := s.take(ctx, b, mine, token, now, lease, taken); err != nil {
			failed = err
		}
	}
	var claimed []roster.Claimed
	for _, r := range found {
		if c, ok := taken[r.queue]; ok {
			claimed = append(claimed, c)
		}
	}
	if len(claimed) == 0 && failed != nil {
		return nil, fault("claim from the outbox", failed)
	}
	return claimed, nil
}

// pick lists ready queues of all buckets, most urgent first.
func (s *Outbox) pick(ctx context.Context, now time.Time, lease time.Duration, max int) ([]ready, error) {
	cmds, err := s.pickAll(ctx, now, lease, max, pickScript.EvalSha)
	if err != nil && redis.HasErrorPrefix(err, "NOSCRIPT") {
		// Inside a pipeline nothing falls back to the script's text by itself.
		cmds, err = s.pickAll(ctx, now, lease, max, pickScript.Eval)
	}
	if err != nil {
		return nil, err
	}
	var found []ready
	for b, cmd := range cmds {
		parts, err := cmd.StringSlice()
		if err != nil {
			return nil, err
		}
		for ; len(parts) >= 3; parts = parts[3:] {
			level, _ := strconv.ParseUint(parts[1], 10, 8)
			score, _ := strconv.ParseFloat(parts[2], 64)
			found = append(found, ready{bucket(b), parts[0], roster.Level(level), score})
		}
	}
	slices.SortStableFunc(found, func(x, y ready) int {
		return cmp.Or(cmp.Compare(x.level, y.level), cmp.Compare(x.score, y.score))
	})
	return found, nil
}

type eval func(ctx context.Context, c redis.Scripter, keys []string, args ...any) *redis.Cmd

func (s *Outbox) pickAll(ctx context.Context, now time.Time, lease time.Duration, max int, run eval) ([]*redis.Cmd,
	error) {
	pipe := s.c.Pipeline()
	var cmds []*redis.Cmd
	for b := range bucket(buckets) {
		cmds = append(cmds, run(ctx, pipe, []string{b.ready()}, ms(now), max, ms(now.Add(lease)), ms(now.Add(longestWait))))
	}
	_, err := pipe.Exec(ctx)
	return cmds, err
}

// partsTaken is how many values a message has in the answer of taking it.
const partsTaken = 5

// take leases queues of one bucket.
func (s *Outbox) take(ctx context.Context, b bucket, queues []ready, token string, now time.Time, lease time.Duration,
	taken map[string]roster.Claimed) error {
	keys, args := []string{b.ready()}, []any{token, ms(now), ms(now.Add(lease))}
	for _, r := range queues {
		id, addr := splitQueue(r.queue)
		keys, args = append(keys, tripKey("out", id)), append(args, r.queue, addr)
	}
	// The replicas that have a lease have the message too: what a lost machine would
	// take along is not sent.
	answer := takeScript.Run(ctx, s.c, keys, args...)
	parts, err := redis.NewCmdResult(answer.Val(), nil).StringSlice()
	if short := answer.Err(); errors.Is(short, ErrTooFewReplicas) {
		return errors.Join(short, err, s.untake(ctx, parts, now))
	} else if short != nil {
		return short
	}
	if err != nil {
		return err
	}
	for ; len(parts) >= partsTaken; parts = parts[partsTaken:] {
		c, err := claimed(parts)
		if err != nil {
			_, number, _ := strings.Cut(c.Token, " ")
			c.ID, c.Fault = string(c.Trip)+":unread:"+number, err.Error()
		}
		taken[parts[0]] = c
	}
	return nil
}

// untake puts back what was taken in vain, for a second. That was no attempt.
func (s *Outbox) untake(ctx context.Context, parts []string, now time.Time) (failed error) {
	for ; len(parts) >= partsTaken; parts = parts[partsTaken:] {
		c, err := claimed(parts)
		if err != nil {
			continue // its lease runs out
		}
		c.Attempts--
		failed = errors.Join(failed, s.Later(ctx, c, now.Add(time.Second), c.Unsure))
	}
	return failed
}

// ofQueue is the trip and address that a queue is named by.
func ofQueue(q string) (roster.TripID, roster.Address) {
	id, addr := splitQueue(q)
	return id, addressOf(addr)
}

// Sent removes the head; see roster.Outbox.
func (s *Outbox) Sent(ctx context.Context, c roster.Claimed) error {
	return s.finish(ctx, c, "sent")
}

// Later puts the head back until t; see roster.Outbox and longestWait.
func (s *Outbox) Later(ctx context.Context, c roster.Claimed, t time.Time, unsure bool) error {
	flag := "0"
	if unsure {
		flag = "1"
	}
	return s.finish(ctx, c, "later", ms(t), flag, c.Attempts)
}

// Dead moves the head to the trip's dead letters with the reason.
func (s *Outbox) Dead(ctx context.Context, c roster.Claimed, reason string, at time.Time) error {
	line, err := json.Marshal(roster.DeadLetter{Envelope: c.Envelope, Reason: reason, At: at})
	if err != nil {
		return fault("bury message "+c.ID, err)
	}
	return s.finish(ctx, c, "dead", string(line))
}

func (s *Outbox) finish(ctx context.Context, c roster.Claimed, how string, what ...any) error {
	keys := []string{tripKey("trip", c.Trip), tripKey("out", c.Trip), tripKey("dead", c.Trip), bucketOf(c.Trip).ready()}
	args := append([]any{how, c.Token, queue(c.Trip, c.Address), address(c.Address), ms(s.Now())}, what...)
	answer, err := finishScript.Run(hastily(ctx), s.c, keys, args...).Text()
	switch {
	case err != nil:
		return fault("finish message "+c.ID, err)
	case answer != "ok":
		return roster.ErrConflict
	}
	return nil
}

// DeadLetters lists a trip's dead letters, oldest first.
func (s *Outbox) DeadLetters(ctx context.Context, id roster.TripID) ([]roster.DeadLetter, error) {
	return list[roster.DeadLetter](ctx, s.c, tripKey("dead", id))
}

// Waiting lists what a trip still has to say, in no order: what is being sent
// right now included.
func (s *Outbox) Waiting(ctx context.Context, id roster.TripID) ([]roster.Envelope, error) {
	fields, err := s.c.HGetAll(ctx, tripKey("out", id)).Result()
	if err != nil {
		return nil, fault("list what waits for trip "+string(id), err)
	}
	var waiting []roster.Envelope
	for field, body := range fields {
		if isQueue(field) {
			continue
		}
		if e, err := opened(id, body); err == nil {
			waiting = append(waiting, e)
		}
	}
	return waiting, nil
}

// isQueue tells the two kinds of fields of a trip's outbox apart: an address,
// whose queue is written there, or a message's number.
func isQueue(field string) bool { return strings.Contains(field, ":") }

// Depth counts waiting envelopes, those being sent included. It looks at the
// trips that have something to say; each has two kinds of fields in its outbox,
// and as many of the one kind as it has queues.
func (s *Outbox) Depth(ctx context.Context) (int, error) {
	queues, err := s.queues(ctx)
	if err != nil {
		return 0, fault("count the outbox", err)
	}
	pipe := s.c.Pipeline()
	fields := map[roster.TripID]*redis.IntCmd{}
	for id := range queues {
		fields[id] = pipe.HLen(ctx, tripKey("out", id))
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return 0, fault("count the outbox", err)
	}
	total := 0
	for id, n := range queues {
		total += max(0, int(fields[id].Val())-n)
	}
	return total, nil
}

// queues is how many queues each trip has, of those that have any.
func (s *Outbox) queues(ctx context.Context) (map[roster.TripID]int, error) {
	pipe := s.c.Pipeline()
	var cmds []*redis.StringSliceCmd
	for b := range bucket(buckets) {
		cmds = append(cmds, pipe.ZRange(ctx, b.ready(), 0, -1))
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, err
	}
	queues := map[roster.TripID]int{}
	for _, cmd := range cmds {
		for _, q := range cmd.Val() {
			id, _ := splitQueue(q)
			queues[id]++
		}
	}
	return queues, nil
}
