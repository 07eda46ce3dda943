package delivery_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

func TestOrderOfOneAddress(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		for i := range 20 {
			r.outbox.put(envelope(fmt.Sprintf("e%02d", i), "200"))
		}
		r.run(t, 10*time.Second)
		if got := r.sender.ids(); len(got) != 20 || !slices.IsSorted(got) {
			t.Errorf("sent %v, want all twenty in order", got)
		}
	})
}

func TestMostUrgentGoesFirst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, func(c *delivery.PostmanConfig) { c.Workers = 1 })
		for i, level := range []roster.Level{roster.LevelAnnouncement, roster.LevelReminder, roster.LevelVerdict,
			roster.LevelAnnouncement, roster.LevelVerdict} {
			e := envelope(fmt.Sprintf("%d%d", level, i), fmt.Sprint(i))
			e.Level = level
			r.outbox.put(e)
		}
		r.run(t, 10*time.Second)
		if got := r.sender.ids(); len(got) != 5 || !slices.IsSorted(got) {
			t.Errorf("sent %v, want the urgent first", got)
		}
	})
}

func TestKickSendsAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, func(c *delivery.PostmanConfig) { c.Sweep = time.Hour })
		go func() {
			time.Sleep(time.Second)
			r.outbox.put(envelope("e1", "200"))
			r.postman.Kick()
		}()
		r.run(t, 2*time.Second)
		if len(r.sender.sends) != 1 || r.sender.sends[0].at != time.Second {
			t.Errorf("sent %v, want at the instant of the kick", r.sender.sends)
		}
	})
}

func TestSweepFindsWhatOthersCommitted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		go func() { time.Sleep(time.Second + 1); r.outbox.put(envelope("e1", "200")) }()
		r.run(t, 3*time.Second)
		if got := r.sender.ids(); len(got) != 1 {
			t.Errorf("sent %v, want the one", got)
		}
	})
}

func TestRetryAfterIsObeyed(t *testing.T) {
	for name, c := range map[string]struct {
		result delivery.Result
		other  time.Duration // when the other chat may be written to
	}{
		"the chat alone":    {delivery.Later, 0},
		"the whole channel": {delivery.Paused, 7 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				l := &limiter{busy: map[string][]*place{}}
				r := work(t, func(c *delivery.PostmanConfig) {
					c.Workers, c.Limiter = 1, l
					c.Limits = map[string]delivery.Limit{"telegram": delivery.TelegramLimit}
				})
				r.sender.answer = func(e roster.Envelope, nth int) delivery.Outcome {
					if nth == 1 {
						return delivery.Outcome{Result: c.result, After: 7 * time.Second}
					}
					return delivery.Outcome{Result: delivery.Sent}
				}
				r.outbox.put(envelope("e1", "200"))
				r.outbox.put(envelope("f1", "300"))
				r.run(t, 30*time.Second)
				at := map[string]time.Duration{}
				for _, s := range r.sender.sends[1:] {
					at[s.id] = s.at
				}
				if len(r.sender.sends) != 3 || at["e1"] < 7*time.Second || at["f1"] < c.other || at["f1"] > c.other+2*time.Second {
					t.Errorf("sends %v: want e1 again after 7 s, f1 after %v", r.sender.sends, c.other)
				}
			})
		})
	}
}

// What the far end says failed is sent again until it is taken. When nothing
// says what became of a send, safety is repeated until it surely arrived, and
// everything else once. Every repetition knows that it is one.
func TestUnknownOutcome(t *testing.T) {
	for name, c := range map[string]struct {
		result   delivery.Result
		safety   bool
		failures int
		sends    int
		buried   int
	}{
		"safety, once not known":      {delivery.Unsure, true, 1, 2, 0},
		"safety, often not known":     {delivery.Unsure, true, 4, 5, 0},
		"chatter, once not known":     {delivery.Unsure, false, 1, 2, 0},
		"chatter, not known again":    {delivery.Unsure, false, 4, 2, 1},
		"safety, the far end failed":  {delivery.Failed, true, 4, 5, 0},
		"chatter, the far end failed": {delivery.Failed, false, 4, 5, 0},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := work(t, nil)
				r.sender.answer = func(e roster.Envelope, nth int) delivery.Outcome {
					if e.Unsure != (nth > 1) {
						t.Errorf("send %d: unsure %v", nth, e.Unsure)
					}
					if nth <= c.failures {
						return delivery.Outcome{Result: c.result}
					}
					return delivery.Outcome{Result: delivery.Sent}
				}
				e := envelope("e1", "200")
				e.Safety = c.safety
				r.outbox.put(e)
				r.run(t, 5*time.Minute)
				if got := r.sender.ids(); len(got) != c.sends {
					t.Errorf("sent %v, want %d sends", got, c.sends)
				}
				if got := r.outbox.buried(); len(got) != c.buried {
					t.Errorf("buried %v, want %d", got, c.buried)
				}
			})
		})
	}
}

func TestWhatADeadProcessHadInHandIsSent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		chatter := envelope("e2", "300")
		chatter.Safety = false
		for _, e := range []roster.Envelope{envelope("e1", "200"), chatter} {
			r.outbox.put(e)
		}
		if _, err := r.outbox.Claim(t.Context(), "a process that dies", time.Now(), 30*time.Second, 2, nil); err != nil {
			t.Fatal(err)
		}
		r.run(t, 29*time.Second)
		if got := r.sender.ids(); len(got) != 0 {
			t.Errorf("sent %v while another process holds the lease", got)
		}
		r.run(t, 10*time.Second)
		got := r.sender.ids()
		slices.Sort(got)
		if !slices.Equal(got, []string{"e1", "e2"}) {
			t.Errorf("sent %v, want both once: they may never have left", got)
		}
	})
}

