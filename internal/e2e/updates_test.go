package e2e

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	goredis "github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/telegram/standin"
)

// update delivers one update to the webhook, as the Bot API server does, and
// returns the status.
func (b *bot) update(raw []byte) int {
	b.t.Helper()
	req, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+"/telegram/webhook",
		strings.NewReader(string(raw)))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("X-Telegram-Bot-Api-Secret-Token", webhookSecret)
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0
	}
	resp.Body.Close()
	return resp.StatusCode
}

// typed is an update in which a diver says something.
func typed(api *standin.Server, d busyDiver, id int64, sent time.Time, text string) []byte {
	who := map[string]any{"id": d.user.ID, "is_bot": false, "first_name": d.user.Name, "language_code": "en"}
	raw, _ := json.Marshal(map[string]any{"update_id": id,
		"message": map[string]any{"message_id": 5_000_000 + id, "date": sent.Unix(),
			"from": who, "chat": map[string]any{"id": d.user.ID, "type": "private"}, "text": text}})
	return raw
}

// sentUpdates are those that contain part, as they went over the wire, the
// newest last. One is there when its call was answered, which may be after the verdict.
func sentUpdates(t *testing.T, api *standin.Server, part string) (raw [][]byte) {
	t.Helper()
	there := api.Wait(func() bool {
		raw = nil
		for _, e := range api.Calls("webhook") {
			if strings.Contains(e.Params["update"], part) {
				raw = append(raw, []byte(e.Params["update"]))
			}
		}
		return len(raw) > 0
	})
	if !there {
		t.Fatalf("no update with %s was sent", part)
	}
	return raw
}

// The same update comes many times at once, and again after a minute, hours and
// two days: it is recorded once and answered once.
func TestUpdatesRepeated(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t)
	c := newClock(t)
	a := startBot(t, r, api, webhook(c.setting())...)
	b := startBot(t, r, api, webhook(c.setting(), "GASMUSTER_PUBLIC_URL="+a.url)...)
	s := seated(t, a, api, 60*time.Hour, 6)
	var updates [][]byte
	for _, d := range s.divers {
		updates = append(updates, typed(api, d, api.NextUpdate(), time.Now(), d.text()))
	}
	deliveries := 0
	deliver := func(times int) {
		t.Helper()
		var all sync.WaitGroup
		var mu sync.Mutex
		for i := range times {
			for _, raw := range updates {
				to := []*bot{a, b}[i%2] // both processes get them
				all.Go(func() {
					status := to.update(raw)
					mu.Lock()
					defer mu.Unlock()
					deliveries++
					if status != http.StatusOK {
						t.Errorf("delivery %d: status %d, want 200", i+1, status)
					}
				})
			}
		}
		all.Wait()
	}
	deliver(8)
	for _, d := range s.divers {
		answered(d.user, d.text())
	}
	for _, later := range []time.Duration{time.Minute, 59 * time.Minute, 23 * time.Hour, 23 * time.Hour} {
		c.step(later)
		deliver(2)
	}
	s.ines.Send("/board") // behind everything that could still be on its way to her
	s.ines.Await("Anvil Ledge")
	t.Logf("%d updates delivered %d times", len(updates), deliveries)
	stored := a.recorded(s.tr) // none of them counts any more by now
	for _, d := range s.divers {
		if got := stored[d.user.Name]; !slices.Equal(got, []float64{d.percent}) {
			t.Errorf("%s: the record has %v, want %v once", d.user.Name, got, d.percent)
		}
		if n := answers(d.user, d.text()); n != 1 {
			t.Errorf("%s: answered %d times, want once", d.user.Name, n)
		}
	}
	if n := r.acts(s.tr, "reading"); n != len(s.divers) {
		t.Errorf("%d readings in the trip's log, want %d", n, len(s.divers))
	}
}

// recorded are the readings on the trip's record, by diver.
func (b *bot) recorded(tr trip) map[string][]float64 {
	b.t.Helper()
	found := map[string][]float64{}
	for _, r := range b.call(http.MethodGet, "/v1/trips/"+tr.id+"/record", nil, http.StatusOK)["readings"].([]any) {
		one := r.(map[string]any)
		name := one["diver"].(string)
		found[name] = append(found[name], one["percent"].(float64))
	}
	return found
}

