package e2e

import (
	"bytes"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// The clock that can be set is in the build for tests only.
func TestOnlyTheTestBuildHasASettableClock(t *testing.T) {
	for _, c := range []struct {
		build func() (string, error)
		want  bool
	}{{built, false}, {settable, true}} {
		path, err := c.build()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got := bytes.Contains(raw, []byte(clockFile)); got != c.want {
			t.Errorf("%s: names %s: %v, want %v", path, clockFile, got, c.want)
		}
	}
}

// seats is a trip with divers who joined and reported nothing yet.
type seats struct {
	tr     trip
	ines   *standin.User
	divers []busyDiver
}

// seated sends a trip in that leaves after a while, and seats n divers on it.
func seated(t *testing.T, b *bot, api *standin.Server, departs time.Duration, n int) seats {
	t.Helper()
	body := charter()
	body["departs_at"] = time.Now().Add(departs).UTC().Format(time.RFC3339)
	var list []any
	for i := range n {
		list = append(list, map[string]any{"name": fmt.Sprintf("Diver %02d", i), "card": "seen", "language": "en",
			"cylinders": []any{map[string]any{"asked": 31, "dive": 1}}})
	}
	body["divers"] = list
	s := seats{tr: b.create(body), ines: api.User(1001, "Inês", "en")}
	s.ines.Start(s.tr.codes["Inês"])
	s.ines.Await("Hello Inês")
	for i := range n {
		d := busyDiver{user: api.User(int64(10_000+i), fmt.Sprintf("Diver %02d", i), "en"), percent: 30 + float64(i%9)/10}
		d.user.Start(s.tr.codes[d.user.Name])
		s.divers = append(s.divers, d)
	}
	for _, d := range s.divers {
		d.user.Await("Hello " + d.user.Name)
	}
	return s
}

// haveEvening waits until every diver has the evening message, so that what fails
// later is the answer to a reading.
func (s seats) haveEvening(t *testing.T) {
	t.Helper()
	until(t, "everybody has the evening message", func() bool {
		return !slices.ContainsFunc(s.divers, func(d busyDiver) bool { return copies(d.user, "No signal, dive 1") == 0 })
	})
}

// copies counts the bot's messages to somebody that contain all parts.
func copies(u *standin.User, parts ...string) (n int) {
	for _, m := range u.Messages() {
		ok := true
		for _, p := range parts {
			ok = ok && strings.Contains(standin.Plain(m.Text), standin.Plain(p))
		}
		if ok {
			n++
		}
	}
	return n
}

// count is what became of the divers' readings, all of which were acknowledged.
func (s seats) count(t *testing.T, b *bot) tally {
	t.Helper()
	sum := tally{acknowledged: len(s.divers)}
	board := b.board(s.tr)
	for _, d := range s.divers {
		if got := reading(t, board, d.user.Name); got == d.percent {
			sum.stored++
		} else {
			sum.lost++
			t.Errorf("%s: the board has %v, want %v", d.user.Name, got, d.percent)
		}
		if n := answers(d.user, d.text()); n > 0 {
			sum.sent++
			sum.repeated += n - 1
		} else {
			sum.lost++
			t.Errorf("%s: the answer to %s never came", d.user.Name, d.text())
		}
	}
	return sum
}

// verdicts is everybody's status on the board.
func verdicts(board map[string]any) string {
	var b strings.Builder
	fmt.Fprint(&b, board["status"])
	for _, d := range board["divers"].([]any) {
		p := d.(map[string]any)
		fmt.Fprintf(&b, ", %v %v", p["name"], p["status"])
	}
	return b.String()
}

// The clock is stepped forward and back an hour, several times, while divers
// report: every reading is stored and answered long before that hour is over, no
// reminder comes twice, no verdict changes.
func TestClockStepped(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 2 * time.Minute})
	c := newClock(t)
	b := startBot(t, r, api, webhook(c.setting())...)
	steps := []time.Duration{time.Hour, -time.Hour, -time.Hour, time.Hour, time.Hour, -time.Hour}
	// In fifty minutes cylinders are ready: the first step brings the message.
	s := seated(t, b, api, 140*time.Minute, 4*len(steps)+1)
	silent := s.divers[len(s.divers)-1] // reports at the very end
	s.haveEvening(t)
	for i, by := range steps {
		before, during := s.divers[4*i:4*i+2], s.divers[4*i+2:4*i+4]
		for _, d := range before {
			d.user.Send(d.text())
			answered(d.user, d.text())
		}
		was := verdicts(b.board(s.tr))
		for _, d := range during {
			d.user.Send(d.text()) // on its way
		}
		api.DeliverTwice(2)
		c.step(by)
		for _, d := range during {
			answered(d.user, d.text())
		}
		for _, d := range during { // their own verdicts are new, nobody else's is
			was = strings.Replace(was, d.user.Name+" not-cleared", d.user.Name+" go", 1)
		}
		if got := verdicts(b.board(s.tr)); got != was {
			t.Errorf("step %d, %v: the board says\n%s\nwant\n%s", i+1, by, got, was)
		}
		until(t, "the morning message is there", func() bool { return copies(silent.user, "Cylinders are ready") == 1 })
	}
	silent.user.Send(silent.text())
	answered(silent.user, silent.text())
	if !api.Settled() {
		t.Errorf("%d updates never acknowledged", api.Pending())
	}
	for _, d := range append([]busyDiver{{user: s.ines}}, s.divers...) {
		if n := copies(d.user, "Dive 1: Anvil Ledge"); n != 1 {
			t.Errorf("%s: the plan came %d times, want 1", d.user.Name, n)
		}
		if n := copies(d.user, "Cylinders are ready"); n > 1 {
			t.Errorf("%s: %d morning messages, want at most 1", d.user.Name, n)
		}
	}
	sum := s.count(t, b)
	t.Logf("%d steps of an hour: %v", len(steps), sum)
	if sum.repeated > 0 || sum.lost > 0 {
		t.Errorf("%v, want nothing repeated or lost", sum)
	}
}

