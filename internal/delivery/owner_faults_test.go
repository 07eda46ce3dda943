package delivery_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// What stops a common commit stops none of the others, and nothing is stored
// twice.
func TestWhatGoesWrongInACrowd(t *testing.T) {
	first, all, rest := []string{"tg:first"}, []string{"tg:0", "tg:1", "tg:2"}, []string{"tg:0", "tg:2"}
	t.Run("conflict", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			once := true
			hold := c.before
			c.before = func(one *roster.Commit) error {
				if _ = hold(one); len(one.Sources) > 1 && once {
					once = false
					return roster.ErrConflict
				}
				return nil
			}
			c.end()
			c.wantHeard(nil)
			c.wantCommits(first, all)
			if c.loads != 1 {
				t.Errorf("%d loads, want one: for all together", c.loads)
			}
			c.wantName("first 0 1 2")
		}, "0", "1", "2")
	})
	t.Run("conflict without end", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			hold := c.before
			c.before = func(one *roster.Commit) error {
				if _ = hold(one); len(one.Sources) > 1 {
					return roster.ErrConflict
				}
				return nil
			}
			c.end()
			busy := heard{err: delivery.ErrBusy}
			c.wantHeard(map[string]heard{"0": busy, "1": busy, "2": busy})
			c.wantCommits(first)
		}, "0", "1", "2")
	})
	t.Run("fault after the write", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			lost := errors.New("connection lost")
			c.lose = func(one *roster.Commit) error {
				if len(one.Sources) > 1 {
					return lost
				}
				return nil
			}
			c.end()
			c.wantHeard(map[string]heard{"0": {err: lost}, "1": {err: lost}, "2": {err: lost}})
			for _, words := range []string{"0", "1", "2"} { // all come again
				c.handled(t, p3("tg:"+words, words))
			}
			c.wantCommits(first, all) // recognised by their sources
			if c.loads == 0 {
				t.Error("the trip was not loaded, though it was not known what is stored")
			}
			c.wantName("first 0 1 2")
		}, "0", "1", "2")
	})
	t.Run("fault before the write", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			hold, down := c.before, true
			c.before = func(one *roster.Commit) error {
				if _ = hold(one); len(one.Sources) > 1 && down {
					return errDown
				}
				return nil
			}
			c.end()
			c.wantHeard(map[string]heard{"0": {err: errDown}, "1": {err: errDown}, "2": {err: errDown}})
			c.wantName("first")
			down = false
			for _, words := range []string{"0", "1", "2"} {
				c.handled(t, p3("tg:"+words, words))
			}
			c.wantName("first 0 1 2")
		}, "0", "1", "2")
	})
	t.Run("stored before", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			c.memory.mu.Lock()
			c.seen[string(tripA)+"tg:1"] = true
			c.memory.mu.Unlock()
			c.end()
			c.wantHeard(nil)
			c.wantCommits(first, rest)
			c.wantName("first 0 2")
		}, "0", "1", "2")
	})
	t.Run("panic", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			c.answer = func(in conversation.Input) conversation.Result {
				if in.Event.Text == "1" {
					panic("a fault in a rule")
				}
				return counts(in)
			}
			c.end()
			c.wantHeard(map[string]heard{"1": {reply: "door.fault"}})
			c.wantName("first 0 2")
		}, "0", "1", "2")
	})
	t.Run("panic over what a step came to", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			c.answer = func(in conversation.Input) conversation.Result {
				r := counts(in)
				if in.Event.Text == "1" {
					r.Acts = []roster.Act{{Verb: "half"}}
					r.Happened = append(r.Happened, conversation.Happening{Data: func() {}}) // no JSON
				}
				return r
			}
			c.end()
			c.wantHeard(map[string]heard{"1": {reply: "door.fault"}})
			c.wantName("first 0 2")
			for _, one := range c.commits[1:] {
				n, faulty := len(one.Sources), slices.Contains(one.Sources, "tg:1")
				if faulty || len(one.Acts) > 0 || len(one.Out) != n || len(one.Events) != n {
					t.Errorf("commit of %q has %d acts, %d letters, %d events: nothing of a faulty event is kept",
						one.Sources, len(one.Acts), len(one.Out), len(one.Events))
				}
			}
		}, "0", "1", "2")
	})
	t.Run("panic beside the step", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			hold := c.before
			c.before = func(one *roster.Commit) error {
				if _ = hold(one); len(one.Sources) > 1 {
					panic("a fault of the store's client")
				}
				return nil
			}
			c.end()
			fault := heard{reply: "door.fault"}
			c.wantHeard(map[string]heard{"0": fault, "1": fault, "2": fault})
			c.handled(t, p3("tg:after", "after"))
			c.wantName("first after")
		}, "0", "1", "2")
	})
	t.Run("delivered twice at the same moment", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			c.does(t.Context(), "0 again", p3("tg:0", "0"))
			c.says(t.Context(), "2")
			c.end()
			c.wantHeard(nil)
			c.wantCommits(first, rest)
			c.wantName("first 0 2")
		}, "0")
	})
	t.Run("delivered twice, and the commit fails", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			c.does(t.Context(), "0 again", p3("tg:0", "0"))
			hold := c.before
			c.before = func(one *roster.Commit) error {
				if _ = hold(one); slices.Contains(one.Sources, "tg:0") {
					return errDown
				}
				return nil
			}
			c.end()
			c.wantHeard(map[string]heard{"0": {err: errDown}, "0 again": {err: errDown}})
			c.wantCommits(first)
		}, "0")
	})
	t.Run("refused", func(t *testing.T) {
		crowded(t, func(t *testing.T, c *crowd) {
			c.does(t.Context(), "stranger", strangers(t, c.stage))
			c.says(t.Context(), "2")
			c.end()
			c.wantHeard(map[string]heard{"stranger": {reply: "door.unknown"}})
			c.wantName("first 0 2")
			for _, one := range c.commits {
				if slices.Contains(one.Sources, "tg:stranger") {
					t.Error("a refused event is stored")
				}
			}
		}, "0")
	})
}

