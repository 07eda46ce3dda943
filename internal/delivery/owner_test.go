package delivery_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

func TestEventsThatWaitAreCommittedTogether(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		c.end()
		c.wantHeard(nil)
		c.wantCommits([]string{"tg:first"}, []string{"tg:0", "tg:1", "tg:2"})
		if c.loads != 0 {
			t.Errorf("%d loads, want none", c.loads)
		}
		c.wantName("first 0 1 2") // each builds on the one before, in order
		together := c.commits[1]
		ids := map[string]bool{}
		for _, e := range together.Out {
			ids[e.ID] = true
		}
		if len(together.Events) != 3 || len(together.Out) != 3 || len(ids) != 3 {
			t.Errorf("%d events, letters %v: want three of each, every letter with its own id", len(together.Events),
				together.Out)
		}
		if c.kicks != 2 {
			t.Errorf("%d kicks, want one for each commit", c.kicks)
		}
		c.handled(t, p3("tg:after", "after"))
		dialogue := c.inputs[len(c.inputs)-1].Session
		if got, _ := json.Marshal(dialogue); string(got) != string(together.Sessions["p3"]) {
			t.Errorf("the next event sees the dialogue %s, stored was %s", got, together.Sessions["p3"])
		}
	}, "0", "1", "2")
}

// However many wait, a commit stays of a size that the store takes in its
// stride, and nobody overtakes anybody.
func TestCommitTogetherIsBounded(t *testing.T) {
	var behind []string
	for i := range 40 {
		behind = append(behind, fmt.Sprint(i))
	}
	crowded(t, func(t *testing.T, c *crowd) {
		if got := c.door.Waiting(tripA); got != 40 {
			t.Fatalf("%d wait, want forty", got)
		}
		c.end()
		c.wantHeard(nil)
		if got := c.committed(); len(got) != 4 || len(got[1]) != 16 || len(got[2]) != 16 || len(got[3]) != 8 {
			t.Errorf("commits of %q, want two of sixteen and one of eight", got)
		}
		c.wantName("first " + strings.Join(behind, " "))
	}, behind...)
}

// A shop's change goes with the others, and comes back as it is stored.
func TestShopsChangeIsCommittedWithOthers(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		c.says(t.Context(), "0")
		var got *roster.Trip
		c.waiting.Go(func() {
			var err error
			got, err = c.door.Apply(t.Context(), tripA, "shop:1", func(trip *roster.Trip) (conversation.Change, error) {
				if !strings.HasSuffix(trip.Name, " 0") {
					t.Errorf("it looks at %q, want what came before it", trip.Name)
				}
				return conversation.Change{}, nil
			})
			if err != nil {
				t.Error(err)
			}
		})
		synctest.Wait()
		c.says(t.Context(), "1")
		c.end()
		c.wantCommits([]string{"tg:first"}, []string{"tg:0", "shop:1", "tg:1"})
		if want := c.trip(t, tripA); got == nil || string(kept(got)) != string(kept(want)) || got.Version != want.Version {
			t.Errorf("it got %+v, stored is %+v", got, want)
		}
	})
}

// A change that the shop's own judgement refuses keeps nobody else from being
// recorded, and its error comes back as it is.
func TestShopsRefusalInACrowd(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		c.says(t.Context(), "0")
		no := errors.New("no such site")
		c.waiting.Go(func() {
			trip, err := c.door.Apply(t.Context(), tripA, "shop:1", func(*roster.Trip) (conversation.Change, error) {
				return conversation.Change{}, no
			})
			if trip != nil || !errors.Is(err, no) {
				t.Errorf("got %v, %v; want the refusal", trip, err)
			}
		})
		synctest.Wait()
		c.says(t.Context(), "1")
		c.end()
		c.wantHeard(nil)
		c.wantName("first 0 1")
	})
}

// Whoever gives up hears that it is not known; the event is recorded with all
// that it came to, or not at all, and keeps nobody else waiting.
func TestGivingUpInTheQueue(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		ctx, cancel := context.WithCancel(t.Context())
		c.says(t.Context(), "0")
		c.says(ctx, "gone")
		c.says(t.Context(), "2")
		cancel()
		synctest.Wait()
		c.mu.Lock()
		if got, told := c.heard["gone"]; !told || !errors.Is(got.err, context.Canceled) {
			t.Errorf("told %v %v, want at once that it is not known", told, got)
		}
		c.mu.Unlock()
		c.end()
		c.wantHeard(map[string]heard{"gone": {err: context.Canceled}})
		recorded := 0
		for _, one := range c.commits {
			if n := len(one.Sources); len(one.Out) != n || len(one.Events) != n {
				t.Errorf("%d letters and %d events of %q", len(one.Out), len(one.Events), one.Sources)
			}
			if slices.Contains(one.Sources, "tg:gone") {
				recorded++
			}
		}
		if got := strings.Count(c.trip(t, tripA).Name, "gone"); got != recorded {
			t.Errorf("its source is stored %d times, what it changed %d times", recorded, got)
		}
		c.handled(t, p3("tg:gone", "gone")) // and so it comes again
		if got := strings.Count(c.trip(t, tripA).Name, "gone"); got != 1 {
			t.Errorf("it is recorded %d times in the end, want once", got)
		}
	})
}
