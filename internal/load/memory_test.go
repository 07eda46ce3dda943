package load

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"regexp"
	"sync/atomic"
	"testing"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// BenchmarkTripMemory is what Redis needs for a trip of twenty divers in the
// evening of its day: everybody joined by invite, got the evening message and
// the reminders, analysed two cylinders, answered the boat check; one corrected,
// one was reminded more than once; both dives are signed off. It counts every
// key that there is, the bucket's and the people's own included.
func BenchmarkTripMemory(b *testing.B) {
	for b.Loop() {
		d := newDay(b)
		d.live()
		used, keys := d.memory()
		report(b, figure{what: "Redis memory of a trip of 20 divers after its day", got: float64(used) / 1024, unit: "KB",
			want: 64, atMost: true,
			note: fmt.Sprintf("%d keys, %d messages sent, %d lines of log", keys, len(d.api.taken), d.acts())}, "KB")
	}
}

// day is one trip lived through with a clock that is set.
type day struct {
	b     *testing.B
	e     embedded
	api   *windowAPI
	ahead atomic.Int64 // of the real clock
	boat  *boat
	id    int64
}

func (d *day) now() time.Time { return time.Now().Add(time.Duration(d.ahead.Load())) }

func newDay(b *testing.B) *day {
	d := &day{b: b, api: &windowAPI{}}
	d.e = embed(b, startRedis(b, "everysec").client(b), d.api.start(b), d.now)
	began := time.Date(2027, 5, 14, 12, 0, 0, 0, time.UTC)
	d.ahead.Store(int64(time.Until(began)))
	d.boat = newBoat(1_000_000, 20, began)
	d.boat.draft.EditPlan().Departs = time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)
	for _, p := range d.boat.draft.People { // they are yet to join
		p = d.boat.draft.Edit(p.ID)
		p.Addresses, p.Joined, p.DivedBefore, p.BeforeAsked = nil, time.Time{}, "", time.Time{}
	}
	var err error
	if d.boat.trip, err = d.e.Door.Create(b.Context(), d.boat.draft); err != nil {
		b.Fatal(err)
	}
	return d
}

// live is the day.
func (d *day) live() {
	ctx, stop := context.WithCancel(d.b.Context())
	done := make(chan struct{})
	go func() { defer close(done); d.e.Post(ctx) }()
	defer func() { stop(); <-done }()
	invites := delivery.NewInvites(settings("").Secret.Reveal())
	leader := d.boat.chats[0] - 1
	for i, p := range d.boat.trip.People {
		chat := leader + int64(i)
		d.says(chat, "/start "+invites.Code(d.boat.trip.ID, p.ID, p.Generation))
		if !p.Leader {
			d.says(chat, "no")
		}
	}
	d.until(time.Date(2027, 5, 15, 6, 45, 0, 0, time.UTC))
	for i, chat := range d.boat.chats {
		if i == 15 { // five are late, and hear of it
			d.until(time.Date(2027, 5, 15, 7, 20, 0, 0, time.UTC))
		}
		d.pass(time.Minute)
		d.says(chat, fmt.Sprintf("A%d 31.4", i+1))
		d.pass(20 * time.Second)
		d.says(chat, fmt.Sprintf("B%d 35.8", i+1))
	}
	d.says(d.boat.chats[3], "no, 35.6")
	d.until(time.Date(2027, 5, 15, 8, 0, 0, 0, time.UTC))
	d.dive(leader)
	d.until(time.Date(2027, 5, 15, 9, 40, 0, 0, time.UTC))
	d.dive(leader)
	d.until(time.Date(2027, 5, 15, 11, 30, 0, 0, time.UTC))
	d.drain()
}

// dive is the boat check, that the dive before was dived, and the signature.
func (d *day) dive(leader int64) {
	d.says(leader, "/boat")
	for _, chat := range d.boat.chats {
		d.says(chat, "kept")
	}
	d.says(leader, "/board")
	before := len(d.signed())
	d.says(leader, "/signoff")
	d.drain()
	if before > 0 { // asked first whether the dive before was dived
		d.presses(leader, d.lastButton(leader, fmt.Sprintf("ldived %d yes", before)))
		d.drain()
	}
	d.presses(leader, d.lastButton(leader, "lsigned"))
	if got := len(d.signed()); got != before+1 {
		d.b.Fatalf("%d dives signed off, want %d", got, before+1)
	}
}

