package delivery_test

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// storedForms are the stored data of every form, as the programs of their time
// wrote them.
func storedForms(t *testing.T) map[string][]storedKey {
	t.Helper()
	all := map[string][]storedKey{}
	for v := 1; v <= roster.SchemaVersion; v++ {
		name := fmt.Sprintf("v%d.json", v)
		raw, err := os.ReadFile("../../testdata/upgrade/" + name)
		if err != nil {
			t.Fatalf("form %d has no stored data; write it with: go test ./internal/delivery -run TestWriteStored -write-stored %s\n%v", v, name, err)
		}
		var keys []storedKey
		if err := json.Unmarshal(raw, &keys); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all[name] = keys
	}
	return all
}

// eachStored runs a test on the stored data of every form, on an embedded and
// on a real server.
func eachStored(t *testing.T, test func(t *testing.T, k *keeper)) {
	for name, keys := range storedForms(t) {
		for _, server := range []string{"embedded", "server"} {
			t.Run(name+"/"+server, func(t *testing.T) {
				addr := realServer
				if server == "embedded" {
					addr = func(t *testing.T) string { return miniredis.RunT(t).Addr() }
				}
				c, err := rdb.Open("redis://" + addr(t))
				if err != nil {
					t.Fatal(err)
				}
				t.Cleanup(func() { c.Close() })
				restoreStored(t, c, keys)
				k := newKeeper(t, c)
				k.now, k.n, k.found = upgradeNow.Add(30*time.Minute), 100, keys
				for range 2 { // the second time nothing is left to do
					if err := k.store.Upgrade(t.Context()); err != nil {
						t.Fatal(err)
					}
				}
				test(t, k)
			})
		}
	}
}

// realServer is a redis-server of this test.
func realServer(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no redis-server in PATH, and CI needs one")
		}
		t.Skip("no redis-server in PATH")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := fmt.Sprint(l.Addr().(*net.TCPAddr).Port)
	l.Close()
	cmd := exec.Command(path, "--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir(), "--save", "", "--appendonly", "no")
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	for log := bufio.NewScanner(out); log.Scan(); {
		if strings.Contains(log.Text(), "Ready to accept connections") {
			go func() {
				for log.Scan() {
				}
			}()
			return "127.0.0.1:" + port
		}
	}
	t.Fatal("redis-server did not become ready")
	return ""
}

func (k *keeper) trip(id roster.TripID) *roster.Trip {
	k.t.Helper()
	l, err := k.store.Load(k.t.Context(), id, "")
	if err != nil {
		k.t.Fatal(err)
	}
	return l.Trip
}

func ownOf(t *roster.Trip, id roster.PersonID, now time.Time) gas.Status {
	b := t.Board(now)
	return b.Of(id).Own
}

// What an older program stored is read, means the same, and goes on: the day is
// continued where it was left.
func TestUpgrade(t *testing.T) {
	eachStored(t, func(t *testing.T, k *keeper) {
		before := k.trip(saturday)
		tomasz, marit, yusuf := before.Person("p2"), before.Person("p4"), before.Person("p6")
		if c := tomasz.Cylinders[0]; c.Current() == nil || c.Current().Percent != 32.4 || len(c.Readings) != 2 || c.Replaced(c.Current()) != 33.4 {
			t.Errorf("Tomasz's cylinder is %+v", c)
		}
		if marit.Card != gas.CardSeen || marit.Units != "ft" || yusuf.Out == nil || yusuf.Out.Reason != "feels cold" {
			t.Errorf("Marit is %+v, Yusuf sits out %+v", marit, yusuf.Out)
		}
		// Corrected by more than half a point in his favour: analyse again.
		if got := ownOf(before, "p2", k.now); got != gas.NoReading {
			t.Errorf("Tomasz is %v, want %v", got, gas.NoReading)
		}

		page := delivery.WebAddress(saturday, "p4")
		k.says(page, saturday, "yes") // answers what was asked before
		k.says(phoneOfTomasz, saturday, "17 again 32.2")
		after := k.trip(saturday)
		if r := after.Person("p4").Cylinders[0].Current(); r == nil || r.Percent != 31 || r.Shown == gas.ShownUnasked {
			t.Errorf("Marit's reading after her answer is %+v", r)
		}
		if r := after.Person("p2").Cylinders[0].Current(); r == nil || r.Percent != 32.2 || len(after.Person("p2").Cylinders[0].Readings) != 3 {
			t.Errorf("Tomasz's reading is %+v", r)
		}
		// 32.2 % at 30 m above a bottom of 34 m: 1.4/0.322 = 4.35 atm, MOD 33 m.
		if got := ownOf(after, "p2", k.now); got != gas.GoWithLimits {
			t.Errorf("Tomasz is %v after another analysis, want %v", got, gas.GoWithLimits)
		}
		if after.Schema != roster.SchemaVersion || after.Version != before.Version+2 {
			t.Errorf("form %d, version %d after two events from version %d", after.Schema, after.Version, before.Version)
		}
		for _, source := range []string{"create:saturday22", "tg:c100"} {
			if l, err := k.store.Load(t.Context(), saturday, source); err != nil || !l.Seen {
				t.Errorf("event %q was handled before: seen %v, %v", source, l.Seen, err)
			}
		}
		k.now = k.now.Add(3 * time.Hour) // what was put off is due
		sent := k.post(100)
		checkLetters(t, sent)
		checkWaiting(t, k.found, sent)
		checkBeside(t, k, page)
	})
}

