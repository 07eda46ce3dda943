package delivery_test

import (
	"context"
	"encoding/json"
	"flag"
	"os"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

var writeForm = flag.Bool("write-form", false,
	"write what a day leaves in the store, and how it reads, into testdata/stored/form1.*")

const (
	formStored = "../../testdata/stored/form1.json" // keys as the store had them
	formRead   = "../../testdata/stored/form1.golden"
)

// What form 1 left in a store reads as it did, for ever, and can be gone on with.
func TestForm1Loads(t *testing.T) {
	c := emptyStore(t)
	if *writeForm {
		newKeeper(t, c).day()
		write(t, formStored, dumped(t, c))
		write(t, formRead, readBack(t, c))
		c.FlushAll(t.Context())
	}
	restored(t, c)
	want, err := os.ReadFile(formRead)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(indented(t, readBack(t, c)))); d != "" {
		t.Errorf("form 1 is read otherwise than it was (-was +is):\n%s", d)
	}
	k := newKeeper(t, c)
	k.now = dayNow.Add(40 * time.Minute)
	k.presses(phoneOfInes, saturday, "board")
}

// entry is a key of a store as it is written down.
type entry struct {
	String string             `json:"string,omitempty"`
	Hash   map[string]string  `json:"hash,omitempty"`
	List   []string           `json:"list,omitempty"`
	Sorted map[string]float64 `json:"sorted,omitempty"`
}

func dumped(t *testing.T, c redis.UniversalClient) map[string]entry {
	t.Helper()
	ctx, all := t.Context(), map[string]entry{}
	for _, key := range c.Keys(ctx, "*").Val() {
		var e entry
		switch kind := c.Type(ctx, key).Val(); kind {
		case "string":
			e.String = c.Get(ctx, key).Val()
		case "hash":
			e.Hash = c.HGetAll(ctx, key).Val()
		case "list":
			e.List = c.LRange(ctx, key, 0, -1).Val()
		case "zset":
			e.Sorted = map[string]float64{}
			for _, z := range c.ZRangeWithScores(ctx, key, 0, -1).Val() {
				e.Sorted[z.Member.(string)] = z.Score
			}
		default:
			t.Fatalf("%s is a %s", key, kind)
		}
		all[key] = e
	}
	return all
}

func restored(t *testing.T, c redis.UniversalClient) {
	t.Helper()
	file, err := os.ReadFile(formStored)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]entry{}
	if err := json.Unmarshal(file, &all); err != nil {
		t.Fatal(err)
	}
	for key, e := range all {
		if err := e.put(t.Context(), c, key); err != nil {
			t.Fatalf("%s: %v", key, err)
		}
	}
}

func (e entry) put(ctx context.Context, c redis.UniversalClient, key string) error {
	switch {
	case e.Hash != nil:
		return c.HSet(ctx, key, e.Hash).Err()
	case e.List != nil:
		return c.RPush(ctx, key, e.List).Err()
	case e.Sorted != nil:
		for member, score := range e.Sorted {
			if err := c.ZAdd(ctx, key, redis.Z{Score: score, Member: member}).Err(); err != nil {
				return err
			}
		}
		return nil
	}
	return c.Set(ctx, key, e.String, 0).Err()
}

// tripRead is all that a program reads of a trip.
type tripRead struct {
	Trip     *roster.Trip
	Sessions map[roster.PersonID]json.RawMessage
	Reminded map[string]time.Time
	Signed   []roster.Board
	Log      []roster.Act
	Events   []json.RawMessage
	Dead     []roster.DeadLetter
}

func readBack(t *testing.T, c redis.UniversalClient) any {
	t.Helper()
	s, ctx := rdb.New(c), t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	read := map[roster.TripID]tripRead{}
	for _, id := range []roster.TripID{friday, saturday} {
		l, err := s.Load(ctx, id, "")
		must(err)
		trip := *l.Trip
		trip.Rounds = nil // packed; how it packs is not what is asked
		r := tripRead{Trip: &trip, Sessions: l.Sessions, Reminded: l.Trip.Reminded}
		for _, signed := range l.Trip.SignOffs {
			r.Signed = append(r.Signed, signed.Board.Board)
		}
		r.Log, err = s.Log(ctx, id)
		must(err)
		r.Events, err = s.Events(ctx, id)
		must(err)
		r.Dead, err = s.Outbox().DeadLetters(ctx, id)
		must(err)
		read[id] = r
	}
	route, err := s.Addresses().Route(ctx, phoneOfInes, "ref:claimed")
	must(err)
	return map[string]any{"trips": read, "route": route}
}

func indented(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return append(b, '\n')
}

func write(t *testing.T, file string, v any) {
	t.Helper()
	if err := os.WriteFile(file, indented(t, v), 0o644); err != nil {
		t.Fatal(err)
	}
}
