package load

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// An hour of a thousand boats at three times their natural pace, which is three
// hours from the first diver at the dock to the boat's departure. A diver reports
// two cylinders and corrects one number; the leader looks at the board six times.
const (
	hourBoats = 1000 // LOAD_BOATS of them
	looks     = 6
	paces     = 25 * time.Second // between two things that one diver says
)

// hourSaid is what a diver types, with the number that the verdict quotes.
var hourSaid = []struct{ text, quoted string }{{"A%d 31.4", "31.4"}, {"B%d 35.8", "35.8"}, {"no, 35.6", "35.6"}}

// BenchmarkHour is that load on one built program and on three, for LOAD_MINUTES
// (sixty in "make hour"): how long divers wait for their verdicts in the first sixth
// and in the last, and what the programs and the store hold then and after all trips
// are erased. Without the setting it is passed over.
func BenchmarkHour(b *testing.B) {
	minutes := setting("LOAD_MINUTES", 0)
	if minutes == 0 {
		b.Skip("LOAD_MINUTES=60 runs it")
	}
	for _, n := range []int{1, 3} {
		b.Run(map[int]string{1: "one", 3: "three"}[n], func(b *testing.B) {
			for b.Loop() {
				newHour(b, n, time.Duration(minutes)*time.Minute).measure()
			}
		})
	}
}

// hour is one such load.
type hour struct {
	b        *testing.B
	e        embedded // stores boats and erases them; sends nothing
	redis    *redisServer
	api      *quotingAPI
	programs []*program
	client   *http.Client
	boats    []*boat
	period   time.Duration
	lasting  int // entries of keys that do not expire, before there was anything
}

func newHour(b *testing.B, programs int, period time.Duration) *hour {
	h := &hour{b: b, redis: startRedis(b, "everysec"), api: &quotingAPI{came: map[quote]time.Time{}}, period: period,
		client: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: connections, MaxConnsPerHost: connections}}}
	address := h.api.start(b)
	path := buildProgram(b)
	for range programs {
		h.programs = append(h.programs, start(b, path, h.redis.url(), address))
	}
	h.e = embed(b, h.redis.client(b), address, time.Now)
	h.comeAndGo()
	h.lasting = h.forever()
	n := setting("LOAD_BOATS", hourBoats)
	h.boats = make([]*boat, n)
	began := time.Now()
	atOnce(b, n, func(ctx context.Context, i int) error {
		h.boats[i] = newBoat(1_000_000+int64(100*i), divers, began)
		// Departures go on past the end: some boats are late, none has left for long.
		departs := began.Add(period + time.Duration(i)*period/time.Duration(n))
		h.boats[i].draft.EditPlan().Departs = departs.Truncate(time.Second)
		return h.boats[i].store(ctx, h.e)
	})
	return h
}

// storeParts is in how many parts the store lies: each counts its letters, for good.
const storeParts = 16

// comeAndGo stores boats and erases them, so that what the store keeps for good is
// there, but those counters.
func (h *hour) comeAndGo() {
	for _, boat := range fleet(h.b, h.e, 9_000_000, 200, 1, time.Now()) {
		if err := h.e.Door.EraseTrip(h.b.Context(), "bluebarrel", boat.trip.ID); err != nil {
			h.b.Fatal(err)
		}
	}
}

// measure plays the hour and reports it. In the first sixth the boats that all came at
// once are told what is still to be done, so that the second is what the last is
// compared with.
func (h *hour) measure() {
	calls := h.calls()
	quiet := h.held()
	waits, memory := h.play(calls)
	sixth := h.period / 6
	first, last := between(waits, sixth, 2*sixth), between(waits, h.period-sixth, h.period)
	who := map[int]string{1: "one process", 3: "three processes"}[len(h.programs)]
	report(h.b, figure{what: fmt.Sprintf("%v of %d boats on %s: verdicts", h.period, len(h.boats), who),
		got:  float64(len(waits)),
		note: fmt.Sprintf("%d messages sent, %d refused", h.api.sent(), h.api.refusals())}, "verdicts")
	for _, q := range []struct {
		what  string
		share float64
	}{{"half at most", 0.5}, {"99 of 100 at most", 0.99}} {
		report(h.b, figure{what: "  second sixth, " + q.what, got: 1000 * quantile(first, q.share), unit: "ms"}, "first-ms")
		report(h.b, figure{what: "  last sixth, " + q.what, got: 1000 * quantile(last, q.share), unit: "ms",
			want: 1200 * quantile(first, q.share), atMost: true}, "last-ms")
	}
	full := h.held()
	keys, err := h.redis.client(h.b).DBSize(h.b.Context()).Result()
	if err != nil {
		h.b.Fatal(err)
	}
	atOnce(h.b, len(h.boats), func(ctx context.Context, i int) error {
		return h.e.Door.EraseTrip(ctx, "bluebarrel", h.boats[i].trip.ID)
	})
	h.client.CloseIdleConnections()
	time.Sleep(min(h.period/6, 3*time.Minute)) // until memory is given back
	for i, mb := range memory {
		report(h.b, figure{what: fmt.Sprintf("  resident memory after %v", time.Duration(i+1)*sixth), got: mb, unit: "MB"},
			"MB")
	}
	h.reportHeld("at its beginning", quiet, held{})
	h.reportHeld("at its end", full, held{})
	h.reportHeld("after all trips were erased", h.held(), quiet)
	report(h.b, figure{what: "  entries of keys that do not expire, after",
		got: float64(h.forever() - h.lasting), unit: "more", want: storeParts, atMost: true,
		note: fmt.Sprintf("%d keys at the end of the load", keys)}, "lasting")
}

