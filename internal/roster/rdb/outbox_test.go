package rdb_test

import (
	"bytes"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func envelope(id string, p roster.PersonID, l roster.Level) roster.Envelope {
	return roster.Envelope{ID: id, Trip: "aaaaaaaaaa", Person: p,
		Address: roster.Address{Channel: "telegram", ID: "chat-of-" + string(p)},
		Level:   l, Payload: []byte(`{"lines":[]}`)}
}

func ids(claimed []roster.Claimed) []string {
	var got []string
	for _, c := range claimed {
		got = append(got, c.ID)
	}
	return got
}

func claim(t testing.TB, o *rdb.Outbox, now time.Time, max int) []roster.Claimed {
	t.Helper()
	got, err := o.Claim(t.Context(), roster.NewToken(), now, time.Minute, max, nil)
	if err != nil {
		t.Fatalf("claim: %v", err)
	}
	return got
}

// claimAndSend drains the outbox and returns the order in which messages left.
func claimAndSend(t testing.TB, o *rdb.Outbox, now time.Time, atOnce int) []string {
	t.Helper()
	var left []string
	for {
		got := claim(t, o, now, atOnce)
		if len(got) == 0 {
			return left
		}
		for _, c := range got {
			left = append(left, c.ID)
			must(t, o.Sent(t.Context(), c))
		}
	}
}

func TestOutboxOrder(t *testing.T) {
	e := func(id string, p roster.PersonID, l roster.Level) roster.Envelope { return envelope(id, p, l) }
	for _, tt := range []struct {
		name    string
		commits [][]roster.Envelope
		want    []string
	}{
		{"in the order of commits", [][]roster.Envelope{{e("a", "p1", 0)}, {e("b", "p1", 0), e("c", "p1", 0)}},
			[]string{"a", "b", "c"}},
		{"most urgent queue first", [][]roster.Envelope{{e("bulk", "p1", roster.LevelAnnouncement),
			e("normal", "p2", roster.LevelReminder), e("urgent", "p3", roster.LevelVerdict)}},
			[]string{"urgent", "normal", "bulk"}},
		{"a queue is as urgent as its most urgent message", [][]roster.Envelope{{e("bulk", "p1", roster.LevelAnnouncement)},
			{e("other", "p2", roster.LevelReminder)}, {e("urgent", "p1", roster.LevelVerdict)}},
			[]string{"bulk", "urgent", "other"}},
		{"also by what comes in one commit", [][]roster.Envelope{{e("normal", "p2", roster.LevelReminder),
			e("bulk", "p1", roster.LevelAnnouncement), e("later", "p3", roster.LevelVerdict),
			e("urgent", "p1", roster.LevelVerdict)}},
			[]string{"bulk", "later", "urgent", "normal"}},
		{"and no longer than that", [][]roster.Envelope{{e("urgent", "p1", roster.LevelVerdict),
			e("bulk", "p1", roster.LevelAnnouncement), e("normal", "p2", roster.LevelReminder)}},
			[]string{"urgent", "normal", "bulk"}},
		{"each level before the next", [][]roster.Envelope{{e("stranger", "p1", roster.LevelStranger),
			e("announcement", "p2", roster.LevelAnnouncement),
			e("reminder", "p3", roster.LevelReminder), e("word", "p4", roster.LevelWord), e("answer", "p5", roster.LevelAnswer),
			e("verdict", "p6", roster.LevelVerdict)}},
			[]string{"verdict", "answer", "word", "reminder", "announcement", "stranger"}},
		{"the longest waiting first", [][]roster.Envelope{{e("1", "p9", 0)}, {e("2", "p5", 0)}, {e("3", "p1", 0)},
			{e("4", "p9", 0)}},
			[]string{"1", "2", "3", "4"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			eachServer(t, func(t *testing.T, srv *server) {
				s := rdb.New(srv.client)
				trip := create(t, s, "aaaaaaaaaa")
				for _, es := range tt.commits {
					trip = mustCommit(t, s, trip, out(es...))
				}
				if got := claimAndSend(t, s.Outbox(), departs, 1); !slices.Equal(got, tt.want) {
					t.Errorf("messages left as %v, want %v", got, tt.want)
				}
				if n, err := s.Outbox().Depth(t.Context()); n != 0 || err != nil {
					t.Errorf("waiting after all were sent: got %d, %v, want 0", n, err)
				}
			})
		})
	}
}

func TestOutboxLeases(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", 0), envelope("b", "p1", 0), envelope("c", "p2", 0)))

		first := claim(t, o, departs, 10)
		if got, want := ids(first), []string{"a", "c"}; !slices.Equal(got, want) {
			t.Fatalf("first claim: got %v, want the heads %v", got, want)
		}
		if first[0].Attempts != 1 || first[0].Unsure || first[0].Trip != trip.ID || first[0].Address.ID != "chat-of-p1" {
			t.Errorf("claimed as %+v", first[0])
		}
		if again := claim(t, o, departs, 10); len(again) != 0 {
			t.Errorf("claim while both are leased: got %v, want none", ids(again))
		}
		mustCommit(t, s, trip, out(envelope("d", "p1", 0)))
		if again := claim(t, o, departs, 10); len(again) != 0 {
			t.Errorf("claim after news for a leased queue: got %v, want none", ids(again))
		}

		expired := departs.Add(61 * time.Second)
		second := claim(t, o, expired, 10)
		if got, want := ids(second), []string{"a", "c"}; !slices.Equal(got, want) {
			t.Fatalf("claim after the leases ran out: got %v, want %v", got, want)
		}
		if !second[0].Unsure || second[0].Attempts != 2 {
			t.Errorf("after a lease ran out: got unsure %v, attempts %d, want true, 2", second[0].Unsure, second[0].Attempts)
		}
		for name, outcome := range map[string]func(roster.Claimed) error{
			"sent":  func(c roster.Claimed) error { return o.Sent(t.Context(), c) },
			"later": func(c roster.Claimed) error { return o.Later(t.Context(), c, expired, true) },
			"dead":  func(c roster.Claimed) error { return o.Dead(t.Context(), c, "x", expired) },
		} {
			if err := outcome(first[0]); !errors.Is(err, roster.ErrConflict) {
				t.Errorf("%s by a stale worker: got %v, want a conflict", name, err)
			}
		}
		must(t, o.Sent(t.Context(), second[0]))
		must(t, o.Sent(t.Context(), second[0])) // the answer was lost
		next := claim(t, o, expired, 1)
		if got := ids(next); !slices.Equal(got, []string{"b"}) || next[0].Unsure {
			t.Errorf("next in the queue: got %v, unsure %v, want b, sure", got, len(next) > 0 && next[0].Unsure)
		}
	})
}

