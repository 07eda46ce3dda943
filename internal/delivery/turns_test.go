package delivery_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// crowd is a stage where the first commit waits until open is called, so that
// what comes meanwhile gathers behind it.
type crowd struct {
	*stage
	t       *testing.T
	began   chan struct{} // closed when the first commit is under way
	open    func()
	waiting sync.WaitGroup
	mu      sync.Mutex
	errs    map[string]error
}

// newCrowd begins with "first" and lets some wait behind it. The answer to each
// is the event's text in the session, the trip's name and a letter.
func newCrowd(t *testing.T, behind ...string) *crowd {
	gate := make(chan struct{})
	c := &crowd{stage: aboard(t, tripA), t: t, began: make(chan struct{}), open: sync.OnceFunc(func() { close(gate) }), errs: map[string]error{}}
	t.Cleanup(c.open)
	c.answer = func(in conversation.Input) conversation.Result {
		in.Trip.Name += " " + in.Event.Text
		data, _ := json.Marshal(string(in.Session.Data) + in.Event.Text)
		return conversation.Result{Session: conversation.Session{State: "counting", Data: data},
			Letters: []conversation.Letter{{Person: in.Event.Person}}, Happened: []conversation.Happening{{Type: in.Event.Text}}}
	}
	c.handled(t, p3("tg:kept", "kept")) // so that the trip is at hand
	c.commits, c.out, c.loads = nil, nil, 0
	first := sync.OnceFunc(func() { close(c.began); <-gate })
	c.before = func(*roster.Commit) error { first(); return nil }
	c.says(t.Context(), "first")
	<-c.began
	for _, words := range behind {
		c.says(t.Context(), words)
	}
	return c
}

// says lets p3 say something and waits until that stands in the queue.
func (c *crowd) says(ctx context.Context, words string) {
	c.waiting.Add(1)
	began := c.door.Waiting(tripA)
	go func() {
		defer c.waiting.Done()
		_, err := c.door.Handle(ctx, p3("tg:"+words, words))
		c.mu.Lock()
		defer c.mu.Unlock()
		c.errs[words] = err
	}()
	for end := time.Now().Add(10 * time.Second); words != "first" && c.door.Waiting(tripA) == began; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			c.t.Fatalf("%q does not queue up", words)
		}
	}
}

// end lets the first commit through and waits for all.
func (c *crowd) end() {
	c.open()
	c.waiting.Wait()
	for words, err := range c.errs {
		if err != nil && !errors.Is(err, context.Canceled) {
			c.t.Errorf("%q: %v", words, err)
		}
	}
	if n := c.door.Waiting(tripA); n != 0 {
		c.t.Errorf("%d still wait", n)
	}
}

// sources of each commit.
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

func TestEventsThatWaitAreCommittedTogether(t *testing.T) {
	c := newCrowd(t, "0", "1", "2")
	c.end()
	c.wantCommits([]string{"tg:first"}, []string{"tg:0", "tg:1", "tg:2"})
	if c.loads != 0 {
		t.Errorf("%d loads, want none", c.loads)
	}
	if got := c.trip(t, tripA).Name; got != "Saturday two-tank kept first 0 1 2" {
		t.Errorf("trip %q: each event builds on the one before, in order", got)
	}
	together := c.commits[1]
	if len(together.Events) != 3 || len(together.Out) != 3 || together.Out[0].ID == together.Out[1].ID || together.Out[1].ID == together.Out[2].ID {
		t.Errorf("%d events, letters %v: want three of each, every letter with its own id", len(together.Events), together.Out)
	}
	c.handled(t, p3("tg:after", "after"))
	if got := string(c.inputs[len(c.inputs)-1].Session.Data); got != string(together.Sessions["p3"][len(`{"state":"counting","data":`):len(together.Sessions["p3"])-1]) {
		t.Errorf("the next event sees the dialogue %s, stored was %s", got, together.Sessions["p3"])
	}
}

// However many wait, a commit stays of a size that the store takes in its
// stride.
func TestCommitTogetherIsBounded(t *testing.T) {
	c := newCrowd(t)
	for i := range 20 {
		c.says(t.Context(), fmt.Sprint(i))
	}
	c.end()
	if got := c.committed(); len(got) != 3 || len(got[1]) != 16 || len(got[2]) != 4 {
		t.Errorf("commits of %q, want one of sixteen and one of four", got)
	}
}

