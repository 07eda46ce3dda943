package standin

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"time"
)

// defaultKinds are delivered when allowed_updates was never given.
var defaultKinds = []string{"message", "edited_message", "channel_post", "edited_channel_post", "callback_query",
	"my_chat_member"}

// webhook is the setting; allowed sticks over both ways of delivery.
type webhook struct {
	url     string
	secret  string
	allowed []string
	lastErr string
}

// pending is an update that was not confirmed yet.
type pending struct {
	id   int64
	lane string // updates of one lane are delivered in order, lanes in parallel
	raw  []byte
	ends time.Time // given up after this
}

// How long the server keeps what was not confirmed.
const (
	keepUpdate = 24 * time.Hour
	keepPress  = 150 * time.Second
)

// expire drops what is too old to be delivered; s.mu is held.
func (s *Server) expire() {
	now := s.opt.Now()
	s.pending = slices.DeleteFunc(s.pending, func(p *pending) bool { return now.After(p.ends) })
}

// Deliver queues an update made by the caller: for what no helper here makes,
// and for bodies that no real server would send. It returns the update's id.
func (s *Server) Deliver(kind, lane string, content any) int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.queue(kind, lane, content)
}

// queue adds an update if the bot asked for its kind; s.mu is held.
func (s *Server) queue(kind, lane string, content any) int64 {
	if !slices.Contains(s.hook.allowed, kind) {
		return 0
	}
	s.update++
	raw, err := json.Marshal(map[string]any{"update_id": s.update, kind: content})
	if err != nil {
		s.t.Errorf("standin: an update that can't be written: %v", err)
		return 0
	}
	keep := keepUpdate
	if kind == "callback_query" {
		keep = keepPress
	}
	s.enqueue(&pending{s.update, lane, raw, s.opt.Now().Add(keep)})
	return s.update
}

// DeliverRaw queues a body as it is; id is the update id it claims.
func (s *Server) DeliverRaw(id int64, lane string, raw []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.enqueue(&pending{id, lane, raw, s.opt.Now().Add(keepUpdate)})
}

// NextUpdate reserves an update id for DeliverRaw.
func (s *Server) NextUpdate() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.update++
	return s.update
}

func (s *Server) enqueue(p *pending) {
	s.pending = append(s.pending, p)
	s.touch()
	s.pump()
}

// DeliverTwice makes the next n delivered updates arrive once more.
func (s *Server) DeliverTwice(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.twice += n
}

// Pending counts updates that the bot has not confirmed.
func (s *Server) Pending() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.expire()
	return len(s.pending)
}

// Settled waits until every update was confirmed, and tells whether it was.
func (s *Server) Settled() bool { return s.Wait(func() bool { return s.Pending() == 0 }) }

// pump starts a lane's delivery where there is something to deliver; s.mu is held.
func (s *Server) pump() {
	if s.hook.url == "" {
		return
	}
	for _, p := range s.pending {
		if !s.lanes[p.lane] {
			s.lanes[p.lane] = true
			s.work.Add(1)
			go s.runLane(p.lane)
		}
	}
}

// runLane delivers one lane until it is empty.
func (s *Server) runLane(lane string) {
	defer s.work.Done()
	for try := 0; ; {
		s.mu.Lock()
		p, hook := s.head(lane), s.hook
		if p == nil || hook.url == "" {
			delete(s.lanes, lane)
			s.mu.Unlock()
			return
		}
		s.mu.Unlock()
		ok, after := s.deliver(p, hook)
		if ok {
			s.delivered(p, hook)
			try = 0
			continue
		}
		try++
		if !s.pause(max(after, s.opt.Retry<<min(try, 20))) {
			return
		}
	}
}

func (s *Server) head(lane string) *pending {
	s.expire()
	for _, p := range s.pending {
		if p.lane == lane {
			return p
		}
	}
	return nil
}

func (s *Server) pause(d time.Duration) bool {
	if d <= 0 || d > s.opt.RetryMax {
		d = s.opt.RetryMax
	}
	select {
	case <-s.stop:
		return false
	case <-time.After(d):
		return true
	}
}

