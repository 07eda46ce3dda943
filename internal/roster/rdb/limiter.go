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
	return s.TakeFor(ctx, roster.Levels-1, limit, most, period, now)
}

// TakeFor is Take in the order of need; see roster.Limiter.
func (s *Limiter) TakeFor(ctx context.Context, level roster.Level, limit string, most int, period time.Duration,
	now time.Time,
) (wait time.Duration, slot string, err error) {
	slot = roster.NewToken()
	free, err := slotScript.Run(hastily(ctx), s.c, []string{slotsKey(limit), pauseKey(limit), wantedKey(limit)},
		ms(now), most, period.Milliseconds(), slot, int(level), s.process).Int64()
	switch {
	case err != nil:
		return 0, "", fault("take a sending slot", err)
	case free > 0:
		return time.Duration(free) * time.Millisecond, "", nil
	}
	return 0, slot, nil
}

// Release says that the response came. What is less than a millisecond counts
// as a whole one, so that nothing is free too early.
func (s *Limiter) Release(ctx context.Context, limit, slot string, period time.Duration, now time.Time) error {
	if err := releaseScript.Run(hastily(ctx), s.c, []string{slotsKey(limit)}, ms(now.Add(time.Millisecond-1)),
		period.Milliseconds(), slot).Err(); err != nil {
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
