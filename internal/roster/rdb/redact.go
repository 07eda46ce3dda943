package rdb

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
)

var _ roster.Traces = (*Store)(nil)

var rewriteScript = script("rewrite")

// rewrite is one key's entries that change, for rewrite.lua.
type rewrite struct {
	key, how string
	args     []any // where, was, is of each; removals from a list last
}

func (w *rewrite) add(where any, was, is string) {
	if was != is {
		w.args = append(w.args, where, was, is)
	}
}

// Redact takes somebody out of everything that the store holds of a trip
// beside the trip itself; see roster.Traces.
func (s *Store) Redact(ctx context.Context, shop roster.ShopID, trip roster.TripID, how roster.Rewrite) (missed int,
	err error) {
	reads := []func(context.Context, roster.TripID, roster.Rewrite) (rewrite, error){
		s.redactLetters, s.redactPages, s.redactDead, s.redactSessions, s.redactLog, s.redactNews,
	}
	for _, read := range reads {
		w, err := read(ctx, trip, how)
		if err == nil {
			err = s.rewrite(ctx, w, &missed)
		}
		if err != nil {
			return missed, fault("take somebody out of trip "+string(trip), err)
		}
	}
	if err := s.redactAnswers(ctx, shop, trip, how, &missed); err != nil {
		return missed, fault("take somebody out of answers about trip "+string(trip), err)
	}
	sending, err := s.inFlight(ctx, trip, how)
	if err != nil {
		return missed, fault("look at what is being sent", err)
	}
	return missed + sending, nil
}

func (s *Store) rewrite(ctx context.Context, w rewrite, missed *int) error {
	if len(w.args) == 0 {
		return nil
	}
	n, err := rewriteScript.Run(ctx, s.c, []string{w.key}, append([]any{w.how}, w.args...)...).Int()
	*missed += n
	return err
}

// redactLetters rewrites what waits for others.
func (s *Store) redactLetters(ctx context.Context, trip roster.TripID, how roster.Rewrite) (rewrite, error) {
	w := rewrite{key: tripKey("out", trip), how: "hash"}
	bodies, err := s.c.HGetAll(ctx, w.key).Result()
	for number, body := range bodies {
		if isQueue(number) {
			continue
		}
		e, err := opened(trip, body)
		if err != nil || how.Leave(e) {
			continue
		}
		front, payload, _ := strings.Cut(body, "\n")
		w.add(number, body, front+"\n"+string(how.Payload(json.RawMessage(payload))))
	}
	return w, err
}

// redactPages rewrites the chat pages of others.
func (s *Store) redactPages(ctx context.Context, trip roster.TripID, how roster.Rewrite) (rewrite, error) {
	w := rewrite{key: tripKey("chat", trip), how: "zset"}
	members, err := s.c.ZRange(ctx, w.key, 0, -1).Result()
	for _, m := range members {
		at := strings.IndexByte(m, 0) + 1 + 16 // person NUL number
		var e roster.Entry
		if at < 17 || at > len(m) || json.Unmarshal([]byte(m[at:]), &e) != nil {
			continue
		}
		e.Text = how.Text(e.Text)
		if len(e.Payload) > 0 {
			e.Payload = how.Payload(e.Payload)
		}
		line, err := json.Marshal(e)
		if err != nil {
			return w, err
		}
		w.add("", m, m[:at]+string(line))
	}
	return w, err
}

// redactDead removes dead letters to the person and rewrites the others.
func (s *Store) redactDead(ctx context.Context, trip roster.TripID, how roster.Rewrite) (rewrite, error) {
	w, gone := rewrite{key: tripKey("dead", trip), how: "list"}, rewrite{}
	lines, err := s.c.LRange(ctx, w.key, 0, -1).Result()
	for i, was := range lines {
		var d roster.DeadLetter
		if json.Unmarshal([]byte(was), &d) != nil {
			continue
		}
		if d.Person == how.Person {
			gone.add(i, was, "")
			continue
		}
		d.Payload = how.Payload(d.Payload)
		line, err := json.Marshal(d)
		if err != nil {
			return w, err
		}
		w.add(i, was, string(line))
	}
	w.args = append(w.args, gone.args...)
	return w, err
}

// redactSessions rewrites what was typed and is being asked about.
func (s *Store) redactSessions(ctx context.Context, trip roster.TripID, how roster.Rewrite) (rewrite, error) {
	w := rewrite{key: tripKey("trip", trip), how: "hash"}
	fields, err := s.c.HGetAll(ctx, w.key).Result()
	for field, was := range fields {
		if strings.HasPrefix(field, sessionPrefix) {
			w.add(field, was, texts(was, how.Text))
		}
	}
	return w, err
}

// redactLog rewrites reasons and details of the trip's log.
func (s *Store) redactLog(ctx context.Context, trip roster.TripID, how roster.Rewrite) (rewrite, error) {
	return s.redactLines(ctx, tripKey("log", trip), func(line string) string { return logLine(line, how.Text) })
}

func logLine(was string, change func(string) string) string {
	var a act
	if json.Unmarshal([]byte(was), &a) != nil {
		return was
	}
	a.Rewrite(change)
	is, err := json.Marshal(a)
	if err != nil {
		return was
	}
	return string(is)
}