// hourCall is one thing that somebody says, and the number that its verdict quotes.
type hourCall struct {
	at     time.Duration
	chat   int64
	text   string
	quoted string // "" for what is not waited for
}

// calls are all that is said, in order. A boat's divers take turns through the whole
// period, each boat from another instant on.
func (h *hour) calls() (calls []hourCall) {
	last := h.period - time.Duration(len(hourSaid))*paces
	for _, boat := range h.boats {
		from := rand.N(h.period)
		for i, chat := range boat.chats {
			at := (from + time.Duration(i)*h.period/divers) % last
			for n, said := range hourSaid {
				text := said.text
				if strings.Contains(text, "%") {
					text = fmt.Sprintf(text, i+1)
				}
				calls = append(calls, hourCall{at + time.Duration(n)*paces, chat, text, said.quoted})
			}
		}
		for i := range looks {
			at := (from + time.Duration(i)*h.period/looks) % h.period
			calls = append(calls, hourCall{at: at, chat: boat.chats[0] - 1, text: "/board"})
		}
	}
	slices.SortFunc(calls, func(a, b hourCall) int { return cmp.Compare(a.at, b.at) })
	return calls
}

// wait is how long one verdict took, and when it was asked for.
type wait struct{ at, took time.Duration }

// play says everything at its instant, to the programs in turn, and returns how long
// each verdict took from the webhook's call to that of the Bot API, and the resident
// memory at the end of each sixth.
func (h *hour) play(calls []hourCall) (waits []wait, memory []float64) {
	began, posted := time.Now(), make([]time.Time, len(calls))
	var all sync.WaitGroup
	for i, c := range calls {
		time.Sleep(time.Until(began.Add(c.at)))
		if c.at >= time.Duration(len(memory)+1)*h.period/6 {
			memory = append(memory, h.held().residentMB)
		}
		posted[i] = time.Now()
		all.Go(func() { h.post(int64(i+1), c, h.programs[i%len(h.programs)]) })
	}
	all.Wait()
	time.Sleep(5 * time.Second)
	missing := 0
	for i, c := range calls {
		if c.quoted == "" {
			continue
		}
		came, ok := h.api.first(quote{c.chat, c.quoted})
		if !ok {
			missing++
			continue
		}
		waits = append(waits, wait{c.at, came.Sub(posted[i])})
	}
	if missing > 0 {
		h.b.Errorf("%d of %d verdicts did not come", missing, missing+len(waits))
	}
	return waits, memory
}

func (h *hour) post(id int64, c hourCall, p *program) {
	r := webhookRequest(update(id, c.chat, time.Now(), c.text))
	r.URL = &url.URL{Scheme: "http", Host: p.address, Path: r.URL.Path}
	r.RequestURI = ""
	resp, err := h.client.Do(r)
	if err != nil {
		h.b.Error(err)
		return
	}
	_, _ = io.Copy(io.Discard, resp.Body)
	resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		h.b.Errorf("%s: status %d", c.text, resp.StatusCode)
	}
}

// between are the waits of what was asked for in that part of the hour, in seconds.
func between(waits []wait, from, to time.Duration) (took []float64) {
	for _, w := range waits {
		if w.at >= from && w.at < to {
			took = append(took, w.took.Seconds())
		}
	}
	return took
}

// held is what a program holds; of several, the most.
type held struct{ residentMB, descriptors, goroutines float64 }