// What stops a common commit stops none of the others: each goes alone, in its
// turn, and is stored once.
func TestWhatCantBeCommittedTogetherGoesAlone(t *testing.T) {
	alone := [][]string{{"tg:first"}, {"tg:0"}, {"tg:1"}, {"tg:2"}}
	t.Run("conflict", func(t *testing.T) {
		c := newCrowd(t, "0", "1", "2")
		once := true
		hold := c.before
		c.before = func(one *roster.Commit) error {
			if hold(one); len(one.Sources) > 1 && once {
				once = false
				return roster.ErrConflict
			}
			return nil
		}
		c.end()
		c.wantCommits(alone...)
	})
	t.Run("fault after the write", func(t *testing.T) {
		c := newCrowd(t, "0", "1", "2")
		c.lose = func(one *roster.Commit) error {
			if len(one.Sources) > 1 {
				return errors.New("connection lost")
			}
			return nil
		}
		c.end()
		c.wantCommits(alone[0], []string{"tg:0", "tg:1", "tg:2"}) // recognised by their sources
	})
	t.Run("stored before", func(t *testing.T) {
		c := newCrowd(t, "0", "1", "2")
		c.memory.mu.Lock()
		c.seen[string(tripA)+"tg:1"] = true
		c.memory.mu.Unlock()
		c.end()
		c.wantCommits(alone[0], alone[1], alone[3])
	})
	t.Run("panic", func(t *testing.T) {
		c := newCrowd(t, "0", "1", "2")
		usual := c.answer
		c.answer = func(in conversation.Input) conversation.Result {
			if in.Event.Text == "1" {
				panic("a fault in a rule")
			}
			return usual(in)
		}
		c.end()
		c.wantCommits(alone[0], alone[1], alone[3])
		if got := c.trip(t, tripA).Name; got != "Saturday two-tank kept first 0 2" {
			t.Errorf("trip %q", got)
		}
	})
	t.Run("an address that goes", func(t *testing.T) {
		c := newCrowd(t, "0", "1", "2")
		usual := c.answer
		c.answer = func(in conversation.Input) conversation.Result {
			if in.Event.Text == "1" {
				in.Trip.People[0].Addresses = nil
			}
			return usual(in)
		}
		c.end()
		c.wantCommits(alone...)
		if drop := c.commits[2].Drop; len(drop) != 1 {
			t.Errorf("dropped %v with the event that took the address away", drop)
		}
	})
	t.Run("delivered twice at the same moment", func(t *testing.T) {
		c := newCrowd(t)
		c.says(t.Context(), "0")
		c.says(t.Context(), "0")
		c.says(t.Context(), "2")
		c.end()
		c.wantCommits(alone[0], alone[1], alone[3])
	})
}

// Who gives up leaves the queue and keeps nobody else waiting.
func TestGivingUpInTheQueue(t *testing.T) {
	c := newCrowd(t)
	ctx, cancel := context.WithCancel(t.Context())
	c.says(t.Context(), "0")
	c.says(ctx, "gives up")
	c.says(t.Context(), "2")
	cancel()
	for end := time.Now().Add(10 * time.Second); c.door.Waiting(tripA) != 2; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it still waits")
		}
	}
	c.end()
	c.wantCommits([]string{"tg:first"}, []string{"tg:0", "tg:2"})
	if !errors.Is(c.errs["gives up"], context.Canceled) {
		t.Errorf("answer to who gave up: %v", c.errs["gives up"])
	}
}

// A shop's change keeps the trip it gets, and takes nobody along; nor is it
// taken along.
func TestShopsChangeGoesAlone(t *testing.T) {
	c := newCrowd(t)
	c.says(t.Context(), "0")
	began := c.door.Waiting(tripA)
	c.waiting.Go(func() {
		if _, err := c.door.Apply(t.Context(), tripA, "shop:1", func(*roster.Trip) (conversation.Change, error) {
			return conversation.Change{}, nil
		}); err != nil {
			t.Error(err)
		}
	})
	for c.door.Waiting(tripA) == began {
		time.Sleep(time.Millisecond)
	}
	c.says(t.Context(), "1")
	c.says(t.Context(), "2")
	c.end()
	c.wantCommits([]string{"tg:first"}, []string{"tg:0"}, []string{"shop:1"}, []string{"tg:1", "tg:2"})
}