func TestOutboxLater(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelAnnouncement)))
		c := claim(t, o, departs, 1)[0]
		again := departs.Add(30 * time.Second)
		must(t, o.Later(t.Context(), c, again, true))
		mustCommit(t, s, trip, out(envelope("b", "p1", roster.LevelAnnouncement)))
		if got := claim(t, o, again.Add(-time.Millisecond), 1); len(got) != 0 {
			t.Errorf("before its time, with a message as urgent behind it: got %v, want none", ids(got))
		}
		got := claim(t, o, again, 1)
		if len(got) != 1 || got[0].ID != "a" || !got[0].Unsure || got[0].Attempts != 2 {
			t.Fatalf("at its time: got %+v, want a, unsure, second attempt", got)
		}
		must(t, o.Later(t.Context(), got[0], again, false))
		if got := claim(t, o, again, 1); len(got) != 1 || got[0].Unsure {
			t.Errorf("put back as surely not sent: got %+v, want it sure", got)
		}
	})
}

// A verdict needn't wait for a reminder that can't be sent just now. What
// waited for a place made no attempt.
func TestUrgentPassesWhatWasPutBack(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelAnnouncement),
			envelope("n", "p1", roster.LevelReminder)))
		first := claim(t, o, departs, 1)[0]
		mustCommit(t, s, trip, out(envelope("b", "p1", roster.LevelVerdict)))
		first.Attempts--
		must(t, o.Later(t.Context(), first, departs.Add(time.Minute), false))
		must(t, o.Later(t.Context(), first, departs.Add(time.Minute), false)) // the answer to the first was lost
		if got := claimAndSend(t, o, departs.Add(time.Second), 1); !slices.Equal(got, []string{"b", "a", "n"}) {
			t.Errorf("sent %v, want b before its elders", got)
		}
		mustCommit(t, s, load(t, s, trip.ID, "").Trip, out(envelope("d", "p1", roster.LevelAnnouncement)))
		must(t, o.Later(t.Context(), untried(claim(t, o, departs, 1)[0]), departs, false))
		if got := claim(t, o, departs, 1); len(got) != 1 || got[0].Attempts != 1 || got[0].Unsure {
			t.Errorf("after a wait for a place: got %+v, want its first attempt", got)
		}
	})
}

