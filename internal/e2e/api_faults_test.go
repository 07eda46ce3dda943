package e2e

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
)

// apiFault is one way in which the Bot API fails a message, and how often the
// message then arrives: what was in fact taken and never answered comes twice,
// the second time with a word about it.
type apiFault struct {
	name   string
	faults []standin.Fault
	copies int
}

func apiFaults() []apiFault {
	tooMany := standin.Fault{Status: 429, RetryAfter: 2, Description: "Too Many Requests: retry after 2"}
	failed := standin.Fault{Status: 500, Description: "Internal Server Error"}
	return []apiFault{
		{"none", nil, 1},
		{"429", []standin.Fault{tooMany}, 1},
		{"429 twice", []standin.Fault{tooMany, tooMany}, 1},
		{"500", []standin.Fault{failed}, 1},
		{"500 twice", []standin.Fault{failed, failed}, 1},
		{"a gateway's page", []standin.Fault{{Status: 502, Page: "<html>Bad Gateway</html>"}}, 1},
		{"an empty 504", []standin.Fault{{Status: 504, Empty: true}}, 1},
		{"connection closed", []standin.Fault{{Drop: true}}, 1},
		{"connection closed, taken", []standin.Fault{{Drop: true, Applied: true}}, 2},
		{"half an answer", []standin.Fault{{Half: true}}, 2},
		{"never answered", []standin.Fault{{Hang: true}}, 1},
		{"never answered, taken", []standin.Fault{{Hang: true, Applied: true}}, 2},
	}
}

// The Bot API fails in every way it can, each for another diver: answers to
// readings and the evening message arrive all the same, twice only where the
// first copy was taken and nobody was told, and then it says so.
func TestBotAPIFails(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 2 * time.Minute})
	b := startBot(t, r, api, webhook()...)
	kinds := apiFaults()
	s := seated(t, b, api, 3*time.Hour, len(kinds))
	plan, sum := "Dive 1: Anvil Ledge", tally{acknowledged: len(kinds)}
	until(t, "everybody has the plan and was asked", func() bool {
		return !slices.ContainsFunc(s.divers, func(d busyDiver) bool {
			return copies(d.user, plan) != 1 || copies(d.user, "Did you dive in the last 24 hours?") != 1
		})
	})
	script := func() {
		for i, k := range kinds {
			for _, f := range k.faults {
				f.Method, f.Chat = "sendMessage", s.divers[i].user.ID
				api.Fault(f)
			}
		}
	}
	arrived := func(what func(busyDiver) string, more int) {
		t.Helper()
		for i, k := range kinds {
			d := s.divers[i]
			api.Wait(func() bool { return copies(d.user, what(d)) >= k.copies+more })
			n, labelled := copies(d.user, what(d))-more, copies(d.user, what(d), repeatLabel)
			if n != k.copies {
				t.Errorf("%s: %q came %d times, want %d", k.name, what(d), n, k.copies)
			}
			if n > 0 && n-labelled > 1 {
				t.Errorf("%s: %q: %d copies of which %d say that they are", k.name, what(d), n, labelled)
			}
			if n == 0 {
				sum.lost++
				continue
			}
			sum.sent++
			sum.repeated += n - 1
		}
	}
	script()
	for _, d := range s.divers {
		d.user.Send(d.text())
	}
	arrived(func(d busyDiver) string { return labelled(d.text()) }, 0)
	api.ClearFaults()
	script()
	b.call(http.MethodPost, "/v1/trips/"+s.tr.id+"/announce", map[string]any{}, http.StatusOK)
	arrived(func(busyDiver) string { return plan }, 1)
	board := b.board(s.tr)
	for _, d := range s.divers {
		if got := reading(t, board, d.user.Name); got == d.percent {
			sum.stored++
		} else {
			sum.lost++
			t.Errorf("%s: the board has %v, want %v", d.user.Name, got, d.percent)
		}
	}
	t.Logf("%d ways to fail, for answers and for the plan said again: %v", len(kinds)-1, sum)
	if b.ready() != http.StatusOK {
		t.Error("not ready, though the store is there: pages would be turned away")
	}
}

// Everything is refused as too much for a while: the whole bot pauses, and then
// everything arrives, once.
func TestBotAPIIsFlooded(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 2 * time.Minute})
	b := startBot(t, r, api, webhook()...)
	s := seated(t, b, api, 3*time.Hour, 10)
	api.Fault(standin.Fault{Method: "sendMessage", Times: 12, Status: 429, RetryAfter: 1,
		Description: "Too Many Requests: retry after 1"})
	for _, d := range s.divers {
		d.user.Send(d.text())
	}
	for _, d := range s.divers {
		answered(d.user, d.text())
	}
	refused := 0
	for _, e := range api.Calls("sendMessage") {
		if e.Status == http.StatusTooManyRequests {
			refused++
		}
	}
	sum := s.count(t, b)
	t.Logf("%d refusals with 429: %v", refused, sum)
	if refused != 12 || sum.repeated > 0 || sum.lost > 0 {
		t.Errorf("%d refusals, %v; want 12, nothing repeated or lost", refused, sum)
	}
}

