package rdb_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// out is how these tests take Ottokar out.
func ottokarOut() roster.Rewrite {
	text := func(s string) string { return strings.ReplaceAll(s, "Ottokar", "erased") }
	return roster.Rewrite{Person: "p2", Text: text,
		Payload:  func(raw json.RawMessage) json.RawMessage { return json.RawMessage(text(string(raw))) },
		Leave:    func(e roster.Envelope) bool { return e.ID == "left alone" },
		InFlight: func(a roster.Address) bool { return a.Channel == "web" }}
}

// Whatever a store holds of somebody beside the trip is rewritten in place:
// order, numbers and expiry stay as they were, and other trips' are untouched.
func TestRedact(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client), t.Context()
		says := json.RawMessage(`{"lines":[{"k":"x","a":{"name":{"k":"name","s":"Ottokar"}}}]}`)
		letter := func(id string, to roster.Address) roster.Envelope {
			return roster.Envelope{ID: id, Person: "p1", Address: to, Payload: says}
		}
		phone, page := roster.Address{Channel: "telegram", ID: "100"}, roster.Address{Channel: "web", ID: "aaaaaaaaaa/p1"}
		for _, id := range []roster.TripID{"aaaaaaaaaa", "bbbbbbbbbb"} {
			_, err := s.Commit(ctx, roster.Commit{Trip: newTrip(id), Token: roster.NewToken(), Expire: departs.Add(time.Hour),
				Acts: []roster.Act{{Verb: "out", By: "p1", On: "p2", Reason: "Ottokar is late",
					Detail: map[string]string{"was": "Ottokar", "now": "32"}},
					{Verb: "boat", By: "p1"}},
				Sessions: map[roster.PersonID]json.RawMessage{"p1": json.RawMessage(
					`{"data":{"command":"out","n":12345678901234567890,"rest":"Ottokar wind"},"state":"leader.who"}`)},
				Events: []json.RawMessage{json.RawMessage(
					`{"data":{"name":"Ottokar","person":"p2","reason":"blocked"},"type":"diver.unreachable"}`),
					json.RawMessage(`{"type":"x"}`)},
				Out: []roster.Envelope{letter("one", phone), letter("left alone", phone), letter("to be buried", page),
					letter("three", page)}})
			must(t, err)
			for i, e := range []roster.Entry{{ID: "a", Own: true, Text: "/limit Ottokar 30"}, {ID: "b", Payload: says},
				{ID: "c", Own: true, Text: "17 32.1"}} {
				e.At = departs.Add(time.Duration(i) * time.Minute)
				must(t, s.Chats().Append(ctx, id, "p1", e))
			}
			key := "key-" + string(id)
			_, _, err = s.Shops().Idempotent(ctx, "bluebarrel", key, "body")
			must(t, err)
			must(t, s.Shops().Answer(ctx, "bluebarrel", key, "body", []byte(fmt.Sprintf(`{"body":%q,"status":201}`,
				fmt.Sprintf(`{"divers":[{"n":1.50,"name":"Ottokar"}],"id":%q}`, id)))))
		}
		for _, c := range claim(t, s.Outbox(), departs, 4) {
			if c.ID == "to be buried" {
				must(t, s.Outbox().Dead(ctx, c, "gone", departs))
			} else {
				must(t, s.Outbox().Later(ctx, c, departs, true))
			}
		}
		before := everything(t, srv)

		missed, err := s.Redact(ctx, "bluebarrel", "aaaaaaaaaa", ottokarOut())
		if err != nil || missed != 0 {
			t.Fatalf("redact: %d missed, %v", missed, err)
		}
		after := everything(t, srv)
		changed := 0
		for key, was := range before {
			is := after[key]
			want := was
			if strings.Contains(key, "aaaaaaaaaa") {
				want = strings.ReplaceAll(was, "Ottokar", "erased")
			}
			if strings.Contains(key, "out:aaaaaaaaaa") { // but for the one left alone
				if n := strings.Count(is, "Ottokar"); n != 1 {
					t.Errorf("%s names them %d times, want once:\n%s", key, n, is)
				}
				changed++
				continue
			}
			if is != want {
				t.Errorf("%s:\n got %s\nwant %s", key, is, want)
			}
			if is != was {
				changed++
			}
		}
		if len(after) != len(before) {
			t.Errorf("%d keys, want %d", len(after), len(before))
		}
		if changed < 6 { // letters, pages, dead, dialogue, log, news, answer
			t.Errorf("%d keys changed", changed)
		}
	})
}

// Dead letters to the person go altogether; what a worker is just putting on
// somebody's page is waited for.
func TestRedactDeadAndInFlight(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client), t.Context()
		page := roster.Address{Channel: "web", ID: "aaaaaaaaaa/p2"}
		create(t, s, "aaaaaaaaaa", out(roster.Envelope{ID: "1", Person: "p2", Address: page, Payload: json.RawMessage(`{}`)},
			roster.Envelope{ID: "2", Person: "p2", Address: page, Payload: json.RawMessage(`{}`)}))
		must(t, s.Outbox().Dead(ctx, claim(t, s.Outbox(), departs, 1)[0], "blocked", departs))
		c := claim(t, s.Outbox(), departs, 1)
		missed, err := s.Redact(ctx, "bluebarrel", "aaaaaaaaaa", ottokarOut())
		if err != nil || missed != 1 {
			t.Errorf("while a letter is on its way: %d missed, %v; want 1", missed, err)
		}
		dead, err := s.Outbox().DeadLetters(ctx, "aaaaaaaaaa")
		if err != nil || len(dead) != 0 {
			t.Errorf("dead letters to them: %v, %v", dead, err)
		}
		must(t, s.Outbox().Sent(ctx, c[0]))
		if missed, err := s.Redact(ctx, "bluebarrel", "aaaaaaaaaa", ottokarOut()); err != nil || missed != 0 {
			t.Errorf("afterwards: %d missed, %v", missed, err)
		}
	})
}

// everything is every key with its value and whether it expires.
func everything(t *testing.T, srv *server) map[string]string {
	t.Helper()
	ctx, all := t.Context(), map[string]string{}
	for _, key := range allKeys(t, srv.client) {
		var v any
		switch kind := srv.client.Type(ctx, key).Val(); kind {
		case "string":
			v = srv.client.Get(ctx, key).Val()
		case "hash":
			v = srv.client.HGetAll(ctx, key).Val()
		case "list":
			v = srv.client.LRange(ctx, key, 0, -1).Val()
		case "zset":
			v = srv.client.ZRangeWithScores(ctx, key, 0, -1).Val()
		default:
			t.Fatalf("%s is a %s", key, kind)
		}
		all[key] = fmt.Sprintf("%v expires %v", v, srv.client.TTL(ctx, key).Val() > 0)
	}
	return all
}
