package e2e

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	goredis "github.com/redis/go-redis/v9"

	"gasmuster/internal/telegram/standin"
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
		var value any
		switch c.Type(ctx, key).Val() {
		case "string":
			value = c.Get(ctx, key).Val()
		case "hash":
			value = c.HGetAll(ctx, key).Val()
		case "list":
			value = c.LRange(ctx, key, 0, -1).Val()
		case "zset":
			value = c.ZRange(ctx, key, 0, -1).Val()
		case "none":
			continue // gone meanwhile
		default:
			r.t.Fatalf("%s is of a type that the test does not read", key)
		}
		all := key + fmt.Sprint(value)
		if slices.ContainsFunc(words, func(w string) bool { return strings.Contains(all, w) }) {
			found = append(found, key)
		}
	}
	return found
}

// Somebody who asks to be forgotten is gone from the whole store: name and
// account, in the trip, in what waits, in every index.
func TestForgottenEverywhere(t *testing.T) {
	r := startRedis(t)
	api := standin.New(t, standin.Options{Patience: 20 * time.Second})
	b := startBot(t, r, api, webhook()...)
	body := charter()
	body["divers"].([]any)[0].(map[string]any)["name"] = "Ottokar Unverwechselbar"
	tr := b.create(body)
	ines := api.User(1001, "Inês", "en")
	ines.Start(tr.codes["Inês"])
	ines.Await("Hello")
	ottokar := api.User(884422116, "Ottokar", "en")
	ottokar.Start(tr.codes["Ottokar Unverwechselbar"])
	ottokar.Await("Hello")
	ottokar.Send("34.4")
	ottokar.Await("34.4 %")
	if len(r.holds("Ottokar")) == 0 || len(r.holds("884422116")) == 0 {
		t.Fatal("the store does not hold what the test looks for")
	}
	ines.Send("/out Ottokar ear trouble")
	ines.Await("sits out")
	ottokar.Send("/forget")
	ottokar.Await("Erase everything").Press("Yes, erase everything")
	until(t, "name and account are gone from every key", func() bool {
		left := r.holds("Ottokar", "884422116")
		if len(left) > 0 {
			t.Logf("still in %v", left) // the last line says what stays
		}
		return len(left) == 0
	})
	if got := len(b.board(tr)["divers"].([]any)); got < 2 {
		t.Errorf("%d people on the board, want the anonymous line kept", got)
	}
}
