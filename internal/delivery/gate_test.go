package delivery_test

import (
	"fmt"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// pacedWork is a postman with so many sends in a period, and an announcement
// that keeps all of its workers waiting for one.
func pacedWork(t *testing.T, sends int, period time.Duration, announcements int) *round {
	r := work(t, func(c *delivery.PostmanConfig) {
		c.Limiter = &limiter{busy: map[string][]*place{}, took: time.Millisecond}
		c.Limits = map[string]delivery.Limit{"telegram": {PerBot: sends, BotPeriod: period, PerChat: 3,
			ChatPeriod: 3 * time.Second}}
	})
	for i := range announcements {
		e := envelope(fmt.Sprintf("bulk%03d", i), fmt.Sprint(1000+i))
		e.Level, e.Safety = roster.LevelAnnouncement, false
		r.outbox.put(e)
	}
	return r
}

// Twenty may go every ten seconds, and there are more workers than that: an
// answer is among the next twenty all the same.
func TestAnswerOvertakesAnAnnouncement(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := pacedWork(t, 20, 10*time.Second, 300)
		r.sender.took = time.Second // far away: no worker is free again before twenty are on their way
		const asked = 15 * time.Second
		go func() {
			time.Sleep(asked)
			for i := range 2 {
				e := envelope(fmt.Sprint("answer", i), fmt.Sprint(i+1))
				e.Level = roster.LevelVerdict
				r.outbox.put(e)
			}
			r.postman.Kick()
		}()
		r.run(t, time.Minute)
		at := map[string]time.Duration{}
		for _, s := range r.sender.sends {
			at[s.id] = s.at
		}
		for i := range 2 {
			id := fmt.Sprint("answer", i)
			if at[id] == 0 || at[id]-asked > 8*time.Second {
				t.Errorf("%s, wanted at %v, went at %v: not among the next twenty", id, asked, at[id])
			}
		}
	})
}

// The budget is used to the full however many workers want it, and nobody is
// sent twice or left behind.
func TestBudgetIsUsedUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := pacedWork(t, 1, time.Second, 60)
		r.run(t, 2*time.Minute)
		ids := r.sender.ids()
		slices.Sort(ids)
		if unique := len(slices.Compact(ids)); len(r.sender.sends) != 60 || unique != 60 {
			t.Fatalf("%d sends of %d messages, want each of 60 once", len(r.sender.sends), unique)
		}
		// Each takes its 10 ms, and a second after the answer.
		if last := r.sender.sends[59].at; last > 61*time.Second {
			t.Errorf("the last of sixty went after %v, want about one a second", last)
		}
	})
}

// A postman that is stopped while its workers wait for their turn leaves
// everything for another, and nothing half done.
func TestStopWhileWaitingForTheBudget(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := pacedWork(t, 1, time.Second, 50)
		began := time.Now()
		r.run(t, 5*time.Second+100*time.Millisecond)
		if took := time.Since(began); took > 6*time.Second {
			t.Errorf("it stopped after %v", took-5*time.Second)
		}
		sent := len(r.sender.sends)
		left := 0
		for _, q := range r.outbox.queues {
			left += len(q.letters)
			if !q.leased.IsZero() {
				t.Errorf("%s is still leased", q.letters[0].ID)
			}
		}
		if sent+left != 50 {
			t.Errorf("%d sent, %d left, want 50 together", sent, left)
		}
		r.run(t, time.Minute)
		if got := len(r.sender.sends); got != 50 {
			t.Errorf("%d sent in the end, want 50", got)
		}
	})
}
