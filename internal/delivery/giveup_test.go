package delivery_test

import (
	"log/slog"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

func TestBlockedChatIsBuriedAndTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.sender.answer = func(e roster.Envelope, _ int) delivery.Outcome {
			if e.Address.ID == "200" {
				return delivery.Outcome{Result: delivery.Never, Reason: "blocked"}
			}
			return delivery.Outcome{Result: delivery.Sent}
		}
		for _, e := range []roster.Envelope{envelope("e1", "200"), envelope("e2", "200"), envelope("f1", "300")} {
			r.outbox.put(e)
		}
		r.run(t, 5*time.Second)
		if got := r.outbox.buried(); len(got) != 2 {
			t.Errorf("buried %v, want both letters of the blocked chat", got)
		}
		if got := r.sender.ids(); !slices.Contains(got, "f1") {
			t.Errorf("sent %v: another chat had to wait for the blocked one", got)
		}
		in := r.bell.rung[0]
		if in.Kind != conversation.Lost || in.From != chat("200") || in.Reason != "blocked" || in.Source != "lost:e1" {
			t.Errorf("told %+v, want that the chat is lost", in)
		}
	})
}

// Whatever is given up is in the log, with the reason. Whom nothing reaches any more
// the leaders hear of; a letter whose time is over, or that may well have arrived, makes
// nobody unreachable.
func TestEveryGiveUpIsTold(t *testing.T) {
	type giveUp struct {
		letter func(*roster.Envelope)
		broken bool             // what is stored of it can't be read
		answer delivery.Outcome // to each attempt
		told   bool
	}
	for why, c := range map[string]giveUp{
		"its channel is switched off": {letter: func(e *roster.Envelope) { e.Address.Channel = "carrier pigeon" },
			told: true},
		// it ends the process
		"given up after many attempts": {letter: func(e *roster.Envelope) { e.Attempts, e.Unsure = 40, true }, told: true},
		"given up after many": {answer: delivery.Outcome{Result: delivery.Failed, Reason: "answered 502"},
			told: true},
		"can't be read":         {broken: true, told: true},
		"can't be reached":      {answer: delivery.Outcome{Result: delivery.Never, Reason: "blocked"}, told: true},
		"too late to be of use": {letter: func(e *roster.Envelope) { e.Expires = time.Now() }},
		"may have arrived, not repeated again": {letter: func(e *roster.Envelope) { e.Safety, e.Unsure = false, true },
			answer: delivery.Outcome{Result: delivery.Unsure}},
	} {
		t.Run(why, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var log strings.Builder
				r := work(t, func(c *delivery.PostmanConfig) { c.Log = slog.New(slog.NewTextHandler(&log, nil)) })
				r.sender.answer = func(roster.Envelope, int) delivery.Outcome { return c.answer }
				e := envelope("e1", "200")
				if c.letter != nil {
					c.letter(&e)
				}
				r.outbox.put(e)
				r.outbox.broken = c.broken
				r.run(t, 3*time.Hour)
				if got := r.outbox.buried(); len(got) != 1 || !strings.HasPrefix(got[0], "e1: "+why) {
					t.Errorf("buried %v", got)
				}
				told := len(r.bell.rung) == 1 && r.bell.rung[0].Kind == conversation.Lost && r.bell.rung[0].Reason != ""
				if told != c.told || !told && len(r.bell.rung) > 0 {
					t.Errorf("told %v; the address is lost: want %v", r.bell.rung, c.told)
				}
				if !strings.Contains(log.String(), why) {
					t.Errorf("the log doesn't say why:\n%s", &log)
				}
			})
		})
	}
}

func TestNothingIsBuriedBeforeTheLeaderIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		r.bell.err = errDown
		r.sender.answer = func(roster.Envelope, int) delivery.Outcome { return delivery.Outcome{Result: delivery.Never} }
		r.outbox.put(envelope("e1", "200"))
		r.run(t, 10*time.Second)
		if got := r.outbox.buried(); len(got) != 0 {
			t.Errorf("buried %v, though the news could not be stored", got)
		}
	})
}

func TestTooLateIsDropped(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, nil)
		e := envelope("e1", "200")
		e.Expires = time.Now()
		r.outbox.put(e)
		fresh := envelope("e2", "200")
		fresh.Expires = time.Now().Add(time.Minute)
		r.outbox.put(fresh)
		r.run(t, time.Second)
		if got := r.sender.ids(); !slices.Equal(got, []string{"e2"}) {
			t.Errorf("sent %v, want what still makes sense", got)
		}
		if got := r.outbox.buried(); len(got) != 1 || !strings.HasPrefix(got[0], "e1: too late") {
			t.Errorf("buried %v, want the late one with its reason", got)
		}
		if len(r.bell.rung) != 0 {
			t.Errorf("told %v: a late letter does not make a person unreachable", r.bell.rung)
		}
	})
}

func TestGivenUpAfterManyAttempts(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := work(t, func(c *delivery.PostmanConfig) { c.Attempts = 5 })
		r.sender.answer = func(roster.Envelope, int) delivery.Outcome { return delivery.Outcome{Result: delivery.Later} }
		r.outbox.put(envelope("e1", "200"))
		r.run(t, time.Hour)
		if got := len(r.sender.ids()); got != 5 {
			t.Errorf("%d attempts, want 5", got)
		}
		if len(r.outbox.buried()) != 1 || len(r.bell.rung) != 1 {
			t.Errorf("buried %v, told %v", r.outbox.buried(), r.bell.rung)
		}
	})
}