func untried(c roster.Claimed) roster.Claimed {
	c.Attempts--
	return c
}

// An urgent message that comes while a head waits for its time goes first.
func TestUrgentComesWhileTheHeadIsPutBack(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelReminder)))
		must(t, o.Later(t.Context(), claim(t, o, departs, 1)[0], departs.Add(time.Minute), true))
		mustCommit(t, s, trip, out(envelope("b", "p1", roster.LevelVerdict), envelope("c", "p1", roster.LevelReminder)))
		if got := claim(t, o, departs.Add(time.Second), 1); len(got) != 1 || got[0].ID != "b" || got[0].Unsure ||
			got[0].Attempts != 1 {
			t.Fatalf("got %+v, want b, sure, on its first attempt", got)
		}
	})
}

// Taking a letter, putting it back and letting another pass it leaves the letter as it
// was written; how often it was tried goes with it.
func TestTakingALetterWritesNoLetter(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelReminder)))
		number := firstLetter(t, srv.client, outKey(t, srv))
		letter := func() string { return srv.client.HGet(t.Context(), outKey(t, srv), number).Val() }
		written := letter()
		same := func(when string) {
			t.Helper()
			if got := letter(); got != written || got == "" {
				t.Errorf("%s it is %q, want it as it was, %q", when, got, written)
			}
		}
		first := claim(t, o, departs, 1)[0]
		same("taken")
		must(t, o.Later(t.Context(), first, departs, true))
		same("put back")
		mustCommit(t, s, trip, out(envelope("b", "p1", roster.LevelVerdict)))
		must(t, o.Sent(t.Context(), claim(t, o, departs, 1)[0]))
		if got := claim(t, o, departs, 1); len(got) != 1 || got[0].ID != "a" || got[0].Attempts != 2 || !got[0].Unsure {
			t.Errorf("after b passed it: %+v, want a, unsure, its second attempt", got)
		}
		same("taken again")
	})
}

// firstLetter is the number of the oldest letter of a trip's outbox.
func firstLetter(t *testing.T, c redis.UniversalClient, key string) string {
	t.Helper()
	fields, err := c.HKeys(t.Context(), key).Result()
	must(t, err)
	letters := slices.DeleteFunc(fields, func(f string) bool { return strings.Contains(f, ":") })
	return slices.Min(letters)
}

// outKey is the only trip's outbox.
func outKey(t *testing.T, srv *server) string {
	t.Helper()
	for _, key := range allKeys(t, srv.client) {
		if strings.Contains(key, ":out:") {
			return key
		}
	}
	t.Fatal("no outbox")
	return ""
}

// A queue that has become urgent is ready once, under its new level; one that
// is being sent from stays leased.
func TestOutboxBecomesUrgent(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelAnnouncement),
			envelope("b", "p2", roster.LevelReminder)))
		trip = mustCommit(t, s, trip, out(envelope("c", "p1", roster.LevelVerdict)))
		got := claim(t, o, departs, 10)
		if want := []string{"a", "b"}; !slices.Equal(ids(got), want) {
			t.Fatalf("claimed %v, want each queue's head once, the urgent queue first: %v", ids(got), want)
		}
		mustCommit(t, s, trip, out(envelope("d", "p2", roster.LevelVerdict)))
		if again := claim(t, o, departs, 10); len(again) != 0 {
			t.Errorf("claimed %v from queues that are leased", ids(again))
		}
		must(t, o.Sent(t.Context(), got[1]))
		if next := claim(t, o, departs, 10); !slices.Equal(ids(next), []string{"d"}) {
			t.Errorf("after the lease ended: claimed %v, want d", ids(next))
		}
	})
}

