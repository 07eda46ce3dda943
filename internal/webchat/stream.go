package webchat

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// Live is how pages are kept live; zero fields get their defaults.
type Live struct {
	Look         time.Duration // how often to look for what other processes changed; default 1 s
	Heartbeat    time.Duration // a sign of life while nothing happens; default 15 s
	Longest      time.Duration // of one stream, after which the page comes again; default 10 min
	Streams      int           // at the same time, of this process; default 4000
	StreamsOfOne int           // at the same time, of one link; default 8
}

func (l Live) orDefault() Live {
	for _, d := range []struct {
		at *time.Duration
		to time.Duration
	}{{&l.Look, time.Second}, {&l.Heartbeat, 15 * time.Second}, {&l.Longest, 10 * time.Minute}} {
		if *d.at <= 0 {
			*d.at = d.to
		}
	}
	if l.Streams <= 0 {
		l.Streams = 4000
	}
	if l.StreamsOfOne <= 0 {
		l.StreamsOfOne = 8
	}
	return l
}

// places bounds how many streams are open.
type places struct {
	most, mostOfOne int
	mu              sync.Mutex
	taken           int
	byOne           map[roster.Address]int
}

func (p *places) take(a roster.Address) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.taken >= p.most || p.byOne[a] >= p.mostOfOne {
		return false
	}
	if p.byOne == nil {
		p.byOne = map[roster.Address]int{}
	}
	p.taken++
	p.byOne[a]++
	return true
}

func (p *places) leave(a roster.Address) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.taken--
	if p.byOne[a]--; p.byOne[a] == 0 {
		delete(p.byOne, a)
	}
}

// stream is one open live stream.
type stream struct {
	c        *Pages
	w        http.ResponseWriter
	rc       *http.ResponseController
	r        *http.Request
	after    string // the last entry sent
	board    string // the last board sent
	answered bool   // the answer to what the leader did last was sent
	of       string // "board", or "" for the conversation
	form     string // the client message id of the board's forms: the same in each, or every board would differ
}

// wait before a page comes again after a stream has ended, in milliseconds. A
// page in a frame asks in short: browsers keep few connections to one origin,
// and the demo has many phones on one page.
const (
	againAfter      = 1000
	againAfterBrief = 1500
)

// events is the live stream of a page: entries after Last-Event-ID (or the
// query's "after"), or the board whenever it changes.
func (c *Pages) events(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.refuseStream(w, err)
		return
	}
	me := delivery.WebAddress(t.ID, p.ID)
	if !c.within(w, r, t, p, "look", looksAMinute) || !c.places.take(me) {
		if w.Header().Get("Retry-After") == "" {
			w.Header().Set("Retry-After", "10")
		}
		http.Error(w, "too many", http.StatusTooManyRequests)
		return
	}
	defer c.places.leave(me)
	s := &stream{c: c, w: w, rc: http.NewResponseController(w), r: r, after: r.Header.Get("Last-Event-ID"),
		of: r.FormValue("of"), form: rand.Text()[:16]}
	if s.after == "" {
		s.after = r.FormValue("after")
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("X-Accel-Buffering", "no") // a proxy in between must not hold it back
	s.run(t.ID, r.FormValue("brief") == "1")
}

func (c *Pages) refuseStream(w http.ResponseWriter, err error) {
	status := http.StatusServiceUnavailable
	switch {
	case errors.Is(err, delivery.ErrInviteRevoked), errors.Is(err, delivery.ErrInviteGone):
		status = http.StatusGone
	case errors.Is(err, delivery.ErrInviteWrong):
		status = http.StatusNotFound
	default:
		c.Log.Error("web: store not reachable", "err", err)
		w.Header().Set("Retry-After", "5")
	}
	http.Error(w, http.StatusText(status), status)
}

// run sends what is new whenever the trip changes and with every sign of life,
// since time alone can change a board, until the page goes, the service stops
// or it has lasted long enough.
func (s *stream) run(trip roster.TripID, brief bool) {
	changed, leave := s.c.hub.follow(trip)
	defer leave()
	ctx, cancel := context.WithTimeout(s.r.Context(), s.c.Live.Longest)
	defer cancel()
	// The server's limits are for requests that end soon.
	_ = s.rc.SetReadDeadline(time.Time{})
	retry := againAfter
	if brief {
		retry = againAfterBrief
	}
	if s.write(fmt.Sprintf("retry: %d\n\n", retry)) != nil || !s.news(ctx) || brief {
		return
	}
	beat := time.NewTicker(s.c.Live.Heartbeat)
	defer beat.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.c.ended:
			return
		case <-changed:
			if !s.news(ctx) {
				return
			}
		case <-beat.C:
			if !s.news(ctx) {
				return
			}
		}
	}
}

// news sends what is new. It returns false when the stream is over: the link
// opens nothing any more, or nobody reads. While the store is away it sends
// nothing and the stream stays; the page says how old it is.
func (s *stream) news(ctx context.Context) bool {
	t, p, err := s.c.Door.Invited(ctx, s.r.PathValue("token"))
	switch {
	case errors.Is(err, delivery.ErrInviteRevoked), errors.Is(err, delivery.ErrInviteGone),
		errors.Is(err, delivery.ErrInviteWrong):
		_ = s.write("event: closed\ndata: {}\n\n")
		return false
	case err != nil:
		return ctx.Err() == nil
	case s.of == "board":
		return s.boardNews(t, p) == nil
	}
	entries, err := s.c.Chats.Read(ctx, t.ID, p.ID, s.after)
	if err != nil {
		return ctx.Err() == nil
	}
	v := s.c.viewOf(s.r, t, p)
	for _, e := range entries {
		if s.send("entry", e.ID, s.c.fresh(v, e)) != nil {
			return false
		}
		s.after = e.ID
	}
	return s.send("now", "", map[string]string{"at": v.Now}) == nil
}

func (s *stream) boardNews(t *roster.Trip, p *roster.Person) error {
	if !staff(p) {
		return nil
	}
	v := s.c.boardOf(s.r, t, p)
	v.FormID = s.form
	html := s.c.fragment("board-live", v)
	if html != s.board {
		s.board = html
		if err := s.send("board", "", map[string]string{"html": html}); err != nil {
			return err
		}
	}
	if v = s.c.withAnswer(s.r, v, t, p); !s.answered && len(v.Answer) > 0 {
		s.answered = true // it came later than the page waited
		if err := s.send("answer", "", map[string]string{"html": s.c.fragment("board-answer", v)}); err != nil {
			return err
		}
	}
	return s.send("now", "", map[string]string{"at": v.AsOf})
}

func (s *stream) send(event, id string, v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "event: %s\n", event)
	if id != "" && !strings.ContainsAny(id, "\r\n\x00") {
		fmt.Fprintf(&b, "id: %s\n", id)
	}
	fmt.Fprintf(&b, "data: %s\n\n", data)
	return s.write(b.String())
}

// write sends at once, and gives up on a reader who takes nothing for long.
func (s *stream) write(text string) error {
	_ = s.rc.SetWriteDeadline(time.Now().Add(10 * time.Second))
	if _, err := s.w.Write([]byte(text)); err != nil {
		return err
	}
	return s.rc.Flush()
}
