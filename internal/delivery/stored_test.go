package delivery_test

import (
	"encoding/base64"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// writeStored writes what this program stores into a file: a new form gets a
// directory of its own, and those of older forms are never written again.
var writeStored = flag.String("write-stored", "", "write what the program stores into this file of testdata/upgrade")

// upgradeNow is the moment of the stored data; far enough ahead that a real
// server's clock doesn't expire it.
var upgradeNow = time.Date(2099, 5, 16, 7, 0, 0, 0, time.UTC)

// storedKey is one key of a store, readable.
type storedKey struct {
	Key   string `json:"key"`
	Type  string `json:"type"`
	TTL   int64  `json:"ttl_ms,omitempty"`
	Value any    `json:"value"` // string; field -> value; list; or member -> score
}

// dumpStored reads every key.
func dumpStored(t *testing.T, c redis.UniversalClient) []storedKey {
	t.Helper()
	ctx := t.Context()
	keys, err := c.Keys(ctx, "*").Result()
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(keys)
	var all []storedKey
	for _, key := range keys {
		k := storedKey{Key: key, Type: c.Type(ctx, key).Val(), TTL: max(0, c.PTTL(ctx, key).Val().Milliseconds())}
		switch k.Type {
		case "string":
			k.Value = readable(c.Get(ctx, key).Val())
		case "hash":
			fields := map[string]string{}
			for field, v := range c.HGetAll(ctx, key).Val() {
				fields[field] = readable(v)
			}
			k.Value = fields
		case "list":
			lines := []string{}
			for _, line := range c.LRange(ctx, key, 0, -1).Val() {
				lines = append(lines, readable(line))
			}
			k.Value = lines
		case "zset":
			scores := map[string]float64{}
			for _, z := range c.ZRangeWithScores(ctx, key, 0, -1).Val() {
				scores[z.Member.(string)] = z.Score
			}
			k.Value = scores
		default:
			t.Fatalf("%s is a %s", key, k.Type)
		}
		all = append(all, k)
	}
	return all
}

// readable is a stored value as text: itself, unless it is packed.
func readable(v string) string {
	if utf8.ValidString(v) {
		return v
	}
	return inBase64 + base64.StdEncoding.EncodeToString([]byte(v))
}

// stored is the value that readable was called with.
func stored(t *testing.T, v string) string {
	t.Helper()
	text, ok := strings.CutPrefix(v, inBase64)
	if !ok {
		return v
	}
	raw, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

const inBase64 = "base64:"

// restoreStored writes keys into a store, with the time they have left.
func restoreStored(t *testing.T, c redis.UniversalClient, all []storedKey) {
	t.Helper()
	ctx := t.Context()
	for _, k := range all {
		var err error
		switch v := k.Value.(type) {
		case string:
			err = c.Set(ctx, k.Key, stored(t, v), 0).Err()
		case []any:
			for _, line := range v {
				if err == nil {
					err = c.RPush(ctx, k.Key, stored(t, line.(string))).Err()
				}
			}
		case map[string]any:
			for name, one := range v {
				if score, ok := one.(float64); ok && k.Type == "zset" {
					err = c.ZAdd(ctx, k.Key, redis.Z{Score: score, Member: name}).Err()
				} else {
					err = c.HSet(ctx, k.Key, name, stored(t, one.(string))).Err()
				}
				if err != nil {
					break
				}
			}
		}
		if err == nil && k.TTL > 0 {
			err = c.PExpire(ctx, k.Key, time.Duration(k.TTL)*time.Millisecond).Err()
		}
		if err != nil {
			t.Fatalf("%s: %v", k.Key, err)
		}
	}
}

// The people of the stored trips: Saturday's, at the dock, and Friday's, signed off.
var (
	saturday roster.TripID = "saturday22"
	friday   roster.TripID = "fridaydive"

	phoneOfInes   = chat("100")
	phoneOfTomasz = chat("200")
)

// keeper is a door on a real store at a fixed moment.
type keeper struct {
	t     *testing.T
	c     redis.UniversalClient
	store *rdb.Store
	door  *delivery.Door
	now   time.Time
	n     int
	found []storedKey // what an older program had stored
}

func newKeeper(t *testing.T, c redis.UniversalClient) *keeper {
	k := &keeper{t: t, c: c, store: rdb.New(c), now: upgradeNow}
	clock := func() time.Time { return k.now }
	k.store.Now, k.store.Keep = clock, 31*24*time.Hour
	k.door = delivery.NewDoor(delivery.DoorConfig{Store: k.store, People: k.store.People(), Pages: k.store.Chats(),
		Invites: invites, Evening: "0 18 * * *", Quiet: "22:00-06:00", Now: clock, Step: conversation.Step})
	return k
}

func (k *keeper) says(from roster.Address, trip roster.TripID, text string) {
	k.t.Helper()
	k.n++
	source := "tg:" + string(rune('a'+k.n)) + from.ID
	in := delivery.Inbound{Kind: conversation.Text, Source: source, Ref: "ref:" + source, From: from, Text: text, At: k.now}
	if from.Channel == delivery.Web {
		in.Trip, in.Person = trip, roster.PersonID(from.ID[len(trip)+1:])
	}
	if _, err := k.door.Handle(k.t.Context(), in); err != nil {
		k.t.Fatalf("%q: %v", text, err)
	}
	k.now = k.now.Add(time.Minute)
}

func (k *keeper) presses(from roster.Address, trip roster.TripID, do string) {
	k.t.Helper()
	k.n++
	in := delivery.Inbound{Kind: conversation.Button, Source: "tg:" + string(rune('a'+k.n)) + from.ID, From: from, Trip: trip, Do: do, At: k.now}
	if _, err := k.door.Handle(k.t.Context(), in); err != nil {
		k.t.Fatalf("%q: %v", do, err)
	}
}

// post sends what waits: pages get theirs, of phones' letters as many as given.
func (k *keeper) post(phones int) (sent []roster.Envelope) {
	k.t.Helper()
	box, ctx := k.store.Outbox(), k.t.Context()
	pages := delivery.WebSender{Chats: k.store.Chats(), Now: func() time.Time { return k.now }}
	for {
		claimed, err := box.Claim(ctx, "worker", k.now, time.Minute, 50)
		if err != nil {
			k.t.Fatal(err)
		}
		stopped := true
		for _, c := range claimed {
			switch {
			case c.Address.Channel == delivery.Web:
				pages.Send(ctx, c.Envelope)
			case phones == 0:
				if err := box.Later(ctx, c, k.now.Add(time.Hour), false); err != nil {
					k.t.Fatal(err)
				}
				continue
			default:
				phones--
			}
			stopped = false
			sent = append(sent, c.Envelope)
			if err := box.Sent(ctx, c); err != nil {
				k.t.Fatal(err)
			}
		}
		if stopped {
			return sent
		}
	}
}

func (k *keeper) book(id roster.TripID, departs time.Time) {
	k.t.Helper()
	trip := &roster.Trip{ID: id, Shop: "bluebarrel", Schema: roster.SchemaVersion, Name: "Two-tank " + string(id), Zone: "Atlantic/Azores",
		Departs: departs, Units: gas.Metres, Policy: gas.DefaultPolicy(), Analysers: []roster.Analyser{{Name: "A"}},
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(34), Minutes: 22, Water: gas.Salt}}}
	for _, p := range []*roster.Person{
		{Name: "Inês", Leader: true, Card: gas.CardSeen, Language: "en"},
		{Name: "Tomasz", Card: gas.CardSeen, Language: "en", Cylinders: []*roster.Cylinder{{Label: "17", Asked: 32, Dive: 1, Size: "12 l", Owner: "shop"}}},
		{Name: "Marit", Card: gas.CardUnseen, Units: "ft", Team: "1", Cylinders: []*roster.Cylinder{{Asked: 31, Dive: 1}}},
		{Name: "Yusuf", Card: gas.CardNone, Cylinders: []*roster.Cylinder{{Asked: 21, Dive: 1}}},
	} {
		trip.AddPerson(p, "", k.now)
	}
	if err := k.door.Create(k.t.Context(), trip); err != nil {
		k.t.Fatal(err)
	}
}