// Somebody can't be written to any more: the reading counts, the leader is told
// by name, and whoever writes again is heard and answered.
func TestBotAPIRefuses(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t)
	c := newClock(t)
	b := startBot(t, r, api, webhook(c.setting())...)
	s := seated(t, b, api, 3*time.Hour, 3)
	// so that the answer to the reading is refused, no earlier message
	until(t, "everybody has all that joining brings", func() bool {
		return !slices.ContainsFunc(s.divers, func(d busyDiver) bool {
			return copies(d.user, "Hello "+d.user.Name) == 0 || copies(d.user, "Did you dive in the last 24 hours?") == 0
		})
	})
	refusals := []standin.Fault{
		{Status: 403, Description: "Forbidden: bot was blocked by the user"},
		{Status: 400, Description: "Bad Request: chat not found"},
		{Status: 400, Description: "Bad Request: SOMETHING_NEW"},
	}
	for i, f := range refusals {
		d := s.divers[i]
		f.Method, f.Chat = "sendMessage", d.user.ID
		api.Fault(f)
		d.user.Send(d.text())
	}
	patiently(t, "all three are unreachable on the board", func() bool {
		got, _ := b.board(s.tr)["unreachable"].([]any)
		return len(got) == len(refusals)
	})
	c.step(time.Minute) // news within a minute come as one message
	until(t, "the leader is told of all three", func() bool {
		return !slices.ContainsFunc(s.divers, func(d busyDiver) bool {
			return copies(s.ines,
				d.user.Name+" can't be reached") != 1
		})
	})
	board := b.board(s.tr)
	sum := tally{acknowledged: len(refusals)}
	for _, d := range s.divers {
		if got := reading(t, board, d.user.Name); got != d.percent {
			sum.lost++
			t.Errorf("%s: the board has %v, want %v", d.user.Name, got, d.percent)
			continue
		}
		sum.stored++
		d.user.Send("/gas")
		d.user.Await(d.text()+" %", "the local rules come first") // no verdict that came late
		sum.sent++
	}
	if got, _ := b.board(s.tr)["unreachable"].([]any); len(got) > 0 {
		t.Errorf("all wrote again, and %v can't be reached", got)
	}
	t.Logf("403, 400 and another 400: %v", sum)
}

// A linked group becomes a supergroup: whether Telegram says so by itself or
// only when the bot writes to the old one, the group hears on.
func TestGroupIsUpgraded(t *testing.T) {
	t.Parallel()
	for _, told := range []bool{true, false} {
		t.Run(fmt.Sprintf("told %v", told), func(t *testing.T) {
			t.Parallel()
			r := startRedis(t)
			api := standin.New(t)
			c := newClock(t)
			b := startBot(t, r, api, webhook(c.setting())...)
			s := seated(t, b, api, 2*time.Hour+10*time.Minute, 2)
			group := api.Group(-50, "Saturday two-tank")
			group.Send(s.ines, "/link")
			group.Await("Saturday two-tank")
			grown := group.Upgrade(-100_50, told)
			if told && !api.Settled() {
				t.Fatal("the news of it was not acknowledged")
			}
			c.step(88 * time.Minute) // three quarters of an hour before departure the group hears who is missing
			grown.Await("Diver 00", "Diver 01")
			if !told {
				if n := len(moves(api)); n != 1 {
					t.Errorf("%d messages met the old group, want 1: then its new id is known", n)
				}
			}
			grown.Send(s.ines, "/board")
			until(t, "the new group is answered", func() bool { return len(grown.Messages()) >= 2 })
			c.step(25 * time.Minute) // and again, without going by the old id
			until(t, "the second reminder", func() bool { return countIn(grown, "Diver 00", "still have to report") >= 2 })
			want := 1
			if told {
				want = 0
			}
			if n := len(moves(api)); n != want {
				t.Errorf("%d messages met the old group, want %d", n, want)
			}
			t.Logf("the new group got %d messages, the old one %d", len(grown.Messages()), len(group.Messages()))
		})
	}
}

// moves are the messages that were refused with the new id of their group.
func moves(api *standin.Server) (met []standin.Exchange) {
	for _, e := range api.Calls("sendMessage") {
		if strings.Contains(e.Answer, "migrate_to_chat_id") {
			met = append(met, e)
		}
	}
	return met
}

func countIn(g *standin.Group, parts ...string) (n int) {
	for _, m := range g.Messages() {
		if !slices.ContainsFunc(parts, func(p string) bool { return !strings.Contains(m.Text, p) }) {
			n++
		}
	}
	return n
}