// redactNews rewrites what the shop's systems are told, or may be told again.
func (s *Store) redactNews(ctx context.Context, trip roster.TripID, how roster.Rewrite) (rewrite, error) {
	return s.redactLines(ctx, tripKey("events", trip), func(line string) string { return texts(line, how.Text) })
}

// redactLines rewrites a list.
func (s *Store) redactLines(ctx context.Context, key string, change func(string) string) (rewrite, error) {
	w := rewrite{key: key, how: "list"}
	lines, err := s.c.LRange(ctx, key, 0, -1).Result()
	for i, was := range lines {
		w.add(i, was, change(was))
	}
	return w, err
}

// redactAnswers rewrites answers kept under idempotency keys that are about
// the trip. They have no index, since each lives for a day only and somebody is
// erased seldom: the keys are looked through.
func (s *Store) redactAnswers(ctx context.Context, shop roster.ShopID, trip roster.TripID, how roster.Rewrite,
	missed *int) error {
	var keys []string
	look := func(ctx context.Context, c redis.Cmdable) error {
		prefix := idemKey(shop, "")
		for it := c.Scan(ctx, 0, globbed(prefix)+"*", 1000).Iterator(); ; {
			if !it.Next(ctx) {
				return it.Err()
			}
			if strings.HasPrefix(it.Val(), prefix) {
				keys = append(keys, it.Val())
			}
		}
	}
	var err error
	if cluster, ok := s.c.(*redis.ClusterClient); ok {
		err = eachMaster(ctx, cluster, look)
	} else {
		err = look(ctx, s.c)
	}
	for i := 0; err == nil && i < len(keys); i++ {
		var was string
		if was, err = s.c.HGet(ctx, keys[i], "answer").Result(); errors.Is(err, redis.Nil) {
			err = nil
			continue
		}
		if err != nil || !strings.Contains(was, string(trip)) {
			continue
		}
		w := rewrite{key: keys[i], how: "hash"}
		w.add("answer", was, answerTexts(was, how.Text))
		err = s.rewrite(ctx, w, missed)
	}
	return err
}

// eachMaster asks the masters of a cluster one after the other.
func eachMaster(ctx context.Context, c *redis.ClusterClient, ask func(context.Context, redis.Cmdable) error) error {
	one := make(chan struct{}, 1)
	return c.ForEachMaster(ctx, func(ctx context.Context, m *redis.Client) error {
		one <- struct{}{}
		defer func() { <-one }()
		return ask(ctx, m)
	})
}

// globbed is s as a pattern that matches it alone.
func globbed(s string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`, `]`, `\]`).Replace(s)
}

// inFlight counts the trip's queues that a worker holds right now.
func (s *Store) inFlight(ctx context.Context, trip roster.TripID, how roster.Rewrite) (int, error) {
	fields, err := s.c.HKeys(ctx, tripKey("out", trip)).Result()
	var mine []string
	for _, field := range fields {
		if q := string(trip) + "|" + field; isQueue(field) {
			if _, to := ofQueue(q); how.InFlight(to) {
				mine = append(mine, q)
			}
		}
	}
	if err != nil || len(mine) == 0 {
		return 0, err
	}
	scores, err := s.c.ZMScore(ctx, bucketOf(trip).ready(), mine...).Result()
	n := 0
	for _, score := range scores {
		if score >= leasedFrom {
			n++
		}
	}
	return n, err
}

// freeTexts are the fields that hold what people typed or are called, in
// dialogue states, in news and in answers to shops.
var freeTexts = map[string]bool{"name": true, "text": true, "rest": true, "reason": true, "label": true, "do": true,
	"site": true}

// texts applies change to the free texts of a JSON document; the document
// itself comes back when nothing changes, or when it is none.
func texts(doc string, change func(string) string) string {
	d := json.NewDecoder(strings.NewReader(doc))
	d.UseNumber()
	var v any
	if d.Decode(&v) != nil || !rewriteTexts(v, change) {
		return doc
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if e.Encode(v) != nil {
		return doc
	}
	return strings.TrimSuffix(out.String(), "\n")
}

func rewriteTexts(v any, change func(string) string) (changed bool) {
	switch v := v.(type) {
	case []any:
		for _, one := range v {
			changed = rewriteTexts(one, change) || changed
		}
	case map[string]any:
		for name, one := range v {
			s, isText := one.(string)
			switch {
			case !isText:
				changed = rewriteTexts(one, change) || changed
			case freeTexts[name] && change(s) != s:
				v[name], changed = change(s), true
			}
		}
	}
	return changed
}

// answerTexts is texts for an answer, whose body is a document within one.
func answerTexts(doc string, change func(string) string) string {
	var a map[string]json.RawMessage
	var body string
	if json.Unmarshal([]byte(doc), &a) != nil || json.Unmarshal(a["body"], &body) != nil {
		return doc
	}
	is := texts(body, change)
	if is == body {
		return doc
	}
	raw, err := json.Marshal(is)
	if err == nil {
		a["body"] = raw
		raw, err = json.Marshal(a)
	}
	if err != nil {
		return doc
	}
	return string(raw)
}