// day makes the stored data: what a morning leaves behind.
func (k *keeper) day() {
	ctx, must := k.t.Context(), func(err error) {
		k.t.Helper()
		if err != nil {
			k.t.Fatal(err)
		}
	}
	must(k.store.Shops().PutShop(ctx, roster.Shop{ID: "bluebarrel", Name: "Blue Barrel", KeyHash: "00ff", Created: k.now}))
	must(k.store.News().PutEndpoint(ctx, "bluebarrel", roster.Endpoint{ID: "e1", URL: "https://hooks.example/gas", Secret: []byte("sealed"), Created: k.now}))
	_, _, err := k.store.Shops().Idempotent(ctx, "bluebarrel", "booking-1", "hash")
	must(err)
	must(k.store.Shops().Answer(ctx, "bluebarrel", "booking-1", "hash", []byte(`{"status":201,"header":{},"body":"{}"}`)))

	k.book(friday, k.now.Add(-20*time.Hour))
	k.book(saturday, k.now.Add(90*time.Minute))
	for _, trip := range []roster.TripID{friday, saturday} {
		k.says(phoneOfInes, trip, "/start "+invites.Code(trip, "p1", 1))
	}
	k.says(phoneOfTomasz, saturday, "/start "+invites.Code(saturday, "p2", 1))
	page := delivery.WebAddress(saturday, "p4")
	_, err = k.door.Handle(ctx, delivery.Inbound{Kind: conversation.Join, Source: "web:p4:join", From: page, Trip: saturday, Person: "p4", At: k.now})
	must(err)
	k.post(50)
	k.says(phoneOfTomasz, saturday, "no")
	k.says(phoneOfTomasz, saturday, "17: 33.4 on A, air 20.9")
	k.says(phoneOfTomasz, saturday, "no, 32.4")
	k.says(page, saturday, "yes")
	must(k.store.Chats().Append(ctx, saturday, "p4", roster.Entry{ID: "web:p4:x", At: k.now, Own: true, Text: "31"}))
	k.says(page, saturday, "31") // a whole number equal to what was asked: it is asked about
	k.post(3)
	k.presses(phoneOfInes, saturday, "board") // waits in the outbox
	dead, err := k.store.Outbox().Claim(ctx, "worker", k.now.Add(2*time.Hour), time.Minute, 1)
	must(err)
	for _, c := range dead {
		must(k.store.Outbox().Dead(ctx, c, "blocked", k.now))
	}
	k.presses(phoneOfInes, saturday, "board")
	must(k.store.People().Prefer(ctx, phoneOfInes, saturday, "en", "m"))
	_, err = k.store.People().Claim(ctx, phoneOfInes, "ref:claimed", saturday)
	must(err)
	k.longLog()
	k.says(phoneOfInes, saturday, "/out Yusuf feels cold")
	k.presses(phoneOfInes, saturday, "lcard p4")
	k.signFriday()
	told, err := k.store.News().TakeNews(ctx, "teller", k.now, time.Minute, 1)
	must(err)
	for _, n := range told {
		must(k.store.News().EndNews(ctx, n, roster.NewsTold, time.Time{}))
	}
	_, err = k.store.Outbox().Claim(ctx, "worker", k.now, time.Minute, 1) // by a process that dies with it
	must(err)
}