// What fails is tried again after 1, 3, 10 and 30 seconds, then slower. A wait
// for a place within the limits is no attempt.
func TestWhenItIsTriedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := newLimiter()
		r := work(t, limited(l))
		_ = l.Pause(t.Context(), "chat:telegram:200", time.Now().Add(10*time.Minute))
		r.sender.answer = func(roster.Envelope, int) delivery.Outcome { return delivery.Outcome{Result: delivery.Failed} }
		r.outbox.put(envelope("e1", "200"))
		r.run(t, 15*time.Minute)
		want := []time.Duration{time.Second, 3 * time.Second, 10 * time.Second, 30 * time.Second, time.Minute,
			2 * time.Minute}
		for i, w := range want {
			if got := r.sender.sends[i+1].at - r.sender.sends[i].at; got < w || got > w+w/10+time.Second {
				t.Errorf("attempt %d came %v after the one before, want %v", i+2, got, w)
			}
		}
	})
}

func TestMovedChat(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.answer = func(e roster.Envelope, _ int) delivery.Outcome {
			if e.Address.ID == "-5" {
				return delivery.Outcome{Result: delivery.Later, Moved: chat("-1005")}
			}
			return delivery.Outcome{Result: delivery.Sent}
		}
		r.outbox.put(envelope("e1", "-5"))
		r.outbox.put(envelope("e2", "-5"))
		r.run(t, time.Minute)
		want := []send{{id: "e1", to: "-5"}, {id: "e1", to: "-1005"}, {id: "e2", to: "-5"}, {id: "e2", to: "-1005"}}
		got := slices.Clone(r.sender.sends)
		for i := range got {
			got[i].at = 0
		}
		if !cmp.Equal(got, want, cmp.AllowUnexported(send{})) {
			t.Errorf("sends %v, want %v", got, want)
		}
		if in := r.bell.rung[0]; in.Kind != conversation.Moved || in.From != chat("-5") || in.Group != chat("-1005") {
			t.Errorf("told %+v", in)
		}
	})
}

func TestStoreThatComesAndGoes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.outbox.setDown(errDown)
		r.outbox.put(envelope("e1", "200"))
		go func() { time.Sleep(time.Minute); r.outbox.setDown(nil) }()
		r.run(t, 2*time.Minute)
		if got := r.sender.ids(); len(got) != 1 {
			t.Errorf("sent %v, want the one after the store's return", got)
		}
		if r.outbox.claims > 400 {
			t.Errorf("%d claims: it hammered a store that is down", r.outbox.claims)
		}
	})
}

func TestOutcomeIsWrittenWhenTheStoreReturns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.answer = func(roster.Envelope, int) delivery.Outcome {
			r.outbox.setDown(errDown) // it goes down while we send
			go func() { time.Sleep(20 * time.Second); r.outbox.setDown(nil) }()
			return delivery.Outcome{Result: delivery.Sent}
		}
		r.outbox.put(envelope("e1", "200"))
		r.run(t, 5*time.Minute)
		if got := r.sender.ids(); len(got) != 1 {
			t.Errorf("sent %v, want it once: the outcome was kept until it could be written", got)
		}
	})
}

func TestStopFinishesWhatIsBeingSent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.took = 5 * time.Second
		r.outbox.put(envelope("e1", "200"))
		r.outbox.put(envelope("e2", "200"))
		r.run(t, time.Second)
		if got := r.outbox.queues[chat("200")]; len(got.letters) != 1 || got.letters[0].ID != "e2" || !got.leased.IsZero() {
			t.Errorf("left behind %+v, want e2 alone and free", got)
		}
	})
}

func TestWebHasNoLimitAndIsIdempotent(t *testing.T) {
	pages := &pages{}
	told := 0
	w := delivery.WebSender{Chats: pages, Now: func() time.Time { return noon },
		Appended: func(roster.TripID, roster.PersonID) { told++ }}
	e := envelope("e1", "x")
	e.Address = delivery.WebAddress(tripA, "p2")
	for range 2 {
		if out := w.Send(t.Context(), e); out.Result != delivery.Sent {
			t.Errorf("got %+v", out)
		}
	}
	if len(pages.entries) != 1 || told != 2 {
		t.Errorf("%d entries, %d notices; want one entry", len(pages.entries), told)
	}
	pages.down = errDown
	if out := w.Send(t.Context(), e); out.Result != delivery.Later {
		t.Errorf("with the store down: %+v, want later", out)
	}
}

type pages struct {
	entries []roster.Entry
	down    error
}

func (p *pages) Append(_ context.Context, _ roster.TripID, _ roster.PersonID, e roster.Entry) error {
	if p.down == nil && !slices.ContainsFunc(p.entries, func(o roster.Entry) bool { return o.ID == e.ID }) {
		p.entries = append(p.entries, e)
	}
	return p.down
}

func (p *pages) Read(context.Context, roster.TripID, roster.PersonID, string) ([]roster.Entry, error) {
	return p.entries, p.down
}
