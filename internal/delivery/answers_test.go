package delivery_test

import (
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

func limited(l *limiter) func(*delivery.PostmanConfig) {
	return func(c *delivery.PostmanConfig) {
		c.Limiter, c.Limits = l, map[string]delivery.Limit{"telegram": delivery.TelegramLimit}
	}
}

func newLimiter() *limiter { return &limiter{busy: map[string][]*place{}} }

func toStranger(id, to string) roster.Envelope {
	e := envelope(id, to)
	e.Level = roster.LevelStranger
	return e
}

// most is the largest number of sends within any period.
func most(sends []send, period time.Duration) int {
	n := 0
	for i := range sends {
		k := i
		for k < len(sends) && sends[k].at-sends[i].at < period {
			k++
		}
		n = max(n, k-i)
	}
	return n
}

func TestStrangersPassTheLimits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, limited(newLimiter()))
		for i := range 150 {
			r.postman.Answer(toStranger(fmt.Sprintf("reply:%d", i), fmt.Sprint(i)))
		}
		r.outbox.put(envelope("verdict", "9000"))
		r.run(t, 20*time.Second)
		if got := len(r.sender.sends); got != 151 {
			t.Errorf("%d sent, want 150 answers and a verdict", got)
		}
		if n := most(r.sender.sends, time.Second); n > 30 {
			t.Errorf("%d sends within a second", n)
		}
		for i, id := range r.sender.ids() {
			if id == "verdict" && i > 30 {
				t.Errorf("the verdict was sent after %d strangers", i)
			}
		}
	})
}

// A host who starts a trip is no stranger: a crowd of those does not keep them
// waiting, nor does an announcement.
func TestHostIsAnsweredBeforeStrangersAndAnnouncements(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, limited(newLimiter()))
		for i := range 200 {
			r.postman.Answer(toStranger(fmt.Sprintf("reply:%d", i), fmt.Sprint(i)))
			e := envelope(fmt.Sprintf("bulk:%d", i), fmt.Sprint(1000+i))
			e.Level = roster.LevelAnnouncement
			r.outbox.put(e)
		}
		go func() {
			time.Sleep(5 * time.Second)
			e := envelope("host", "9000")
			e.Level = roster.LevelAnswer
			r.postman.Answer(e)
		}()
		r.run(t, time.Minute)
		if len(r.sender.sends) != 401 {
			t.Fatalf("%d sent, want 401", len(r.sender.sends))
		}
		lastBulk := 0
		for i, s := range r.sender.sends {
			if s.id == "host" && s.at > 5500*time.Millisecond {
				t.Errorf("the host, wanted at 5 s, was answered at %v", s.at)
			}
			if strings.HasPrefix(s.id, "bulk") {
				lastBulk = i
			}
		}
		if lastBulk > 220 {
			t.Errorf("the announcement's last letter was the %dth to leave: strangers went before it", lastBulk)
		}
	})
}

// Answers aren't stored: those that nobody will say any more are in the log.
func TestAnswersLeftAtTheEndAreInTheLog(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var log strings.Builder
		r := work(t, func(c *delivery.PostmanConfig) {
			limited(newLimiter())(c)
			c.Log = slog.New(slog.NewTextHandler(&log, nil))
		})
		for i := range 100 {
			r.postman.Answer(toStranger(fmt.Sprintf("reply:%d", i), fmt.Sprint(i)))
		}
		r.run(t, 500*time.Millisecond)
		if sent, named := len(r.sender.sends), strings.Count(log.String(), "direct answer dropped"); sent+named != 100 ||
			named < 50 {
			t.Errorf("%d sent and %d in the log, want 100 together", sent, named)
		}
	})
}

// Who writes twelve times within a moment hears what holds, not twelve answers.
func TestOneStrangerIsAnsweredSlowly(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, limited(newLimiter()))
		go func() {
			for i := range 12 {
				r.postman.Answer(toStranger(fmt.Sprintf("reply:%d", i), "7"))
				time.Sleep(12 * time.Millisecond)
			}
		}()
		r.run(t, 20*time.Second)
		if n := most(r.sender.sends, 3*time.Second); n > 3 {
			t.Errorf("%d answers within three seconds", n)
		}
		if ids := r.sender.ids(); len(ids) == 0 || ids[len(ids)-1] != "reply:11" {
			t.Errorf("answered %v, want the last one last", ids)
		}
	})
}

// An update that two processes were handed is answered by one of them.
func TestTwoProcessesAnswerOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := newLimiter()
		one, two := work(t, limited(l)), work(t, limited(l))
		one.postman.Answer(toStranger("reply:1", "7"))
		two.postman.Answer(toStranger("reply:1", "7"))
		var both sync.WaitGroup
		both.Go(func() { one.run(t, time.Second) })
		both.Go(func() { two.run(t, time.Second) })
		both.Wait()
		if n := len(one.sender.sends) + len(two.sender.sends); n != 1 {
			t.Errorf("answered %d times", n)
		}
	})
}

func TestAnswersAreBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &buried{}
		r := work(t, func(c *delivery.PostmanConfig) { limited(newLimiter())(c); c.Meter = m })
		for i := range 2100 {
			r.postman.Answer(toStranger(fmt.Sprintf("reply:%d", i), fmt.Sprint(i)))
		}
		if m.n.Load() != 100 {
			t.Errorf("%d of 2,100 were dropped and counted, want 100", m.n.Load())
		}
		r.run(t, 10*time.Millisecond)
	})
}

type buried struct {
	delivery.Meter
	n atomic.Int64
}

func (b *buried) Buried(string, string)                          { b.n.Add(1) }
func (*buried) Delivered(string, delivery.Result, time.Duration) {}

// A group gets twenty messages a minute, and no more than three in three seconds.
func TestGroupsLimit(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, limited(newLimiter()))
		for i := range 47 {
			r.outbox.put(roster.Envelope{ID: fmt.Sprintf("g%02d", i), Trip: tripA, Address: chat("-100")})
		}
		r.run(t, 5*time.Minute)
		if got := len(r.sender.sends); got != 47 {
			t.Errorf("%d of 47 sent", got)
		}
		if n := most(r.sender.sends, time.Minute); n > 20 {
			t.Errorf("%d messages to a group within a minute", n)
		}
		if n := most(r.sender.sends, 3*time.Second); n > 3 {
			t.Errorf("%d messages to a group within three seconds", n)
		}
	})
}