func (s *Server) delivered(p *pending, hook webhook) {
	s.mu.Lock()
	again := s.twice > 0
	if again {
		s.twice--
	}
	s.mu.Unlock()
	if again {
		s.deliver(p, hook)
	}
	s.mu.Lock()
	s.pending = slices.DeleteFunc(s.pending, func(q *pending) bool { return q == p })
	s.touch()
	s.mu.Unlock()
}

// deliver posts one update; it tells whether a 2xx came back, and else when
// the endpoint wants to be asked again.
func (s *Server) deliver(p *pending, hook webhook) (bool, time.Duration) {
	r, err := http.NewRequest(http.MethodPost, hook.url, bytes.NewReader(p.raw))
	if err != nil {
		return false, 0
	}
	r.Header.Set("Content-Type", "application/json")
	if hook.secret != "" {
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", hook.secret)
	}
	client := &http.Client{Timeout: time.Minute,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Do(r)
	e := Exchange{At: s.opt.Now(), Method: "webhook", Params: map[string]string{"update": string(p.raw)}}
	if err != nil {
		s.failed(e, "Connection failed")
		return false, 0
	}
	defer answer.Body.Close()
	text, _ := io.ReadAll(io.LimitReader(answer.Body, 1<<20))
	e.Status, e.Answer = answer.StatusCode, string(text)
	if answer.StatusCode/100 == 2 {
		s.note(e)
		return true, 0
	}
	s.failed(e, "Wrong response from the webhook: "+answer.Status)
	after, _ := strconv.Atoi(answer.Header.Get("Retry-After"))
	return false, time.Duration(after) * time.Second
}

func (s *Server) failed(e Exchange, why string) {
	s.mu.Lock()
	s.hook.lastErr = why
	s.mu.Unlock()
	s.note(e)
}

var secretToken = regexp.MustCompile(`^[A-Za-z0-9_-]{1,256}$`)

func (s *Server) setWebhook(c *call) (any, *refusal) {
	u, err := url.Parse(c.params["url"])
	if err != nil || u.Host == "" || (u.Scheme != "https" && u.Scheme != "http") {
		return nil, refuse(400, "bad webhook: invalid webhook URL specified")
	}
	if secret, ok := c.params["secret_token"]; ok && !secretToken.MatchString(secret) {
		return nil, refuse(400, "secret token contains unallowed characters")
	}
	if raw, ok := c.params["max_connections"]; ok {
		if n, err := strconv.Atoi(raw); err != nil || n < 1 || n > 100 {
			return nil, refuse(400, "max_connections must be from 1 to 100")
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.hook.url, s.hook.secret = c.params["url"], c.params["secret_token"]
	s.setAllowed(c)
	s.drop(c)
	s.touch()
	s.pump()
	return true, nil
}

// setAllowed keeps the earlier list unless an array was given: the setting sticks.
func (s *Server) setAllowed(c *call) {
	var list []string
	if json.Unmarshal([]byte(c.params["allowed_updates"]), &list) != nil || list == nil {
		return
	}
	if len(list) == 0 {
		list = defaultKinds
	}
	s.hook.allowed = list
}

func (s *Server) drop(c *call) {
	if c.flag("drop_pending_updates") {
		s.pending = nil
	}
}

func (s *Server) deleteWebhook(c *call) (any, *refusal) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.hook.url, s.hook.secret = "", ""
	s.drop(c)
	s.touch()
	return true, nil
}

func (s *Server) getWebhookInfo(*call) (any, *refusal) {
	s.mu.Lock()
	defer s.mu.Unlock()
	info := map[string]any{"url": s.hook.url, "has_custom_certificate": false,
		"pending_update_count": len(s.pending), "allowed_updates": s.hook.allowed}
	if s.hook.lastErr != "" {
		info["last_error_date"], info["last_error_message"] = s.opt.Now().Unix(), s.hook.lastErr
	}
	return info, nil
}

// Allowed is the list of update kinds that the bot asked for.
func (s *Server) Allowed() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.hook.allowed)
}

// Webhook is the address and the secret that are set, "" while polling.
func (s *Server) Webhook() (address, secret string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.hook.url, s.hook.secret
}
