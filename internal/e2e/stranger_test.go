package e2e

import (
	"encoding/json"
	"net/http"
	"sync"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
)

// A stranger's update is handed to both of two processes, at once and again:
// nothing of it is stored that could tell, and it is answered once all the same.
func TestStrangerIsAnsweredOnceByTwoProcesses(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t)
	a := startBot(t, r, api, webhook()...)
	b := startBot(t, r, api, webhook("GASMUSTER_PUBLIC_URL="+a.url)...)
	const strangers = 6
	var users []*standin.User
	var all sync.WaitGroup
	for i := range strangers {
		u := api.User(int64(7000+i), "Nobody", "en")
		users = append(users, u)
		u.Start("") // nobody can be written to before
		until(t, "the stranger is greeted", func() bool { return len(u.Messages()) == 1 })
		raw := typed(api, busyDiver{user: u}, api.NextUpdate(), time.Now(), "hello?")
		for range 2 {
			for _, to := range []*bot{a, b} {
				all.Go(func() {
					if status := to.update(raw); status != http.StatusOK {
						t.Errorf("status %d, want 200", status)
					}
				})
			}
		}
	}
	all.Wait()
	for _, u := range users {
		until(t, "the stranger is answered", func() bool { return len(u.Messages()) > 1 })
	}
	a.stop() // whatever either still had to say is said or in its log
	b.stop()
	for _, u := range users {
		if n := len(u.Messages()) - 1; n != 1 {
			words, _ := json.Marshal(u.Messages())
			t.Errorf("answered %d times, want once: %s", n, words)
		}
	}
}
