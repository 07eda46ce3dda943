package delivery_test

import (
	"flag"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/roster/rostertest"
)

var writeLayout = flag.Bool("write-layout", false,
	"write the layout of what is stored into testdata/stored/layout.golden")

const layoutGolden = "../../testdata/stored/layout.golden"

// dayNow is the moment of the stored data; far enough ahead that a real
// server's clock doesn't expire it.
var dayNow = time.Date(2099, 5, 16, 7, 0, 0, 0, time.UTC)

// layout are a store's keys with their types, and the fields of its trips: how
// things are stored, without what.
func layout(t *testing.T, c redis.UniversalClient) []string {
	t.Helper()
	ctx := t.Context()
	keys, err := c.Keys(ctx, "*").Result()
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(keys)
	var lines []string
	for _, key := range keys {
		lines = append(lines, key+" "+c.Type(ctx, key).Val())
		if strings.Contains(key, ":trip:") {
			for _, field := range slices.Sorted(maps.Keys(c.HGetAll(ctx, key).Val())) {
				lines = append(lines, key+" "+field)
			}
		}
	}
	return lines
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
}

// emptyStore is a store of its own whose clock stands at dayNow.
func emptyStore(t *testing.T) redis.UniversalClient {
	t.Helper()
	m := miniredis.RunT(t)
	m.SetTime(dayNow)
	c, err := rdb.Open("redis://" + m.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

func newKeeper(t *testing.T, c redis.UniversalClient) *keeper {
	k := &keeper{t: t, c: c, store: rdb.New(c), now: dayNow}
	clock := func() time.Time { return k.now }
	k.store.Now, k.store.Keep = clock, 31*24*time.Hour
	k.door = delivery.NewDoor(delivery.DoorConfig{Store: rostertest.Watch(t, k.store), Addresses: k.store.Addresses(),
		Pages:   k.store.Chats(),
		Invites: invites, Evening: "0 18 * * *", Quiet: "22:00-06:00", Now: clock, Step: conversation.Step})
	return k
}

func (k *keeper) says(from roster.Address, trip roster.TripID, text string) {
	k.t.Helper()
	k.n++
	source := "tg:" + string(rune('a'+k.n)) + from.ID
	in := delivery.Inbound{Kind: conversation.Text, Source: source, Ref: "ref:" + source, From: from, Text: text,
		At: k.now}
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
	in := delivery.Inbound{Kind: conversation.Button, Source: "tg:" + string(rune('a'+k.n)) + from.ID, From: from,
		Trip: trip, Do: do, At: k.now}
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
		claimed, err := box.Claim(ctx, "worker", k.now, time.Minute, 50, nil)
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
	trip := roster.Change(roster.NewTrip(id, "bluebarrel"))
	*trip.EditPlan() = roster.Plan{Name: "Two-tank " + string(id), Zone: "Atlantic/Azores",
		Departs: departs, Units: gas.Metres, Policy: gas.DefaultPolicy(gas.Metres), Analysers: []roster.Analyser{{Name: "A"}},
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Bottom: gas.M(34), Minutes: 22, Water: gas.Salt}}}
	for _, p := range []*roster.Person{
		{Name: "Inês", Leader: true, Card: gas.CardSeen, Language: "en"},
		{Name: "Tomasz", Card: gas.CardSeen, Language: "en",
			Cylinders: []*roster.Cylinder{{Label: "17", Asked: 32, Dive: 1, Size: "12 l", Owner: "shop"}}},
		{Name: "Marit", Card: gas.CardUnseen, Units: "ft", Team: "1", Cylinders: []*roster.Cylinder{{Asked: 31, Dive: 1}}},
		{Name: "Yusuf", Card: gas.CardNone, Cylinders: []*roster.Cylinder{{Asked: 21, Dive: 1}}},
	} {
		trip.AddPerson(p, "", k.now)
	}
	if _, err := k.door.Create(k.t.Context(), trip); err != nil {
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
	must(k.store.News().PutEndpoint(ctx, "bluebarrel",
		roster.Endpoint{ID: "e1", URL: "https://hooks.example/gas", Secret: []byte("sealed"), Created: k.now}))
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
	_, err = k.door.Handle(ctx, delivery.Inbound{Kind: conversation.Join, Source: "web:p4:join", From: page,
		Trip: saturday, Person: "p4", At: k.now})
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
	dead, err := k.store.Outbox().Claim(ctx, "worker", k.now.Add(2*time.Hour), time.Minute, 1, nil)
	must(err)
	for _, c := range dead {
		must(k.store.Outbox().Dead(ctx, c, "blocked", k.now))
	}
	k.presses(phoneOfInes, saturday, "board")
	must(k.store.Addresses().Prefer(ctx, phoneOfInes, saturday, "en", "m"))
	_, err = k.store.Addresses().Claim(ctx, phoneOfInes, "ref:claimed", saturday)
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
	_, err = k.store.Outbox().Claim(ctx, "worker", k.now, time.Minute, 1, nil) // by a process that dies with it
	must(err)
}

// longLog notes much.
func (k *keeper) longLog() {
	k.t.Helper()
	l, err := k.store.Load(k.t.Context(), saturday, "")
	if err != nil {
		k.t.Fatal(err)
	}
	d := roster.Change(l.Trip)
	for i := range 60 {
		d.Note(roster.Act{At: k.now, By: "p1", Verb: roster.VerbLimit, On: "p4",
			Detail: map[string]string{"now": strconv.Itoa(20 + i%10)}})
	}
	_, err = k.store.Commit(k.t.Context(), roster.Commit{Was: l.Trip, Trip: d.Done(), Acts: d.Acts,
		Token: roster.NewToken(), Expire: l.Trip.Departs.Add(30 * 24 * time.Hour)})
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
		return conversation.Change{Remove: []roster.PersonID{"p2", "p4", "p6"},
			Broadcast: "The boat leaves from the other pier."}, nil
	})
	if err != nil {
		k.t.Fatal(err)
	}
}

// The keys of a store and the fields of its trips are written down, so that
// nobody moves what is stored unawares.
func TestStoredLayout(t *testing.T) {
	c := emptyStore(t)
	newKeeper(t, c).day()
	got := layout(t, c)
	if len(got) < 20 {
		t.Errorf("only %d keys and fields are stored", len(got))
	}
	if *writeLayout {
		if err := os.WriteFile(layoutGolden, []byte(strings.Join(got, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(layoutGolden)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(strings.TrimSpace(string(want)), "\n"), got); d != "" {
		t.Errorf(`the layout of what is stored changed (-written down +now): what moves makes another form than %d,
see TestStoredShape; a field that is new does not. Run
  go test ./internal/delivery -run TestStoredLayout -write-layout
%s`, roster.SchemaVersion, d)
	}
}
