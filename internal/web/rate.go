package web

import (
	"context"
	"math"
	"net/http"
	"strconv"
	"time"
)

// Limiter counts what is taken of a bucket, for all processes of a deployment.
type Limiter interface {
	Take(ctx context.Context, bucket string, limit int, period time.Duration, now time.Time) (
		wait time.Duration, slot string, err error)
	Release(ctx context.Context, bucket, slot string, period time.Duration, now time.Time) error
}

// Budget is how many requests there may be in a minute.
type Budget struct {
	Limiter Limiter
	Most    int
}

// Wait takes one request out of a bucket's budget. It returns how long to wait when
// there is none left, and the error of a limiter that can't be asked.
func (b Budget) Wait(ctx context.Context, bucket string, now time.Time) (time.Duration, error) {
	wait, slot, err := b.Limiter.Take(ctx, bucket, b.Most, time.Minute, now)
	if err != nil || wait > 0 {
		return wait, err
	}
	// The minute counts from the request, so the slot is given back at once.
	return 0, b.Limiter.Release(ctx, bucket, slot, time.Minute, now)
}

// RetryAfter says how long to wait: in whole seconds, at least one.
func RetryAfter(w http.ResponseWriter, wait time.Duration) {
	w.Header().Set("Retry-After", strconv.Itoa(max(1, int(math.Ceil(wait.Seconds())))))
}