// longLog notes so much that older lines of the log are packed.
func (k *keeper) longLog() {
	k.t.Helper()
	l, err := k.store.Load(k.t.Context(), saturday, "")
	if err != nil {
		k.t.Fatal(err)
	}
	for i := range 60 {
		l.Trip.Acts = append(l.Trip.Acts, roster.Act{At: k.now, By: "p1", Verb: roster.VerbLimit, On: "p4", Detail: map[string]string{"now": strconv.Itoa(20 + i%10)}})
	}
	err = k.store.Commit(k.t.Context(), roster.Commit{Trip: l.Trip, Token: roster.NewToken(), Expire: l.Trip.Departs.Add(30 * 24 * time.Hour)})
	if err == nil {
		_, err = k.store.Due(k.t.Context(), k.now, 1)
	}
	if err != nil {
		k.t.Fatal(err)
	}
}

// signFriday signs Friday's dive off, with everybody but the leader sat out.
func (k *keeper) signFriday() {
	k.t.Helper()
	_, err := k.door.Apply(k.t.Context(), friday, "sign", func(t *roster.Trip) (conversation.Change, error) {
		return conversation.Change{Remove: []roster.PersonID{"p2", "p4", "p6"}}, nil
	})
	if err != nil {
		k.t.Fatal(err)
	}
}

// layout are the keys and what of their fields is no value: how things are
// stored, without what.
func layout(all []storedKey) []string {
	var lines []string
	for _, k := range all {
		lines = append(lines, k.Key+" "+k.Type)
		if !strings.Contains(k.Key, ":trip:") {
			continue
		}
		raw, _ := json.Marshal(k.Value)
		var fields map[string]string
		_ = json.Unmarshal(raw, &fields)
		for _, f := range slices.Sorted(maps.Keys(fields)) {
			lines = append(lines, k.Key+" "+f)
		}
	}
	return lines
}

func TestWriteStored(t *testing.T) {
	m := miniredis.RunT(t)
	m.SetTime(upgradeNow)
	c, err := rdb.Open("redis://" + m.Addr())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	k := newKeeper(t, c)
	if err := k.store.Upgrade(t.Context()); err != nil {
		t.Fatal(err)
	}
	k.day()
	all := dumpStored(t, c)
	if len(all) < 20 {
		t.Errorf("only %d keys are stored", len(all))
	}
	if *writeStored == "" {
		newest := storedForms(t)[fmt.Sprintf("v%d.json", roster.SchemaVersion)]
		if d := cmp.Diff(layout(newest), layout(all)); d != "" {
			t.Errorf("the stored form changed (-stored data of form %[1]d +now): raise roster.SchemaVersion, unless form %[1]d was never let out, and run\n"+
				"  go test ./internal/delivery -run TestWriteStored -write-stored v%[1]d.json\n%[2]s", roster.SchemaVersion, d)
		}
		return
	}
	raw, err := json.MarshalIndent(all, "", " ")
	if err == nil {
		err = os.WriteFile("../../testdata/upgrade/"+*writeStored, append(raw, '\n'), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}