// checkLetters wants old and new letters sent, readable.
func checkLetters(t *testing.T, sent []roster.Envelope) {
	t.Helper()
	to := map[roster.Address]int{}
	for _, e := range sent {
		to[e.Address]++
		var m message.Message
		if err := json.Unmarshal(e.Payload, &m); err != nil {
			t.Errorf("%s: %v", e.ID, err)
		}
		if text := message.New().Text(m, message.Reader{Language: e.Language, Units: e.Units}, message.Plain); strings.TrimSpace(text) == "" || strings.ContainsAny(text, "⟦⟧") {
			t.Errorf("%s reads %q", e.ID, text)
		}
	}
	if to[phoneOfTomasz] < 2 || to[phoneOfInes] < 3 {
		t.Errorf("letters sent: %v", to)
	}
}

// checkWaiting wants everything that waited sent, and nothing twice.
func checkWaiting(t *testing.T, found []storedKey, sent []roster.Envelope) {
	t.Helper()
	times := map[string]int{}
	for _, e := range sent {
		if times[e.ID]++; times[e.ID] == 2 {
			t.Errorf("%s was sent twice", e.ID)
		}
	}
	waited := 0
	for _, k := range found {
		if !strings.Contains(k.Key, ":body:") && !strings.Contains(k.Key, ":out:") {
			continue
		}
		for field, v := range k.Value.(map[string]any) {
			_, letter, ok := strings.Cut(v.(string), "{")
			if !ok {
				continue
			}
			var e roster.Envelope
			if err := json.Unmarshal([]byte("{"+letter), &e); err != nil {
				t.Fatalf("%s of %s: %v", field, k.Key, err)
			}
			if waited++; times[e.ID] != 1 {
				t.Errorf("%s waited and was sent %d times", e.ID, times[e.ID])
			}
		}
	}
	if waited == 0 {
		t.Error("nothing waited")
	}
}

// toldBefore is how many of Saturday's events had been told.
func toldBefore(found []storedKey) int {
	for _, k := range found {
		if strings.HasSuffix(k.Key, ":told:"+string(saturday)) {
			n, _ := strconv.Atoi(fmt.Sprint(k.Value.(map[string]any)["sent"]))
			return n
		}
	}
	return 0
}

// checkBeside looks at what is stored beside the trips.
func checkBeside(t *testing.T, k *keeper, page roster.Address) {
	t.Helper()
	ctx := t.Context()
	entries, err := k.store.Chats().Read(ctx, saturday, "p4", "")
	if err != nil || len(entries) < 4 || !slices.ContainsFunc(entries, func(e roster.Entry) bool { return e.Own && e.Text == "31" }) {
		t.Errorf("%s has %d entries, %v", page.ID, len(entries), err)
	}
	if shop, err := k.store.Shops().ShopByKey(ctx, "00ff"); err != nil || shop.Name != "Blue Barrel" {
		t.Errorf("shop %+v, %v", shop, err)
	}
	if answer, same, err := k.store.Shops().Idempotent(ctx, "bluebarrel", "booking-1", "hash"); err != nil || !same || !strings.Contains(string(answer), "201") {
		t.Errorf("kept answer %s, %v, %v", answer, same, err)
	}
	if e, err := k.store.News().Endpoint(ctx, "bluebarrel"); err != nil || e.URL != "https://hooks.example/gas" || string(e.Secret) != "sealed" {
		t.Errorf("endpoint %+v, %v", e, err)
	}
	news, err := k.store.News().TakeNews(ctx, "teller", k.now, time.Minute, 10)
	if err != nil || len(news) != 1 || news[0].Trip != saturday || news[0].Number != toldBefore(k.found)+1 || !strings.Contains(string(news[0].Event), "type") {
		t.Errorf("news %+v, %v", news, err)
	}
	if dead, err := k.store.Outbox().DeadLetters(ctx, saturday); err != nil || len(dead) != 1 || dead[0].Reason != "blocked" {
		t.Errorf("dead letters %+v, %v", dead, err)
	}
	if r, err := k.store.People().Route(ctx, phoneOfInes, "ref:claimed"); err != nil || r.Current != saturday || len(r.Trips) != 2 {
		t.Errorf("the leader's record: %+v, %v", r, err)
	}
	acts, err := k.store.Log(ctx, saturday)
	verbs := map[string]bool{}
	for _, a := range acts {
		verbs[a.Verb] = true
	}
	if err != nil || acts[0].Verb != roster.VerbAdd || !verbs[roster.VerbOut] || !verbs[roster.VerbCorrect] || !verbs[roster.VerbCard] {
		t.Errorf("the log has %v, %v", slices.Sorted(maps.Keys(verbs)), err)
	}
	if list, err := k.store.List(ctx, "bluebarrel", time.Time{}, time.Time{}); err != nil || !slices.Equal(list, []roster.TripID{friday, saturday}) {
		t.Errorf("the shop's trips: %v, %v", list, err)
	}
	for _, p := range k.trip(friday).People {
		if !p.Leader && p.Left.IsZero() {
			t.Errorf("%s is still on Friday's trip", p.ID)
		}
	}
}