// Updates overtake each other: an older number that comes after a newer one
// does not take its place unasked, and a button pressed long ago, delivered
// again or pressed again, undoes nothing that came since.
func TestUpdatesOutOfOrder(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t)
	b := startBot(t, r, api, webhook()...)
	s := seated(t, b, api, 3*time.Hour, 3)
	late, undone, edited := s.divers[0], s.divers[1], s.divers[2]

	t.Run("an older number after a newer one", func(t *testing.T) {
		older := typed(api, late, api.NextUpdate(), time.Now().Add(-time.Minute), "30.9")
		newer := typed(api, late, api.NextUpdate(), time.Now(), "31.2")
		for _, raw := range [][]byte{newer, older, newer, older} {
			if status := b.update(raw); status != http.StatusOK {
				t.Fatalf("status %d", status)
			}
		}
		answered(late.user, "31.2")
		late.user.Await("30.9") // asked about
		if got := reading(t, b.board(s.tr), late.user.Name); got != 31.2 {
			t.Errorf("the board has %v, want the newer, 31.2, until the diver says otherwise", got)
		}
		if n := answers(late.user, "31.2"); n != 1 {
			t.Errorf("answered %d times, want once", n)
		}
	})
	t.Run("an old button", func(t *testing.T) {
		undone.user.Send("31.4")
		first := answered(undone.user, "31.4")
		first.Press("Undo")
		undone.user.Await("31.4")
		presses := sentUpdates(t, api, `"callback_query"`)
		undone.user.Send("31.6")
		undone.user.Await("31.6 %")
		for range 3 {
			if status := b.update(presses[len(presses)-1]); status != http.StatusOK {
				t.Errorf("the same press again: status %d", status)
			}
		}
		before := len(undone.user.Messages())
		first.Press("Undo") // by hand, on the old message
		api.Wait(func() bool { return len(undone.user.Messages()) > before })
		if got := reading(t, b.board(s.tr), undone.user.Name); got != 31.6 {
			t.Errorf("the board has %v, want 31.6: the old button is of another reading", got)
		}
		if n := len(undone.user.Messages()) - before; n != 1 {
			t.Errorf("%d answers to the old button, want one, in words", n)
		}
	})
	t.Run("an edit delivered again, and the message before it", func(t *testing.T) {
		id := edited.user.Send("31.1")
		answered(edited.user, "31.1")
		edited.user.Edit(id, "31.3")
		edited.user.Await("31.3 %")
		before := len(edited.user.Messages())
		typed, edits := sentUpdates(t, api, `"text":"31.1"`), sentUpdates(t, api, `"edited_message"`)
		for _, raw := range [][]byte{edits[0], typed[0], edits[0], typed[0]} {
			if status := b.update(raw); status != http.StatusOK {
				t.Errorf("status %d", status)
			}
		}
		s.ines.Send("/board")
		s.ines.Await("Anvil Ledge")
		if got := reading(t, b.board(s.tr), edited.user.Name); got != 31.3 {
			t.Errorf("the board has %v, want the corrected 31.3", got)
		}
		if n := len(edited.user.Messages()); n != before {
			t.Errorf("%d messages after the repetitions, want %d", n, before)
		}
	})
	if left := api.Unanswered(); len(left) > 0 {
		t.Errorf("presses never answered: %v", left)
	}
}

// acts counts what the trip's log in the store says was done, by verb.
func (r *redis) acts(tr trip, verb string) (n int) {
	r.t.Helper()
	c := goredis.NewClient(&goredis.Options{Addr: fmt.Sprintf("127.0.0.1:%d", r.port), DisableIdentity: true})
	defer c.Close()
	acts, err := rdb.New(c).Log(r.t.Context(), roster.TripID(tr.id))
	if err != nil || len(acts) == 0 {
		r.t.Fatalf("the trip's log: %d acts, %v", len(acts), err)
	}
	for _, act := range acts {
		if act.Verb == verb {
			n++
		}
	}
	return n
}
