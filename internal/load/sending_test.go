package load

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// announced is how many people an evening announcement goes to.
const announced = 5000

// BenchmarkSending empties an outbox of an evening announcement against a
// server that takes thirty messages in any second and not one more: the share
// of that budget that is used, the refusals, and how long answers to people
// who write meanwhile take to arrive. It takes a minute for each distance.
func BenchmarkSending(b *testing.B) {
	for _, c := range []struct {
		name, what  string
		least, most time.Duration
		want        float64
	}{
		{"near", "sending, server near", 0, 0, 98},
		{"far", "sending, 20 to 80 ms each way", 20 * time.Millisecond, 80 * time.Millisecond, 91},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				api := &windowAPI{least: c.least, most: c.most}
				e := embed(b, startRedis(b, "always").client(b), api.start(b), time.Now)
				boats := announce(b, e)
				period := time.Duration(setting("LOAD_SECONDS", 60)) * time.Second
				slowest := sendFor(b, e, api, boats, period)
				taken, refused := api.count(period)
				share := 100 * float64(taken) / (windowSends * period.Seconds())
				report(b, figure{what: c.what + ": share of the budget", got: share, unit: "%", want: c.want}, "budget-%")
				report(b, figure{what: "  refused with 429", got: float64(refused), want: 0.5, atMost: true}, "refused")
				report(b, figure{what: "  slowest answer past " + fmt.Sprint(announced) + " announcements", got: slowest.Seconds(),
					unit: "s",
					want: 2, atMost: true}, "slowest-s")
			}
		})
	}
}

// announce fills the outbox with an evening message to everybody.
func announce(b *testing.B, e embedded) []*boat {
	boats := fleet(b, e, 1_000_000, announced/divers+1, divers, time.Now())
	atOnce(b, len(boats), func(ctx context.Context, i int) error {
		_, err := e.Door.Apply(ctx, boats[i].trip.ID, "", func(*roster.Trip) (conversation.Change, error) {
			return conversation.Change{Announce: true}, nil
		})
		return err
	})
	waiting, err := e.Store.Outbox().Depth(b.Context())
	if err != nil || waiting < announced {
		b.Fatalf("%d messages wait, want %d: %v", waiting, announced, err)
	}
	return boats
}

// sendFor lets the door out work for a while, with somebody reporting a
// reading now and then whose own announcement still waits, and returns the
// longest that an answer took from the webhook call to the server.
func sendFor(b *testing.B, e embedded, api *windowAPI, boats []*boat, period time.Duration) time.Duration {
	ctx, stop := context.WithCancel(b.Context())
	done := make(chan struct{})
	go func() { defer close(done); e.Post(ctx) }()
	defer func() { stop(); <-done }()
	for api.first().IsZero() {
		time.Sleep(time.Millisecond)
	}
	asked := map[int64]time.Time{}
	tick := time.NewTicker(700 * time.Millisecond)
	defer tick.Stop()
	last := len(boats) - 1
	for end := api.first().Add(period); time.Now().Before(end); <-tick.C {
		if n := len(asked); time.Until(end) > 3*time.Second {
			chat := boats[last-n].chats[0]
			asked[chat] = time.Now()
			w := httptest.NewRecorder()
			e.Handler.ServeHTTP(w, webhookRequest(update(int64(n+1), chat, time.Now(), "A1 31.4")))
			if w.Code != http.StatusOK {
				b.Fatalf("status %d", w.Code)
			}
		}
	}
	var slowest time.Duration
	for chat, since := range asked {
		at := api.found(chat, "31.4")
		if at.IsZero() {
			b.Errorf("an answer did not arrive within %v", time.Since(since))
			at = time.Now()
		}
		slowest = max(slowest, at.Sub(since))
	}
	return slowest
}
