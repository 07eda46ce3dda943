package load

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"slices"
	"sync"
	"testing"
	"time"
)

// BenchmarkWaiting is how long a diver waits: from the call of the webhook with a
// reading to the call of the Bot API with its verdict. Alone; in a busy minute, most
// of whose readings come at its beginning; past an evening's announcements that
// still wait; beside a chat whose sends take ten seconds each.
func BenchmarkWaiting(b *testing.B) {
	minute := time.Duration(setting("LOAD_SECONDS", 60)) * time.Second
	for _, c := range []struct {
		name, what string
		ready      func(b *testing.B, e embedded, api *windowAPI) []int64 // chats of people with a reading to send
		calls      []time.Duration                                        // when they send it
	}{
		{"alone", "a diver alone waits", people, evenly(200, 250*time.Millisecond)},
		{"minute", "300 people in a busy minute wait", people, crowding(300, minute)},
		{"announced", fmt.Sprintf("past %d announcements a diver waits", announced), announcedTo,
			evenly(int(minute/time.Second), 700*time.Millisecond)},
		{"slow", "beside one slow chat a diver waits", besideSlow, evenly(100, 250*time.Millisecond)},
	} {
		b.Run(c.name, func(b *testing.B) {
			var waits, best []float64
			for b.Loop() {
				api := &windowAPI{}
				e := embed(b, startRedis(b, "always").client(b), api.start(b), time.Now)
				chats := c.ready(b, e, api)
				posted := posting(b, e)
				waits, best = append(waits, waited(b, e, api, chats, c.calls)...), append(best, atBest(c.calls)...)
				posted()
			}
			report(b, figure{what: c.what + ", half at most", got: 1000 * median(waits), unit: "ms"}, "p50-ms")
			p99 := figure{what: "  99 of 100 at most", got: 1000 * quantile(waits, 0.99), unit: "ms"}
			if c.name == "alone" { // and nothing in its way but one fsync
				p99.want, p99.atMost = 5+quantile(syncing(b), 0.99), true
			}
			report(b, p99, "p99-ms")
			report(b, figure{what: "  the longest", got: 1000 * slices.Max(waits), unit: "ms"}, "worst-ms")
			if most := slices.Max(best); most > 0 {
				report(b, figure{what: fmt.Sprintf("  the longest, in waits of a perfect queue of %d a second", windowSends),
					got: slices.Max(waits) / most, want: 1.1, atMost: true}, "perfect")
			}
		})
	}
}

// evenly are n instants, each so long after the one before.
func evenly(n int, apart time.Duration) []time.Duration {
	calls := make([]time.Duration, n)
	for i := range calls {
		calls[i] = time.Duration(i) * apart
	}
	return calls
}

// crowding are n instants within a minute, a quarter of them in its first second.
func crowding(n int, minute time.Duration) []time.Duration {
	calls := make([]time.Duration, n)
	for i := range calls {
		calls[i] = time.Duration(float64(minute) * math.Pow(float64(i)/float64(n), 3))
	}
	return calls
}

// atBest are the waits, in seconds, in a queue that does nothing but keep to the
// window: each is sent at once or one period after the one that many before it.
func atBest(calls []time.Duration) []float64 {
	sent, waits := make([]time.Duration, len(calls)), make([]float64, len(calls))
	for i, at := range calls {
		if sent[i] = at; i >= windowSends {
			sent[i] = max(at, sent[i-windowSends]+windowPeriod)
		}
		waits[i] = (sent[i] - at).Seconds()
	}
	return waits
}

// people are 300 chats on twenty boats.
func people(b *testing.B, e embedded, _ *windowAPI) (chats []int64) {
	for _, boat := range fleet(b, e, 1_000_000, dock, divers, time.Now()) {
		chats = append(chats, boat.chats...)
	}
	return chats
}

// announcedTo are those whose announcement comes last.
func announcedTo(b *testing.B, e embedded, _ *windowAPI) (chats []int64) {
	for _, boat := range slices.Backward(announce(b, e)) {
		chats = append(chats, boat.chats[0])
	}
	return chats
}

// besideSlow are people of whom the last has a chat that is slow, and has just
// been sent something.
func besideSlow(b *testing.B, e embedded, api *windowAPI) []int64 {
	chats := people(b, e, api)
	last := chats[len(chats)-1]
	api.slow = fmt.Sprint(last)
	says(b, e, 1, last, "A15 31.4")
	return chats[:len(chats)-1]
}

// posting lets the door out work until the function that it returns is called.
func posting(b *testing.B, e embedded) (stop func()) {
	ctx, cancel := context.WithCancel(b.Context())
	done := make(chan struct{})
	go func() { defer close(done); e.Post(ctx) }()
	return func() { cancel(); <-done }
}

// says is one update, acknowledged. Each is dated twenty seconds after the one
// before: who is quicker with one analyser is asked whether it was stable.
func says(b *testing.B, e embedded, id, chat int64, text string) {
	w := httptest.NewRecorder()
	date := time.Now().Add(-2*time.Hour + 20*time.Second*time.Duration(id))
	if e.Handler.ServeHTTP(w, webhookRequest(update(id, chat, date, text))); w.Code != http.StatusOK {
		b.Errorf("status %d", w.Code)
	}
}

// waited has each of these people send a reading at their instant, and returns how
// long each waited for the verdict, in seconds.
func waited(b *testing.B, e embedded, api *windowAPI, chats []int64, calls []time.Duration) []float64 {
	began, called := time.Now(), make([]time.Time, len(calls))
	var all sync.WaitGroup
	for i, at := range calls {
		time.Sleep(time.Until(began.Add(at)))
		called[i] = time.Now()
		all.Go(func() { says(b, e, int64(i+2), chats[i], fmt.Sprintf("A%d 31.4", i%divers+1)) })
	}
	all.Wait()
	waits := make([]float64, len(calls))
	for i := range calls {
		waits[i] = arrived(b, api, chats[i]).Sub(called[i]).Seconds()
	}
	return waits
}

// arrived is when a person's verdict came to the server.
func arrived(b *testing.B, api *windowAPI, chat int64) time.Time {
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if at := api.found(chat, "31.4"); !at.IsZero() {
			return at
		}
	}
	b.Fatalf("no verdict for %d", chat)
	return time.Time{}
}