// strangers is what somebody says whom a route leads to the trip, which does not
// know the address.
func strangers(t *testing.T, s *stage) delivery.Inbound {
	t.Helper()
	_ = s.Seat(t.Context(), chat("999"), roster.Seat{Trip: tripA, Person: "p2"})
	in := text("tg:stranger", "let me in")
	in.From = chat("999")
	return in
}

// All sixteen of a commit come again after its answer was lost.
func TestACrowdThatWasHandledBefore(t *testing.T) {
	var behind []string
	for i := range 16 {
		behind = append(behind, fmt.Sprint(i))
	}
	crowded(t, func(t *testing.T, c *crowd) {
		c.memory.mu.Lock()
		for _, words := range behind {
			c.seen[string(tripA)+"tg:"+words] = true
		}
		c.memory.mu.Unlock()
		c.end()
		c.wantHeard(nil)
		c.wantCommits([]string{"tg:first"})
	}, behind...)
}

// A refusal by what came just before is one only when that is stored.
func TestNobodyIsRefusedByWhatIsNotStored(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		c.answer = func(in conversation.Input) conversation.Result {
			if in.Event.Text == "/erase" {
				return changed(in, func(d *roster.Draft) { d.Erase("p2", in.Now) })
			}
			return counts(in)
		}
		hold := c.before
		c.before = func(one *roster.Commit) error {
			if _ = hold(one); slices.Contains(one.Sources, "tg:erase") {
				return errDown
			}
			return nil
		}
		erase := fromLeader("tg:erase")
		erase.Text = "/erase"
		c.does(t.Context(), "erase", erase)
		page := delivery.Inbound{Kind: conversation.Text, Source: "web:1", From: delivery.WebAddress(tripA, "p2"),
			Trip: tripA, Person: "p2", Text: "1"}
		c.does(t.Context(), "1", page)
		c.end()
		c.wantHeard(map[string]heard{"erase": {err: errDown}, "1": {err: errDown}}) // and not that everything was erased
		c.before = hold
		c.handled(t, page)
		c.wantName("first 1")
	})
}

// A panic of the shop's own judgement is an error of that change alone.
func TestPanicInAShopsChange(t *testing.T) {
	s := newStage(t)
	trip, err := s.door.Apply(t.Context(), tripA, "", func(*roster.Trip) (conversation.Change, error) { panic("x") })
	if trip != nil || err == nil {
		t.Errorf("got %v, %v; want an error", trip, err)
	}
	s.handled(t, text("tg:1", "32.4"))
	if len(s.commits) != 1 {
		t.Errorf("%d commits, want that of the next event", len(s.commits))
	}
}
