package rdb

import (
	"context"
	"time"

	"gasmuster/internal/roster"
)

// Take asks for one send within limit per period; see roster.Limiter. The
// window is strict: a slot becomes free one period after the response, since
// the far end counts from some instant in between.
func (s *Limiter) Take(ctx context.Context, limit string, most int, period time.Duration,
	now time.Time) (wait time.Duration, slot string, err error) {
	place, err := s.TakeAll(ctx, roster.Levels-1, []roster.Window{{Bucket: limit, Most: most, Period: period}}, now)
	return place.Wait, place.Slot, err
}

// TakeAll asks for one send within all windows, in the order of need; see roster.Limiter.
func (s *Limiter) TakeAll(ctx context.Context, level roster.Level, windows []roster.Window,
	now time.Time) (roster.Place, error) {
	slot := roster.NewToken()
	keys, args := make([]string, 0, 3*len(windows)), []any{ms(now), slot, int(level), s.process}
	for _, w := range windows {
		keys = append(keys, slotsKey(w.Bucket), pauseKey(w.Bucket), wantedKey(w.Bucket))
		args = append(args, w.Most, w.Period.Milliseconds())
	}
	free, err := slotScript.Run(hastily(ctx), s.c, keys, args...).Int64Slice()
	switch {
	case err != nil:
		return roster.Place{}, fault("take a sending slot", err)
	case free[0] > 0:
		return roster.Place{Wait: time.Duration(free[0]) * time.Millisecond, Full: int(free[1]) - 1}, nil
	}
	return roster.Place{Slot: slot}, nil
}

// Release says that the response came.
func (s *Limiter) Release(ctx context.Context, limit, slot string, period time.Duration, now time.Time) error {
	return s.ReleaseAll(ctx, []roster.Window{{Bucket: limit, Period: period}}, slot, now)
}

// ReleaseAll is Release of a slot of all windows. What is less than a millisecond counts
// as a whole one, so that nothing is free too early.
func (s *Limiter) ReleaseAll(ctx context.Context, windows []roster.Window, slot string, now time.Time) error {
	keys, args := make([]string, 0, len(windows)), []any{ms(now.Add(time.Millisecond - 1)), slot}
	for _, w := range windows {
		keys, args = append(keys, slotsKey(w.Bucket)), append(args, w.Period.Milliseconds())
	}
	if err := releaseScript.Run(hastily(ctx), s.c, keys, args...).Err(); err != nil {
		return fault("release a sending slot", err)
	}
	return nil
}

// Pause stops a limit until an instant.
func (s *Limiter) Pause(ctx context.Context, limit string, until time.Time) error {
	if err := pauseScript.Run(hastily(ctx), s.c, []string{pauseKey(limit)}, ms(until), ms(s.Now())).Err(); err != nil {
		return fault("pause sending", err)
	}
	return nil
}