func (d *day) trip() *roster.Trip {
	l, err := d.e.Store.Load(d.b.Context(), d.boat.trip.ID, "")
	if err != nil {
		d.b.Fatal(err)
	}
	return l.Trip
}

func (d *day) signed() []roster.SignOff { return d.trip().SignOffs }

func (d *day) acts() int {
	acts, err := d.e.Store.Log(d.b.Context(), d.boat.trip.ID)
	if err != nil {
		d.b.Fatal(err)
	}
	return len(acts)
}

func (d *day) post(update []byte) {
	d.b.Helper()
	w := httptest.NewRecorder()
	d.e.Handler.ServeHTTP(w, webhookRequest(update))
	if w.Code != http.StatusOK {
		d.b.Fatalf("status %d", w.Code)
	}
}

func (d *day) says(chat int64, text string) {
	d.b.Helper()
	d.id++
	d.post(update(d.id, chat, d.now(), text))
}

func (d *day) presses(chat int64, data string) {
	d.b.Helper()
	d.id++
	raw, err := json.Marshal(map[string]any{"update_id": d.id,
		"callback_query": map[string]any{"id": fmt.Sprint(d.id), "data": data,
			"from": map[string]any{"id": chat, "is_bot": false, "first_name": "Inês", "language_code": "en"},
			"message": map[string]any{"message_id": 1, "date": d.now().Unix(),
				"chat": map[string]any{"id": chat, "type": "private"}}}})
	if err != nil {
		d.b.Fatal(err)
	}
	d.post(raw)
}

var callbackData = regexp.MustCompile(`"callback_data":"([a-z2-7]+\|[^"]*)"`)

// lastButton is what the newest button of a chat carries that does a thing.
func (d *day) lastButton(chat int64, does string) string {
	d.b.Helper()
	d.api.mu.Lock()
	defer d.api.mu.Unlock()
	for i := len(d.api.taken) - 1; i >= 0; i-- {
		m := d.api.taken[i]
		if m.chat != fmt.Sprint(chat) {
			continue
		}
		for _, found := range callbackData.FindAllStringSubmatch(m.buttons, -1) {
			if found[1] == string(d.boat.trip.ID)+"|"+does || len(found[1]) > 11+len(does) && found[1][11:11+len(does)] == does {
				return found[1]
			}
		}
	}
	d.b.Fatalf("nobody was offered %q; the last answer was: %s", does, d.api.taken[len(d.api.taken)-1].text)
	return ""
}

func (d *day) pass(t time.Duration) { d.ahead.Add(int64(t)) }

// until lets the time pass in steps of five minutes, with the service's beat.
func (d *day) until(t time.Time) {
	for d.now().Before(t) {
		d.e.Beat(d.b.Context())
		d.drain()
		d.pass(min(5*time.Minute, t.Sub(d.now())+time.Millisecond))
	}
	d.e.Beat(d.b.Context())
}

// drain waits until everything is sent.
func (d *day) drain() {
	d.b.Helper()
	for end := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		n, err := d.e.Store.Outbox().Depth(d.b.Context())
		if err != nil {
			d.b.Fatal(err)
		}
		if n == 0 {
			return
		}
		if time.Now().After(end) {
			d.b.Fatalf("%d messages still wait", n)
		}
	}
}

// memory is what all keys of the trip, its bucket and its people take, and how
// many there are.
func (d *day) memory() (bytes int64, keys int) {
	c := servers.all[len(servers.all)-1].client(d.b)
	all, err := c.Keys(d.b.Context(), "gm:{[bw]*").Result() // neither the shops' nor the limits' of the last minute
	if err != nil {
		d.b.Fatal(err)
	}
	for _, key := range all {
		n, err := c.MemoryUsage(d.b.Context(), key, 0).Result()
		if err != nil {
			continue // a limit's key that went meanwhile
		}
		if testing.Verbose() {
			d.b.Logf("%7d %s", n, key)
			for field, v := range c.HGetAll(d.b.Context(), key).Val() {
				d.b.Logf("        %7d %s", len(v), field)
			}
		}
		bytes += n
	}
	return bytes, len(all)
}