func TestOutboxDeadLetters(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", 0), envelope("b", "p1", 0)))
		c := claim(t, o, departs, 1)[0]
		must(t, o.Dead(t.Context(), c, "blocked", departs))
		must(t, o.Dead(t.Context(), c, "blocked", departs)) // the answer was lost
		dead, err := o.DeadLetters(t.Context(), trip.ID)
		if err != nil || len(dead) != 1 || dead[0].ID != "a" || dead[0].Reason != "blocked" || !dead[0].At.Equal(departs) {
			t.Errorf("dead letters: got %+v, %v", dead, err)
		}
		if got := ids(claim(t, o, departs, 1)); !slices.Equal(got, []string{"b"}) {
			t.Errorf("after a dead letter: got %v, want b", got)
		}
	})
}

// Many workers, some of which die with a lease: nothing is lost, nothing is
// sent twice by workers that live, and each person's messages leave in order.
func TestOutboxManyWorkers(t *testing.T) {
	const people, each = 12, 5
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		trip := create(t, s, "aaaaaaaaaa")
		for n := range each {
			for p := range people {
				trip = mustCommit(t, s, trip, out(envelope(fmt.Sprintf("p%d:%d", p, n), roster.PersonID(fmt.Sprintf("p%d", p)),
					roster.Level(n%roster.Levels))))
			}
		}
		var mu sync.Mutex
		sent := map[string][]int{}
		work := func() {
			for {
				got, err := s.Outbox().Claim(t.Context(), roster.NewToken(), departs, time.Minute, 3, nil)
				if err != nil || len(got) == 0 {
					return
				}
				for _, c := range got {
					var p string
					var n int
					_, _ = fmt.Sscanf(c.ID, "p%1s", &p)
					_, _ = fmt.Sscanf(c.ID[len(c.ID)-1:], "%d", &n)
					mu.Lock()
					sent[string(c.Person)] = append(sent[string(c.Person)], n)
					mu.Unlock()
					if err := s.Outbox().Sent(t.Context(), c); err != nil {
						t.Errorf("sent: %v", err)
					}
				}
			}
		}
		var wg sync.WaitGroup
		for range 6 {
			wg.Go(work)
		}
		wg.Wait()
		work() // what the last to finish put back
		for p := range people {
			if got := sent[fmt.Sprintf("p%d", p)]; !slices.Equal(got, []int{0, 1, 2, 3, 4}) {
				t.Errorf("p%d got %v, want each message once, in order", p, got)
			}
		}
	})
}

func TestOutboxAcrossTrips(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		var want []string
		for i := range 40 {
			id := roster.TripID(fmt.Sprintf("trip%c%c4567", 'a'+i/26, 'a'+i%26))
			e := envelope(string(id), "p1", roster.Level(i%roster.Levels))
			create(t, s, id, out(e))
			want = append(want, string(id))
		}
		got := claim(t, s.Outbox(), departs, 100)
		if len(got) != 40 {
			t.Fatalf("claimed %d of 40 trips' messages", len(got))
		}
		if !slices.IsSortedFunc(got, func(a, b roster.Claimed) int { return int(a.Level) - int(b.Level) }) {
			t.Errorf("not the most urgent first")
		}
		left := ids(got)
		slices.Sort(left)
		slices.Sort(want)
		if !slices.Equal(left, want) {
			t.Errorf("got %v, want %v", left, want)
		}
	})
}

// Somebody who forgot, or whose link was revoked, hears no more: not what
// waits, and not what a worker holds after it puts it back.
func TestWhatIsDroppedIsNotSent(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		o := s.Outbox()
		gone := envelope("a", "p1", 0).Address
		trip := create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", 0), envelope("b", "p1", roster.LevelAnnouncement),
			envelope("c", "p2", 0)))
		held := claim(t, o, departs, 1)
		trip = mustCommit(t, s, trip, func(c *roster.Commit) { c.Drop = []roster.Address{gone} })

		must(t, o.Later(t.Context(), held[0], departs, true))
		if got := claimAndSend(t, o, departs.Add(2*time.Minute), 10); !slices.Equal(got, []string{"c"}) {
			t.Errorf("sent %v, want only what waits for somebody else", got)
		}
		if n, err := o.Depth(t.Context()); n != 0 || err != nil {
			t.Errorf("waiting: got %d, %v, want 0", n, err)
		}
		mustCommit(t, s, trip, out(envelope("d", "p1", 0)))
		if got := claimAndSend(t, o, departs.Add(3*time.Minute), 10); !slices.Equal(got, []string{"d"}) {
			t.Errorf("sent %v, want the new message for the same address", got)
		}
	})
}

