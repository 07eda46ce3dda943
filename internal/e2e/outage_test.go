package e2e

import (
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// Redis stops in the middle of the day. What was acknowledged before is there
// after its return; what was sent meanwhile is delivered again by the Bot API
// server, and on the page the person is told that it was not recorded.
func TestRedisStoppedInTheMiddle(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	b := startBot(t, r, api, webhook()...)
	tr := b.create(charter())
	c := b.joinAll(api, tr)
	c.marit.Send("30.9")
	answered(c.marit, "30.9")

	r.stop()
	until(t, "readiness is off", func() bool { return b.ready() == http.StatusServiceUnavailable })
	c.tomasz.Send("31.2")
	until(t, "the update was refused", func() bool { return delivered(api, "31.2", http.StatusServiceUnavailable) })
	status, page := post(t, tr.pages["Inês"], "/board")
	if status < 400 || !strings.Contains(strings.ToUpper(page), "NOT RECORDED") {
		t.Errorf("the page said %d %q, want that it was not recorded", status, page)
	}
	for _, m := range c.tomasz.Messages() {
		if claimsStored(m) {
			t.Errorf("Tomasz was told %q while nothing could be stored", m.Text)
		}
	}
	if status, _ := b.ask(http.MethodGet, "/v1/trips/"+tr.id, nil); status < 500 {
		t.Errorf("the shop's API answered %d without a store", status)
	}

	r.start()
	answered(c.tomasz, "31.2")
	until(t, "ready again", func() bool { return b.ready() == http.StatusOK })
	board := b.board(tr)
	if m, z := reading(t, board, "Marit"), reading(t, board, "Tomasz"); m != 30.9 || z != 31.2 {
		t.Errorf("after the return Marit has %v and Tomasz %v, want 30.9 and 31.2", m, z)
	}
	saidOnce(t, api, c)
}

// delivered tells whether an update with that text was answered with a status.
func delivered(api *standin.Server, text string, status int) bool {
	return slices.ContainsFunc(api.Calls("webhook"), func(e standin.Exchange) bool {
		return e.Status == status && strings.Contains(e.Params["update"], `"text":"`+text+`"`)
	})
}

// post types on a chat page and returns what the page says.
func post(t *testing.T, page, text string) (int, string) {
	t.Helper()
	resp, err := http.PostForm(page+"/messages", url.Values{"text": {text}, "id": {"client-message-1"}})
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, string(body)
}

// The process is killed in the middle of a burst; a new one carries on. Nothing
// that was acknowledged is missing.
func TestKilledInTheMiddle(t *testing.T) {
	t.Parallel() // most of its time is waiting for a lease
	r := startRedis(t)
	// A letter that the dead process had in hand is free when its lease ends.
	api := standin.New(t, standin.Options{Patience: 2 * time.Minute})
	port := testport.Free(t)
	public := "GASMUSTER_PUBLIC_URL=" + localURL(port)
	b := startBot(t, r, api, append(webhook(public), listenOn(port))...)
	tr := b.create(charter())
	c := b.joinAll(api, tr)
	c.marit.Send("30.9")
	c.tomasz.Send("31.2")
	until(t, "one of the two is stored", func() bool {
		return delivered(api, "30.9", http.StatusOK) || delivered(api, "31.2", http.StatusOK)
	})
	b.kill()
	b = startBot(t, r, api, append(webhook(public), listenOn(port))...)
	c.marit.Await("30.9 %")
	c.tomasz.Await("31.2 %")
	board := b.board(tr)
	if m, z := reading(t, board, "Marit"), reading(t, board, "Tomasz"); m != 30.9 || z != 31.2 {
		t.Errorf("Marit has %v and Tomasz %v, want 30.9 and 31.2", m, z)
	}
}
