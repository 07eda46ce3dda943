package delivery_test

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"testing"
	"testing/synctest"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// crowd is a stage where the first commit waits until open is called, so that
// what comes meanwhile gathers behind it.
type crowd struct {
	*stage
	t       *testing.T
	open    func()
	waiting sync.WaitGroup
	mu      sync.Mutex
	heard   map[string]heard // by words
}

// heard is what somebody was told of an event.
type heard struct {
	reply string
	err   error
}

// crowded begins with "first" and lets some wait behind it.
func crowded(t *testing.T, play func(*testing.T, *crowd), behind ...string) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		gate := make(chan struct{})
		c := &crowd{stage: aboard(t, tripA), t: t, open: sync.OnceFunc(func() { close(gate) }), heard: map[string]heard{}}
		defer c.waiting.Wait()
		defer c.open()
		c.answer = counts
		c.handled(t, p3("tg:kept", "kept")) // so that the trip is at hand
		c.commits, c.out, c.loads, c.kicks = nil, nil, 0, 0
		first := sync.OnceFunc(func() { <-gate })
		c.before = func(one *roster.Commit) error {
			if one.Trip.ID == tripA {
				first()
			}
			return nil
		}
		for _, words := range append([]string{"first"}, behind...) {
			c.says(t.Context(), words)
		}
		play(t, c)
	})
}

// counts answers each event with its text in the dialogue state and in the
// trip's name, a letter, and news.
func counts(in conversation.Input) conversation.Result {
	r := changed(in, func(d *roster.Draft) { d.EditPlan().Name += " " + in.Event.Text })
	var before string
	_ = json.Unmarshal(in.Session.Data, &before) // nothing at first
	data, _ := json.Marshal(before + in.Event.Text)
	r.Session = conversation.Session{State: "counting", Data: data}
	r.Letters = []conversation.Letter{letter(in.Event.Person)}
	r.Happened = []conversation.Happening{{Type: in.Event.Text}}
	return r
}

// says lets p3 say something; it stands in the queue afterwards.
func (c *crowd) says(ctx context.Context, words string) { c.does(ctx, words, p3("tg:"+words, words)) }

func (c *crowd) does(ctx context.Context, name string, in delivery.Inbound) {
	c.waiting.Go(func() {
		reply, err := c.door.Handle(ctx, in)
		c.mu.Lock()
		defer c.mu.Unlock()
		c.heard[name] = heard{said(reply), err}
	})
	synctest.Wait()
}

// end lets the first commit through and waits for all.
func (c *crowd) end() {
	c.open()
	c.waiting.Wait()
	synctest.Wait()
	if n := c.door.Owned(); n != 0 {
		c.t.Errorf("%d trips still have an owner", n)
	}
}

// wantHeard holds what everybody was told against what is wanted; who is not
// named wants no word and no error.
func (c *crowd) wantHeard(want map[string]heard) {
	c.t.Helper()
	for words, got := range c.heard {
		if got.reply != want[words].reply || !errors.Is(got.err, want[words].err) {
			c.t.Errorf("%q: told %q, %v; want %q, %v", words, got.reply, got.err, want[words].reply, want[words].err)
		}
	}
}

// committed are the sources of each commit.
func (c *crowd) committed() (all [][]string) {
	for _, one := range c.commits {
		all = append(all, one.Sources)
	}
	return all
}

func (c *crowd) wantCommits(want ...[]string) {
	c.t.Helper()
	if got := c.committed(); !slices.EqualFunc(got, want, slices.Equal[[]string]) {
		c.t.Errorf("commits of %q, want %q", got, want)
	}
}

func (c *crowd) wantName(want string) {
	c.t.Helper()
	if got := c.trip(c.t, tripA).Name; got != "Saturday two-tank kept "+want {
		c.t.Errorf("trip %q, want it to end in %q", got, want)
	}
}