// An address that can't be reached for long keeps its newest 500 letters; the
// one in a worker's hand is not among those that give way.
func TestOutboxOfOneAddressIsBounded(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		var log bytes.Buffer
		s.Logger = slog.New(slog.NewTextHandler(&log, nil))
		trip := create(t, s, "aaaaaaaaaa", out(envelope("in hand", "p2", roster.LevelVerdict),
			envelope("another's", "p1", roster.LevelVerdict)))
		inHand := claim(t, s.Outbox(), departs, 1)[0]
		if inHand.ID != "in hand" {
			t.Fatalf("claimed %q", inHand.ID)
		}
		for i := range 60 {
			var ten []roster.Envelope
			for k := range 10 {
				ten = append(ten, envelope(fmt.Sprint(10*i+k), "p2", roster.LevelVerdict))
			}
			trip = mustCommit(t, s, trip, out(ten...))
		}
		if n := strings.Count(log.String(), "too many wait"); n != 11 { // ten of them ten at once, one of one
			t.Errorf("%d lines of the log name what gave way:\n%s", n, &log)
		}
		if n, err := s.Outbox().Depth(t.Context()); err != nil || n != 501 {
			t.Errorf("%d wait, %v; want 500 for the one address and 1 for the other", n, err)
		}
		must(t, s.Outbox().Sent(t.Context(), inHand))
		left := claimAndSend(t, s.Outbox(), departs, 1)
		want := []string{"another's"}
		for i := 101; i < 600; i++ {
			want = append(want, fmt.Sprint(i))
		}
		if !slices.Equal(left, want) {
			t.Errorf("%d left, from %v to %v; want %d, from %v", len(left), left[:2], left[len(left)-1], len(want), want[:2])
		}
	})
}

// A lease ends by the clock, and a clock can jump: what a process still has in
// hand it does not take again, and its outcome counts. Others may take it.
func TestWhatIsInHandIsNotTakenAgain(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		create(t, s, "aaaaaaaaaa", out(envelope("a", "p1", roster.LevelVerdict), envelope("b", "p2", roster.LevelVerdict)))
		first := claim(t, s.Outbox(), departs, 1)
		inHand := func(trip roster.TripID, a roster.Address) bool { return trip == first[0].Trip && a == first[0].Address }
		jumped := departs.Add(time.Hour)
		got, err := s.Outbox().Claim(t.Context(), roster.NewToken(), jumped, time.Minute, 5, inHand)
		must(t, err)
		if want := []string{"b"}; !slices.Equal(ids(got), want) {
			t.Errorf("an hour later the process takes %v, want %v", ids(got), want)
		}
		must(t, s.Outbox().Sent(t.Context(), first[0]))
		if left := claim(t, s.Outbox(), jumped.Add(time.Hour), 5); len(left) != 1 || left[0].ID != "b" {
			t.Errorf("left: %v, want b alone, unsure", ids(left))
		}
	})
}

// Trips lie in buckets, and who has waited longest goes first over all of them, however
// much was said in a bucket before.
func TestOutboxOrdersOverAllBuckets(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		now := departs
		s.Now = func() time.Time { return now }
		e := func(id string, p roster.PersonID) roster.Envelope { return envelope(id, p, roster.LevelVerdict) }
		busy := create(t, s, "aaaaaaaaaa", out(e("a", "p1"), e("b", "p1"), e("c", "p1")))
		claimAndSend(t, s.Outbox(), now, 3)
		var want []string
		for i, id := range []roster.TripID{"bbbbbbbbbb", "cccccccccc", "dddddddddd", "eeeeeeeeee"} {
			now = now.Add(10 * time.Millisecond)
			busy = mustCommit(t, s, busy, out(e(fmt.Sprint("busy", i), roster.PersonID(fmt.Sprint("p", i)))))
			now = now.Add(10 * time.Millisecond)
			create(t, s, id, out(e(fmt.Sprint("new", i), "p1")))
			want = append(want, fmt.Sprint("busy", i), fmt.Sprint("new", i))
		}
		if got := claimAndSend(t, s.Outbox(), now, 1); !slices.Equal(got, want) {
			t.Errorf("messages left as %v, want %v", got, want)
		}
	})
}