// What is in hand, held up or put back when the clock goes back an hour does not
// wait that hour; a fill noted after the step voids what was read before it.
func TestClockSetBackWithLettersInHand(t *testing.T) {
	t.Parallel()
	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 3 * time.Minute})
	c := newClock(t)
	port := testport.Free(t)
	settings := webhook(c.setting(), listenOn(port), "GASMUSTER_PUBLIC_URL="+localURL(port))
	b := startBot(t, r, api, settings...)
	s := seated(t, b, api, 5*time.Hour, 4)
	s.haveEvening(t)
	inHand, held, putBack, plain := s.divers[0], s.divers[1], s.divers[2], s.divers[3]
	plain.user.Send(plain.text())
	answered(plain.user, plain.text())

	// One answer is in hand when the process is killed, one is held up by the
	// API for three seconds, one is put back since the API failed.
	api.Fault(standin.Fault{Method: "sendMessage", Chat: held.user.ID, Status: 429, RetryAfter: 3,
		Description: "Too Many Requests: retry after 3"})
	api.Fault(standin.Fault{Method: "sendMessage", Chat: putBack.user.ID, Status: 500,
		Description: "Internal Server Error"})
	api.Fault(standin.Fault{Method: "sendMessage", Chat: inHand.user.ID, Hang: true})
	for _, d := range []busyDiver{held, putBack, inHand} {
		d.user.Send(d.text())
	}
	until(t, "all three were tried", func() bool {
		return tried(api, held, 429) && tried(api, putBack, 500) && tried(api, inHand, 0)
	})
	b.kill()
	c.step(-time.Hour)
	began := time.Now()
	b = startBot(t, r, api, settings...)
	answered(held.user, held.text())
	answered(putBack.user, putBack.text())
	quick := time.Since(began)
	answered(inHand.user, inHand.text())
	t.Logf("set back an hour: held up and put back came %v after the step, what a dead process had in hand after %v",
		quick.Round(time.Second), time.Since(began).Round(time.Second))
	sum := s.count(t, b)
	t.Logf("one kill, one step back: %v", sum)
	if sum.repeated > 0 || sum.lost > 0 {
		t.Errorf("%v, want nothing repeated or lost", sum)
	}

	// The gas is another one now, whatever the clock says.
	board := b.board(s.tr)
	cylinder := person(t, board, plain.user.Name)["cylinders"].([]any)[0].(map[string]any)["id"].(string)
	b.call(http.MethodPost, "/v1/trips/"+s.tr.id+"/fills/"+cylinder, map[string]any{}, http.StatusOK)
	if got := person(t, b.board(s.tr), plain.user.Name)["status"]; got != "not-cleared" {
		t.Errorf("filled after the step, not analysed: %v, want not-cleared", got)
	}
	plain.user.Send("31.5")
	answered(plain.user, "31.5")
	if got := person(t, b.board(s.tr), plain.user.Name)["status"]; got != "go" {
		t.Errorf("analysed after the fill: %v, want go", got)
	}
}

// tried tells whether a message to a diver met that answer, 0 for none.
func tried(api *standin.Server, d busyDiver, status int) bool {
	for _, e := range api.Calls("sendMessage") {
		if e.Status == status && e.Params["chat_id"] == fmt.Sprint(d.user.ID) {
			return true
		}
	}
	return false
}