func (h *hour) held() (most held) {
	for _, p := range h.programs {
		most.residentMB = max(most.residentMB, residentMB(h.b, p.cmd.Process.Pid, "VmRSS:"))
		most.descriptors = max(most.descriptors, p.metric(h.b, "process_open_fds"))
		most.goroutines = max(most.goroutines, p.metric(h.b, "go_goroutines"))
	}
	return most
}

// reportHeld compares descriptors and goroutines with those of before, where there
// are any, with room for the connections to the store that a program keeps.
func (h *hour) reportHeld(when string, got, before held) {
	bound := func(n float64) float64 {
		if n > 0 {
			n += connections + 16
		}
		return n
	}
	report(h.b, figure{what: "  resident memory " + when, got: got.residentMB, unit: "MB"}, "MB")
	report(h.b, figure{what: "  open descriptors " + when, got: got.descriptors, unit: "", want: bound(before.descriptors),
		atMost: true}, "descriptors")
	report(h.b, figure{what: "  goroutines " + when, got: got.goroutines, unit: "", want: bound(before.goroutines),
		atMost: true}, "goroutines")
}

// forever counts what is in keys that do not expire.
func (h *hour) forever() (entries int) {
	c, ctx := h.redis.client(h.b), h.b.Context()
	keys := c.Scan(ctx, 0, "*", 1000).Iterator()
	for keys.Next(ctx) {
		if c.TTL(ctx, keys.Val()).Val() != -1 { // which says that it does not
			continue
		}
		switch c.Type(ctx, keys.Val()).Val() {
		case "hash":
			entries += int(c.HLen(ctx, keys.Val()).Val())
		case "set":
			entries += int(c.SCard(ctx, keys.Val()).Val())
		case "zset":
			entries += int(c.ZCard(ctx, keys.Val()).Val())
		case "list":
			entries += int(c.LLen(ctx, keys.Val()).Val())
		default:
			entries++
		}
	}
	if err := keys.Err(); err != nil {
		h.b.Fatal(err)
	}
	return entries
}

// quote is a number that was quoted to a chat.
type quote struct {
	chat int64
	text string
}

// quotingAPI is a Bot API server that takes thirty messages a second, strictly, and
// remembers when each number was first quoted to each chat.
type quotingAPI struct {
	mu      sync.Mutex
	recent  []time.Time // of the last second
	came    map[quote]time.Time
	n       int
	refused int
}

func (a *quotingAPI) start(tb testing.TB) string {
	s := httptest.NewServer(a)
	tb.Cleanup(func() { s.CloseClientConnections(); s.Close() })
	return s.URL
}

func (a *quotingAPI) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	_ = r.ParseForm()
	w.Header().Set("Content-Type", "application/json")
	if !strings.HasSuffix(r.URL.Path, "/sendMessage") {
		_, _ = io.WriteString(w, `{"ok":true,"result":true}`)
		return
	}
	status, answer := a.take(r.Form)
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(answer)
}

func (a *quotingAPI) take(form url.Values) (status int, answer map[string]any) {
	a.mu.Lock()
	defer a.mu.Unlock()
	now := time.Now()
	a.recent = slices.DeleteFunc(a.recent, func(at time.Time) bool { return now.Sub(at) >= windowPeriod })
	if len(a.recent) >= windowSends {
		a.refused++
		return http.StatusTooManyRequests, map[string]any{"ok": false, "error_code": http.StatusTooManyRequests,
			"description": "Too Many Requests: retry after 1", "parameters": map[string]any{"retry_after": 1}}
	}
	a.recent = append(a.recent, now)
	a.n++
	var chat int64
	_, _ = fmt.Sscan(form.Get("chat_id"), &chat)
	for _, said := range hourSaid {
		q := quote{chat, said.quoted}
		if _, ok := a.came[q]; !ok && strings.Contains(form.Get("text"), said.quoted) {
			a.came[q] = now
		}
	}
	return http.StatusOK, map[string]any{"ok": true, "result": map[string]any{"message_id": a.n, "date": now.Unix(),
		"chat": map[string]any{"id": chat, "type": "private"}, "text": "x"}}
}

func (a *quotingAPI) first(q quote) (time.Time, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	at, ok := a.came[q]
	return at, ok
}

func (a *quotingAPI) sent() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.n
}

func (a *quotingAPI) refusals() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.refused
}

// metric is a value of the program's own metrics.
func (p *program) metric(tb testing.TB, name string) (v float64) {
	resp, err := http.Get("http://" + p.address + "/metrics")
	if err != nil {
		tb.Fatal(err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		tb.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, name+" "); ok {
			if _, err := fmt.Sscan(rest, &v); err != nil {
				tb.Fatal(err)
			}
			return v
		}
	}
	tb.Fatalf("no %s among the metrics", name)
	return 0
}