// head changes the JSON of a trip's head as it is stored: all its parts at once.
// A new field goes to the first.
func (k *keeper) head(change func(map[string]any)) {
	k.t.Helper()
	keys, err := k.c.Keys(k.t.Context(), "gm:*:trip:"+string(saturday)).Result()
	if err != nil || len(keys) != 1 {
		k.t.Fatalf("%v, %v", keys, err)
	}
	fields, head, part := k.c.HGetAll(k.t.Context(), keys[0]).Val(), map[string]any{}, map[string]string{}
	for _, name := range roster.HeadParts {
		document, err := roster.Unpack([]byte(fields[name]))
		if err == nil {
			err = json.Unmarshal(document, &head)
		}
		if err != nil {
			k.t.Fatalf("%s: %v", name, err)
		}
		for field := range head {
			if part[field] == "" {
				part[field] = name
			}
		}
	}
	change(head)
	for _, name := range roster.HeadParts {
		of := map[string]any{}
		for field, v := range head {
			if part[field] == name || part[field] == "" && name == roster.HeadParts[0] {
				of[field] = v
			}
		}
		raw, err := json.Marshal(of)
		if err == nil {
			err = k.c.HSet(k.t.Context(), keys[0], name, raw).Err()
		}
		if err != nil {
			k.t.Fatal(err)
		}
	}
}

// A form that a newer program wrote is refused, saying which, and nothing of it
// is written over.
func TestNewerFormIsRefused(t *testing.T) {
	eachStored(t, func(t *testing.T, k *keeper) {
		k.head(func(head map[string]any) { head["schema"], head["unheard_of"] = roster.SchemaVersion+1, true })
		before := dumpStored(t, k.c)
		_, err := k.store.Load(t.Context(), saturday, "")
		want := fmt.Sprintf("stored form %d is newer than this program's %d", roster.SchemaVersion+1, roster.SchemaVersion)
		if err == nil || errors.Is(err, roster.ErrNotFound) || !strings.Contains(err.Error(), want) {
			t.Errorf("load says %v, want %q", err, want)
		}
		for _, in := range []delivery.Inbound{
			{Kind: conversation.Text, Source: "tg:x", Ref: "x", From: phoneOfTomasz, Text: "17 again 30.1", At: k.now},
			{Kind: conversation.Button, Source: "tg:y", From: phoneOfTomasz, Trip: saturday, Do: "forget yes", At: k.now},
			{Kind: conversation.Text, Source: "web:p4:z", From: delivery.WebAddress(saturday, "p4"), Trip: saturday, Person: "p4", Text: "yes", At: k.now},
		} {
			if reply, err := k.door.Handle(t.Context(), in); err == nil {
				t.Errorf("%q was acknowledged: %+v", in.Text+in.Do, reply)
			}
		}
		if err := k.door.Wake(t.Context(), saturday); err == nil {
			t.Error("its reminders went on")
		}
		if d := cmp.Diff(withoutTTL(before), withoutTTL(dumpStored(t, k.c))); d != "" {
			t.Errorf("something was written (-before +after):\n%s", d)
		}
	})
}

func withoutTTL(all []storedKey) []storedKey {
	for i := range all {
		all[i].TTL = 0
	}
	return all
}

// A field that an older program did not know is its zero value, and no missing
// field makes anybody a go who was none.
func TestMissingFieldsAreZero(t *testing.T) {
	needed := []string{"id", "schema", "people", "order", "dives", "policy", "departs_at", "time_zone", "units", "version"}
	eachStored(t, func(t *testing.T, k *keeper) {
		was := k.trip(saturday).Board(k.now)
		var fields []string
		k.head(func(head map[string]any) { fields = slices.Sorted(maps.Keys(head)) })
		for _, f := range fields {
			if slices.Contains(needed, f) {
				continue
			}
			var value any
			k.head(func(head map[string]any) { value = head[f]; delete(head, f) })
			is := k.trip(saturday).Board(k.now)
			for i := range is.People {
				if a, b := was.People[i], is.People[i]; b.Own == gas.Go && a.Own != gas.Go {
					t.Errorf("without %q %s is %v, was %v", f, b.Person, b.Own, a.Own)
				}
			}
			k.head(func(head map[string]any) { head[f] = value })
		}
		k.head(func(head map[string]any) { // all of them at once, and the day goes on
			for _, f := range fields {
				if !slices.Contains(needed, f) && f != "shop" && f != "next" {
					delete(head, f)
				}
			}
		})
		k.says(phoneOfTomasz, saturday, "17 again 32.2")
		if r := k.trip(saturday).Person("p2").Cylinders[0].Current(); r.Percent != 32.2 {
			t.Errorf("the reading is %v", r.Percent)
		}
	})
}
