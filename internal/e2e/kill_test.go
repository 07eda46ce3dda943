package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// amount is a number of this test run: small in "make test", the full one in
// "make test-all" (E2E_FULL=1).
func amount(small, full int) int {
	if os.Getenv("E2E_FULL") != "" {
		return full
	}
	return small
}

// busyDiver is one of many, with the one number that this diver reports.
type busyDiver struct {
	user    *standin.User
	code    string
	trip    int
	percent float64
}

func (d busyDiver) text() string { return strconv.FormatFloat(d.percent, 'f', 1, 64) }

// morning is a busy one: many trips, all at once.
type morning struct {
	t      *testing.T
	trips  []trip
	divers []busyDiver
}

// busyMorning sends trips in, each with the same number of divers.
func busyMorning(t *testing.T, b *bot, api *standin.Server, trips, each int) *morning {
	t.Helper()
	m := &morning{t: t}
	for i := range trips {
		body := charter()
		var divers []any
		for j := range each {
			divers = append(divers, map[string]any{"name": fmt.Sprintf("Diver %02d-%02d", i, j), "card": "seen",
				"language":  "en",
				"cylinders": []any{map[string]any{"asked": 31, "dive": 1}}})
		}
		body["divers"] = divers
		tr := b.create(body)
		m.trips = append(m.trips, tr)
		for j := range each {
			name := fmt.Sprintf("Diver %02d-%02d", i, j)
			m.divers = append(m.divers, busyDiver{user: api.User(int64(10_000+100*i+j), name, "en"), code: tr.codes[name],
				trip: i, percent: 30 + float64(1+(i+j)%9)/10})
		}
	}
	return m
}

// tally is what became of everything that was acknowledged.
type tally struct{ acknowledged, stored, sent, repeated, lost int }

func (s tally) String() string {
	return fmt.Sprintf("acknowledged %d, stored %d, sent %d, repeated %d, lost %d", s.acknowledged, s.stored, s.sent,
		s.repeated, s.lost)
}

// reports tells whether a message is the answer to the diver's reading.
func (d busyDiver) answered(m standin.Message) bool { return isAnswer(m, d.text()) }

// evening tells whether a message is the evening-before one.
func (d busyDiver) evening(m standin.Message) bool {
	return strings.Contains(m.Text, "No signal, dive 1")
}

// repeatLabel stands at the head of a message that may have arrived before.
const repeatLabel = "Sent again"

// count looks at the boards and at every phone. A copy without the label is a
// repetition that nobody was told of.
func (m *morning) count(b *bot, api *standin.Server) tally {
	m.t.Helper()
	s := tally{acknowledged: m.acknowledged(api)}
	boards := make([]map[string]any, len(m.trips))
	for i, tr := range m.trips {
		boards[i] = b.board(tr)
	}
	for _, d := range m.divers {
		if got := reading(m.t, boards[d.trip], d.user.Name); got == d.percent {
			s.stored++
		} else {
			s.lost++
			m.t.Errorf("%s: the board has %v, want %v", d.user.Name, got, d.percent)
		}
		for _, is := range []func(standin.Message) bool{d.answered, d.evening} {
			copies, plain := 0, 0
			for _, msg := range d.user.Messages() {
				if is(msg) {
					copies++
					if !strings.Contains(msg.Text, repeatLabel) {
						plain++
					}
				}
			}
			if plain > 1 {
				m.t.Errorf("%s: %d copies of one message without a word that they are copies", d.user.Name, plain)
			}
			if copies == 0 {
				s.lost++
				m.t.Errorf("%s: a message never came", d.user.Name)
				continue
			}
			s.sent++
			s.repeated += copies - 1
		}
	}
	return s
}

// acknowledged counts the readings that the program has taken.
func (m *morning) acknowledged(api *standin.Server) (n int) {
	for _, e := range api.Calls("webhook") {
		if e.Status == http.StatusOK && strings.Contains(e.Params["update"], `"text":"30.`) {
			n++
		}
	}
	return n
}

// arrived tells whether every diver has the answer and the evening message.
func (m *morning) arrived() bool {
	for _, d := range m.divers {
		var a, e bool
		for _, msg := range d.user.Messages() {
			a, e = a || d.answered(msg), e || d.evening(msg)
		}
		if !a || !e {
			return false
		}
	}
	return true
}

// announce asks for the evening message until it is acknowledged.
func announce(t *testing.T, b *bot, tr trip) {
	t.Helper()
	until(t, "the announcement is acknowledged", func() bool {
		body, _ := json.Marshal(map[string]any{})
		req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, b.url+"/v1/trips/"+tr.id+"/announce",
			bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Authorization", "Bearer "+shopKey)
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Idempotency-Key", "announce-"+tr.id)
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			return false
		}
		resp.Body.Close()
		return resp.StatusCode == http.StatusOK
	})
}

// The process is killed at random moments of a busy morning, again and again.
// No acknowledged reading is missing, no reminder is lost, and a message is
// repeated at most once for each kill, and says so.
func TestKilledAgainAndAgain(t *testing.T) {
	t.Parallel()
	kills, trips, each := amount(10, 200), amount(4, 20), amount(8, 15)
	seed := uint64(time.Now().UnixNano())
	t.Logf("%d kills, %d trips of %d divers, seed %d", kills, trips, each, seed)
	random := rand.New(rand.NewPCG(seed, 0))

	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 3 * time.Minute})
	port := testport.Free(t)
	settings := append(webhook("GASMUSTER_PUBLIC_URL="+localURL(port)), listenOn(port))
	b := startBot(t, r, api, settings...)
	m := busyMorning(t, b, api, trips, each)

	share := max(1, len(m.divers)/kills)
	next, announced := 0, 0
	for k := range kills {
		// Before its divers join: who joins is told what the evening before says.
		if announced < trips && k%max(1, kills/trips) == 0 {
			announce(t, b, m.trips[announced])
			announced++
		}
		for range share {
			if next < len(m.divers) {
				m.divers[next].user.Start(m.divers[next].code)
				m.divers[next].user.Send(m.divers[next].text())
				next++
			}
		}
		moment := time.NewTimer(time.Duration(random.IntN(150)) * time.Millisecond)
		<-moment.C
		b.kill()
		b = startBot(t, r, api, settings...)
	}
	for ; next < len(m.divers); next++ {
		m.divers[next].user.Start(m.divers[next].code)
		m.divers[next].user.Send(m.divers[next].text())
	}
	for ; announced < trips; announced++ {
		announce(t, b, m.trips[announced])
	}
	if !api.Settled() {
		t.Fatalf("%d updates never acknowledged", api.Pending())
	}
	api.Wait(m.arrived)
	s := m.count(b, api)
	t.Logf("%d kills: %v", kills, s)
	if limit := kills * 8; s.repeated > limit { // eight workers have one letter each in hand
		t.Errorf("%d repetitions, want at most %d, one for each letter in hand", s.repeated, limit)
	}
}
