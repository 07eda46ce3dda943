package e2e

import (
	"fmt"
	"net/http"
	"sync"
	"testing"

	"gasmuster/internal/telegram/standin"
)

// Two processes on one Redis: one gets the updates, both beat, both send.
// Everybody is answered once, and either may go.
func TestTwoProcessesOnOneRedis(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	a := startBot(t, r, api, webhook()...)
	b := startBot(t, r, api, webhook("GASMUSTER_PUBLIC_URL="+a.url)...)
	body := charter()
	divers := body["divers"].([]any)
	for i := range 10 {
		divers = append(divers, map[string]any{"name": fmt.Sprintf("Diver %02d", i), "card": "seen", "language": "en",
			"cylinders": []any{map[string]any{"asked": 31, "dive": 1}}})
	}
	body["divers"] = divers
	tr := b.create(body)
	c := a.joinAll(api, tr)
	var more []*standin.User
	for i := range 10 {
		u := api.User(int64(2000+i), fmt.Sprintf("Diver %02d", i), "en")
		u.Start(tr.codes[u.Name])
		more = append(more, u)
	}
	for i, u := range more {
		u.Await("Hello")
		u.Send(fmt.Sprintf("30.%d", i))
	}
	patchWhileTheyReport(t, b, tr)
	for i, u := range more {
		u.Await(fmt.Sprintf("30.%d %%", i))
	}
	board := a.board(tr)
	for i, u := range more {
		if got, want := reading(t, board, u.Name), 30+float64(i)/10; got != want {
			t.Errorf("%s: the board has %v, want %v", u.Name, got, want)
		}
	}
	saidOnce(t, api, c, more...)

	a.stop()
	before := len(more[0].Messages())
	b.call(http.MethodPost, "/v1/trips/"+tr.id+"/announce", map[string]any{}, http.StatusOK)
	until(t, "the one that is left sends", func() bool { return len(more[0].Messages()) > before })
}

// patchWhileTheyReport changes the trip through the other process, so that
// the two conflict at the store.
func patchWhileTheyReport(t *testing.T, b *bot, tr trip) {
	t.Helper()
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			b.call(http.MethodPatch, "/v1/trips/"+tr.id, map[string]any{"name": fmt.Sprintf("Saturday two-tank %d", i)},
				http.StatusOK)
		})
	}
	all.Wait()
}
