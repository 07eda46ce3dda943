package e2e

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	goredis "github.com/redis/go-redis/v9"

	"gasmuster/internal/telegram/standin"
)

// fill stores so much that the server needs seconds to read it back. The delay
// of each key is a setting of redis-server for tests like this one.
func (r *redis) fill(keys int) {
	r.t.Helper()
	c := goredis.NewClient(&goredis.Options{Addr: fmt.Sprintf("127.0.0.1:%d", r.port), DisableIdentity: true})
	defer c.Close()
	pipe := c.Pipeline()
	for i := range keys {
		pipe.Set(r.t.Context(), fmt.Sprintf("ballast:%d", i), "x", 0)
	}
	if _, err := pipe.Exec(r.t.Context()); err != nil {
		r.t.Fatal(err)
	}
}

// loading tells whether the server answers that it is reading its files.
func (r *redis) loading() bool {
	c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", r.port))
	if err != nil {
		return false
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(20 * time.Second))
	fmt.Fprint(c, "PING\r\n")
	answer := make([]byte, len("-LOADING"))
	_, err = io.ReadFull(c, answer)
	return err == nil && string(answer) == "-LOADING"
}

// Redis is killed and comes back with much to read: for seconds it answers
// LOADING. Nobody is told "recorded" meanwhile, readiness is off, and all that
// was acknowledged is there when the service has recovered by itself.
func TestRedisLoading(t *testing.T) {
	t.Parallel()
	r := startRedisWith(t, "--key-load-delay", "250", "--loading-process-events-interval-bytes", "1024")
	api := standin.New(t, standin.Options{Patience: 2 * time.Minute})
	b := startBot(t, r, api, webhook()...)
	s := seated(t, b, api, 3*time.Hour, 4)
	early, late := s.divers[:2], s.divers[2:]
	for _, d := range early {
		d.user.Send(d.text())
		answered(d.user, d.text())
	}
	r.fill(400_000) // a hundred seconds of loading, which the test ends
	r.stop()
	r.launch()
	until(t, "the server answers LOADING", r.loading)
	for _, d := range late {
		d.user.Send(d.text())
	}
	until(t, "readiness is off", func() bool { return b.ready() == http.StatusServiceUnavailable })
	until(t, "the updates were refused", func() bool {
		return delivered(api, late[0].text(), http.StatusServiceUnavailable) &&
			delivered(api, late[1].text(), http.StatusServiceUnavailable)
	})
	status, page := post(t, s.tr.pages["Inês"], "/board")
	stillLoading := r.loading()
	if stillLoading && (status < 400 || !strings.Contains(strings.ToUpper(page), "NOT RECORDED")) {
		t.Errorf("the page said %d %q, want that it was not recorded", status, page)
	}
	for _, d := range late {
		if slices.ContainsFunc(d.user.Messages(), claimsStored) && r.loading() {
			t.Errorf("%s was told that it was recorded while nothing could be stored", d.user.Name)
		}
	}
	if !stillLoading {
		t.Error("the server was done before the test was: it proves nothing")
	}
	r.say("CONFIG", "SET", "key-load-delay", "0")
	for _, d := range late {
		answered(d.user, d.text())
	}
	until(t, "ready again", func() bool { return b.ready() == http.StatusOK })
	sum := s.count(t, b)
	t.Logf("Redis loading: %v", sum)
	if sum.repeated > 0 || sum.lost > 0 {
		t.Errorf("%v, want nothing repeated or lost", sum)
	}
}
