package delivery_test

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/roster"
)

// badDay is a store that takes its time, refuses, fails, loses answers and
// panics, by the dice.
type badDay struct {
	*stage
	mu     sync.Mutex
	random *rand.Rand
	good   bool // it is over
}

func (b *badDay) roll(of int) int {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.good {
		return of - 1
	}
	return b.random.IntN(of)
}

func newBadDay(t *testing.T, seed uint64) *badDay {
	b := &badDay{stage: aboard(t, tripA), random: rand.New(rand.NewPCG(seed, 2))}
	b.answer = func(in conversation.Input) conversation.Result {
		if b.roll(20) == 0 {
			panic("a fault in a rule")
		}
		return counts(in)
	}
	b.before = func(*roster.Commit) error {
		time.Sleep(time.Duration(b.roll(10)) * time.Millisecond)
		switch b.roll(12) {
		case 0, 1:
			return roster.ErrConflict
		case 2:
			return errDown
		case 3:
			panic("a fault of the store's client")
		}
		return nil
	}
	b.lose = func(*roster.Commit) error {
		if b.roll(10) == 0 {
			return errDown
		}
		return nil
	}
	return b
}

// Whatever happens, nobody waits for ever, who was told that it is recorded
// finds it recorded once, with its letter, and nobody overtakes anybody.
func TestNobodyWaitsForEver(t *testing.T) {
	for seed := range uint64(200) {
		synctest.Test(t, func(t *testing.T) {
			b := newBadDay(t, seed)
			recorded := b.manySay(t, 40)
			var words []int
			for _, w := range strings.Fields(b.trip(t, tripA).Name)[2:] {
				n, _ := strconv.Atoi(w)
				words = append(words, n)
			}
			if !slices.IsSorted(words) || len(slices.Compact(slices.Clone(words))) != len(words) {
				t.Errorf("seed %d: recorded %v, want each once and in the order they came", seed, words)
			}
			for n := range recorded {
				if !slices.Contains(words, n) {
					t.Errorf("seed %d: %d was told that it is recorded, and is not", seed, n)
				}
			}
			ids := map[string]bool{}
			for _, e := range b.out {
				ids[e.ID] = true
			}
			if len(ids) != len(words) || len(b.out) != len(words) {
				t.Errorf("seed %d: %d letters with %d ids of %d events", seed, len(b.out), len(ids), len(words))
			}
			if n := b.door.Owned(); n != 0 {
				t.Errorf("seed %d: %d trips still have an owner", seed, n)
			}
		})
	}
}

// manySay lets p3 say the numbers below n, a little apart, some impatiently. It
// returns those that were told that they are recorded, when all were told.
func (b *badDay) manySay(t *testing.T, n int) map[int]bool {
	recorded := map[int]bool{}
	b.out = nil
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() {
			time.Sleep(time.Duration(i) * time.Millisecond)
			ctx, cancel := t.Context(), context.CancelFunc(func() {})
			if b.roll(8) == 0 {
				ctx, cancel = context.WithTimeout(ctx, 5*time.Millisecond)
			}
			defer cancel()
			reply, err := b.door.Handle(ctx, p3(fmt.Sprint("tg:", i), fmt.Sprint(i)))
			b.mu.Lock()
			defer b.mu.Unlock()
			recorded[i] = reply == nil && err == nil
		})
	}
	all.Wait()
	time.Sleep(time.Minute) // whoever gave up is served too
	synctest.Wait()
	b.mu.Lock()
	defer b.mu.Unlock()
	b.good = true
	maps.DeleteFunc(recorded, func(_ int, told bool) bool { return !told })
	return recorded
}
