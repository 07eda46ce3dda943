package e2e

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	goredis "github.com/redis/go-redis/v9"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// holds are the keys that hold some of the words, in name or value.
func (r *redis) holds(words ...string) []string {
	r.t.Helper()
	c := goredis.NewClient(&goredis.Options{Addr: fmt.Sprintf("127.0.0.1:%d", r.port), DisableIdentity: true})
	defer c.Close()
	ctx := r.t.Context()
	keys, err := c.Keys(ctx, "*").Result()
	if err != nil {
		r.t.Fatal(err)
	}
	var found []string
	for _, key := range keys {
		var value []string
		switch c.Type(ctx, key).Val() {
		case "string":
			value = []string{c.Get(ctx, key).Val()}
		case "hash":
			for field, v := range c.HGetAll(ctx, key).Val() {
				value = append(value, field, v)
			}
		case "list":
			value = c.LRange(ctx, key, 0, -1).Val()
		case "zset":
			value = c.ZRange(ctx, key, 0, -1).Val()
		case "none":
			continue // gone meanwhile
		default:
			r.t.Fatalf("%s is of a type that the test does not read", key)
		}
		all := key
		for _, v := range value {
			all += " " + unpacked(r.t, v)
		}
		if slices.ContainsFunc(words, func(w string) bool { return strings.Contains(all, w) }) {
			found = append(found, key)
		}
	}
	return found
}

var packed = regexp.MustCompile(`"board":"([A-Za-z0-9+/=]*)"`)

// unpacked is a stored value with the boards under signatures that are packed in it.
func unpacked(t testing.TB, value string) string {
	t.Helper()
	for _, m := range packed.FindAllStringSubmatch(value, -1) {
		raw, err := base64.StdEncoding.DecodeString(m[1])
		if err != nil {
			t.Fatal(err)
		}
		plain, err := io.ReadAll(flate.NewReader(bytes.NewReader(raw)))
		if err != nil {
			t.Fatal(err)
		}
		value += string(plain)
	}
	return value
}

// bookedOnce sends a trip in with an Idempotency-Key: the answer is kept for a day.
func (b *bot) bookedOnce(body map[string]any) trip {
	b.t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		b.t.Fatal(err)
	}
	send := func() map[string]any {
		req, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+"/v1/trips", bytes.NewReader(raw))
		if err != nil {
			b.t.Fatal(err)
		}
		for name, v := range map[string]string{"Authorization": "Bearer " + shopKey, "Content-Type": "application/json",
			"Idempotency-Key": "booking-4711"} {
			req.Header.Set(name, v)
		}
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			b.t.Fatal(err)
		}
		defer resp.Body.Close()
		var answer map[string]any
		if err := json.NewDecoder(resp.Body).Decode(&answer); err != nil || resp.StatusCode != http.StatusCreated {
			b.t.Fatalf("booking: %d, %v, %v", resp.StatusCode, answer, err)
		}
		return answer
	}
	return tripOf(send())
}

// Somebody who asks to be forgotten is gone from the whole store: name and
// account, in the trip, in what waits, in every index, in the pages and the
// typed words of a leader, in dialogues, in the log, in what the shop's systems
// have still to hear and in answers kept for the shop.
func TestForgottenEverywhere(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t)
	port := testport.Free(t)
	c := newClock(t)
	b := startBot(t, r, api, append(webhook("GASMUSTER_PUBLIC_URL="+localURL(port), c.setting()), listenOn(port),
		"GASMUSTER_WEBHOOK_ALLOW_PRIVATE=true")...)
	// A shop's system that is never there: its news wait.
	b.call(http.MethodPut, "/v1/webhook", map[string]any{"url": localURL(testport.Free(t)) + "/hook"}, http.StatusOK)
	body := charter()
	body["divers"].([]any)[0].(map[string]any)["name"] = "Ottokar Unverwechselbar"
	body["leaders"] = append(body["leaders"].([]any), map[string]any{"name": "Aoife", "language": "en"})
	tr := b.bookedOnce(body)
	ines := api.User(1001, "Inês", "en")
	ines.Start(tr.codes["Inês"])
	ines.Await("Hello")
	ottokar := api.User(884422116, "Ottokar", "en")
	ottokar.Start(tr.codes["Ottokar Unverwechselbar"])
	ottokar.Await("Hello")
	aoife := tr.pages["Aoife"]
	enter(t, aoife)
	for _, said := range []string{"/for ottokar 31.0", "/limit Unverwechselbar 25 m because Ottokar asked", "/board",
		"/out Marit waits for Ottokar", "/for Ottokar"} {
		if status, page := post(t, aoife, said); status != http.StatusOK || strings.Contains(page, "NOT RECORDED") {
			t.Fatalf("the page answered %d to %q", status, said)
		}
	}
	ottokar.Send("34.4")
	ottokar.Await("34.4 %")
	ottokar.Block() // his letters are dead, the shop's systems are told by name
	patiently(t, "the board says that he is unreachable", func() bool {
		got, _ := b.board(tr)["unreachable"].([]any)
		return len(got) == 1
	})
	c.step(time.Minute) // she had news less than a minute ago
	ines.Await("Ottokar Unverwechselbar can't be reached")
	ottokar.Unblock()
	for where, word := range map[string]string{":trip:": "Ottokar", ":chat:": "Ottokar", ":log:": "Ottokar",
		"idem:": "Ottokar", ":record": "884422116"} {
		if !slices.ContainsFunc(r.holds(word), func(key string) bool { return strings.Contains(key, where) }) {
			t.Errorf("no key with %q holds %s before: the test looks for nothing there; %v", where, word, r.holds(word))
		}
	}
	ines.Send("/out Ottokar ear trouble")
	ines.Await("sits out")
	ottokar.Send("/forget")
	ottokar.Await("Erase everything").Press("Yes, erase everything")
	words := []string{"Ottokar", "ottokar", "Unverwechselbar", "884422116"}
	until(t, "name and account are gone from every key", func() bool {
		left := r.holds(words...)
		if len(left) > 0 {
			t.Logf("still in %v", left) // the last line says what stays
		}
		return len(left) == 0
	})
	if got := len(b.board(tr)["divers"].([]any)); got < 2 {
		t.Errorf("%d people on the board, want the anonymous line kept", got)
	}
	if status, page := show(t, aoife); status != http.StatusOK || !strings.Contains(page, "(erased)") ||
		!strings.Contains(page, "/board") ||
		slices.ContainsFunc(words, func(w string) bool { return strings.Contains(page, w) }) {
		t.Errorf("the leader's page: %d\n%s", status, page)
	}
	b.bookedOnce(body) // the kept answer is still one
}

// enter presses the one button that a page has until its person joined.
func enter(t *testing.T, page string) {
	t.Helper()
	resp, err := http.PostForm(page+"/join", nil)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		t.Fatalf("joining answers %d", resp.StatusCode)
	}
}

// show reads a chat page.
func show(t *testing.T, page string) (int, string) {
	t.Helper()
	resp, err := http.Get(page + "?all=1")
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
