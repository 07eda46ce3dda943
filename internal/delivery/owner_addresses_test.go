package delivery_test

import (
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// Who joins in the middle of a crowd is linked before it is stored, and is known
// from then on.
func TestJoinInACrowd(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		c.says(t.Context(), "0")
		c.answer = func(in conversation.Input) conversation.Result {
			if in.Event.Kind == conversation.Join {
				return joins(in)
			}
			return counts(in)
		}
		c.memory.mu.Lock()
		c.order = nil
		c.memory.mu.Unlock()
		c.does(t.Context(), "join", start("tg:join", "400", invites.Code(tripB, "p3", 2)))
		c.does(t.Context(), "page", delivery.Inbound{Kind: conversation.Join, Source: "web:join",
			From: delivery.WebAddress(tripA, "p3"), Trip: tripA, Person: "p3"})
		c.says(t.Context(), "2")
		c.end()
		c.wantHeard(nil)
		c.wantName("first 0 2")
		if last := c.committed()[len(c.commits)-1]; !slices.Equal(last, []string{"tg:0", "web:join", "tg:2"}) {
			t.Errorf("committed together: %q", last)
		}
		if p := c.trip(t, tripA).Person("p3"); len(p.Addresses) != 2 || !p.OnlyTrip {
			t.Errorf("addresses %v, only trip %v", p.Addresses, p.OnlyTrip)
		}
		if p := c.trip(t, tripB).Person("p3"); len(p.Addresses) != 1 {
			t.Errorf("trip B: addresses %v; another trip waits for nobody", p.Addresses)
		}
	})
}

func TestAccountJoinsInACrowd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		gate := make(chan struct{})
		s := newStage(t)
		s.answer = joins
		first := sync.OnceFunc(func() { <-gate })
		s.before = func(*roster.Commit) error { first(); return nil }
		var all sync.WaitGroup
		for _, in := range []delivery.Inbound{text("tg:first", "1"), text("tg:0", "2"),
			start("tg:join", "400", invites.Code(tripA, "p3", 2)), text("tg:2", "3")} {
			all.Go(func() { s.handled(t, in) })
			synctest.Wait()
		}
		close(gate)
		all.Wait()
		if got := s.commits[len(s.commits)-1].Sources; !slices.Equal(got, []string{"tg:0", "tg:join", "tg:2"}) {
			t.Errorf("committed together: %q", got)
		}
		if want := []string{"commit", "link", "commit"}; !slices.Equal(s.order, want) {
			t.Errorf("wrote %v, want %v", s.order, want)
		}
		if p := s.trip(t, tripA).Person("p3"); !p.OnlyTrip || len(p.Addresses) != 1 {
			t.Errorf("only trip %v, addresses %v", p.OnlyTrip, p.Addresses)
		}
		s.loads, s.routed = 0, 0
		in := text("tg:after", "32.4")
		in.From = chat("400")
		s.handled(t, in)
		if s.loads+s.routed != 0 {
			t.Errorf("%d loads, %d look-ups for the next event; want none", s.loads, s.routed)
		}
	})
}

// What waits for an address that goes is dropped, letters of the events just
// before it too; an address that goes and comes back keeps its route.
func TestAddressThatGoesInACrowd(t *testing.T) {
	crowded(t, func(t *testing.T, c *crowd) {
		c.answer = func(in conversation.Input) conversation.Result {
			r := counts(in)
			switch in.Event.Text {
			case "1":
				d := roster.Change(r.Trip)
				d.Edit("p2").Addresses = nil
				r.Trip = d.Done()
			case "2":
				d := roster.Change(r.Trip)
				d.Join("p2", chat("200"), "pl", in.Now)
				r.Trip = d.Done()
			}
			r.Letters = append(r.Letters, letter("p2"))
			return r
		}
		c.end()
		c.wantHeard(nil)
		c.wantName("first 0 1 2")
		waits := 0 // for p2, in the end
		for _, one := range c.commits {
			if slices.Contains(one.Drop, chat("200")) {
				waits = 0
			}
			for _, e := range one.Out {
				if e.Address == chat("200") {
					waits++
				}
			}
		}
		if waits != 1 {
			t.Errorf("%d letters wait for who was away, want that of the last event", waits)
		}
		if got := c.linked(chat("200")); !slices.Contains(got, tripA) {
			t.Errorf("who is back has lost the route: %v", got)
		}
	}, "0", "1", "2")
}

// Two trips in one process whose owners tell each other at the same moment that
// they are not the only one of an account: neither waits for the other.
func TestTwoTripsTellEachOther(t *testing.T) {
	for seed := range uint64(200) {
		synctest.Test(t, func(t *testing.T) {
			random := rand.New(rand.NewPCG(seed, 1))
			s := aboard(t)
			s.door = s.process() // with its own waits after a conflict
			s.before = func(*roster.Commit) error {
				s.memory.mu.Lock()
				took := time.Duration(random.IntN(4)) * time.Millisecond
				s.memory.mu.Unlock()
				time.Sleep(took)
				return nil
			}
			var joined sync.WaitGroup
			for _, id := range []roster.TripID{tripA, tripB} {
				joined.Go(func() {
					reply, err := s.door.Handle(t.Context(), start("tg:"+string(id), "300", invites.Code(id, "p3", 2)))
					if reply != nil || err != nil {
						t.Errorf("join %s: %q, %v", id, said(reply), err)
					}
				})
			}
			joined.Wait()
			synctest.Wait()
			for _, id := range []roster.TripID{tripA, tripB} {
				if p := s.trip(t, id).Person("p3"); p.OnlyTrip || len(p.Addresses) != 1 {
					t.Errorf("seed %d, trip %s: only %v, addresses %v", seed, id, p.OnlyTrip, p.Addresses)
				}
			}
			if n := s.door.Owned(); n != 0 {
				t.Errorf("seed %d: %d trips still have an owner", seed, n)
			}
		})
	}
}
