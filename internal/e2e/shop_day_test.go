package e2e

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	standardwebhooks "github.com/standard-webhooks/standard-webhooks/libraries/go"
	"golang.org/x/text/encoding/charmap"

	"gasmuster/internal/telegram/standin"
)

// The divers of the day, in the order of the file. Yusuf is taken off the trip,
// Kenji and Lucía open their invites late.
var divers = []string{"Tomasz", "Marit", "Yusuf", "Aoife", "Kenji", "Lucía", "Oluchi", "Pavel", "Sanna", "Mateus",
	"Hana", "Idris", "Greta", "Vikram"}

// daySheet is the trip as a desk's spreadsheet saves it: semicolons, decimal
// commas, Windows-1252.
func daySheet(t *testing.T, askedByKenji string) []byte {
	t.Helper()
	departs := time.Now().Add(3 * time.Hour).UTC().Format(time.RFC3339)
	var b strings.Builder
	b.WriteString(
		"trip;time_zone;departs_at;units;dive1_site;dive1_depth;dive1_bottom;" +
			"dive1_minutes;diver;role;card;language;asked;label;owner\r\n")
	fmt.Fprintf(&b, "Saturday two-tank;%s;%s;m;Anvil Ledge;33,5;34;12;Inês;leader;;en;;;\r\n", noonZone(), departs)
	for i, name := range divers {
		asked := map[string]string{"Tomasz": "36", "Kenji": askedByKenji, "Marit": "31,5"}[name]
		if asked == "" {
			asked = "31"
		}
		fmt.Fprintf(&b, ";;;;;;;;%s;;seen;en;%s;%s;shop\r\n", name, asked, label(i))
	}
	text, err := charmap.Windows1252.NewEncoder().Bytes([]byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// label is what stands on the cylinder of diver i.
func label(i int) string { return fmt.Sprintf("S%d", i+1) }

// raw sends one request to the shop's API.
func (b *bot) raw(method, path string, body []byte, header ...string) (int, http.Header, []byte) {
	b.t.Helper()
	req, err := http.NewRequestWithContext(b.t.Context(), method, b.url+path, bytes.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+shopKey)
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer resp.Body.Close()
	answer, err := io.ReadAll(resp.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return resp.StatusCode, resp.Header, answer
}

// shopSystem is the shop's own computer: it takes events, verified by the
// specification's own library, and can be down.
type shopSystem struct {
	*httptest.Server
	mu      sync.Mutex
	secret  string
	down    bool
	refused int
	ids     []string // accepted, in the order they came
	events  []shopEvent
	forged  []string
}

type shopEvent struct {
	Type string
	At   time.Time `json:"timestamp"`
	Data map[string]any
}

func newShopSystem(t *testing.T) *shopSystem {
	s := &shopSystem{}
	s.Server = httptest.NewServer(s)
	t.Cleanup(s.Close)
	return s
}

func (s *shopSystem) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, _ := io.ReadAll(r.Body)
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.down {
		s.refused++
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	id := r.Header.Get("webhook-id")
	hook, err := standardwebhooks.NewWebhook(s.secret)
	if err == nil {
		err = hook.Verify(body, r.Header)
	}
	var e shopEvent
	if err == nil {
		err = json.Unmarshal(body, &e)
	}
	if err != nil {
		s.forged = append(s.forged, id+": "+err.Error())
		w.WriteHeader(http.StatusBadRequest)
		return
	}
	if !slices.Contains(s.ids, id) { // at least once: a repetition is no news
		s.ids, s.events = append(s.ids, id), append(s.events, e)
	}
	w.WriteHeader(http.StatusNoContent)
}

func (s *shopSystem) set(down bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.down = down
}

func (s *shopSystem) refusals() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.refused
}

// heard counts events of a type.
func (s *shopSystem) heard(kind string) (n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, e := range s.events {
		if e.Type == kind {
			n++
		}
	}
	return n
}

// inOrder wants what the trip's events say to follow each other in time, and
// every one of them to be signed.
func (s *shopSystem) inOrder(t *testing.T) {
	t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	for i := 1; i < len(s.events); i++ {
		if s.events[i].At.Before(s.events[i-1].At) {
			t.Errorf("event %d, %s of %v, came after one of %v", i, s.events[i].Type, s.events[i].At, s.events[i-1].At)
		}
	}
	if len(s.forged) > 0 {
		t.Errorf("not as the specification says: %q", s.forged)
	}
}

// booked are ids and invites by name.
type booked struct {
	trip
	ids, cylinders map[string]string
}

func readBooked(t *testing.T, answer []byte) booked {
	t.Helper()
	type person struct {
		ID, Name  string
		Invite    struct{ Code string }
		Cylinders []struct{ ID string }
	}
	var got struct {
		ID              string
		Leaders, Divers []person
	}
	if err := json.Unmarshal(answer, &got); err != nil {
		t.Fatalf("%v: %s", err, answer)
	}
	b := booked{trip: trip{id: got.ID, codes: map[string]string{}}, ids: map[string]string{},
		cylinders: map[string]string{}}
	for _, p := range append(got.Leaders, got.Divers...) {
		b.codes[p.Name], b.ids[p.Name] = p.Invite.Code, p.ID
		if len(p.Cylinders) > 0 {
			b.cylinders[p.Name] = p.Cylinders[0].ID
		}
	}
	return b
}

// join lets people open their invites.
func join(t *testing.T, api *standin.Server, tr booked, first int64, names ...string) map[string]*standin.User {
	users := map[string]*standin.User{}
	for i, name := range names {
		u := api.User(first+int64(i), name, "en")
		u.Start(tr.codes[name])
		greeted(t, u)
		users[name] = u
	}
	return users
}

// settle are what the fill list has to settle, as "what name".
func (b *bot) settle(tr booked) []string {
	b.t.Helper()
	var found []string
	for _, s := range b.call(http.MethodGet, "/v1/trips/"+tr.id+"/fills", nil, http.StatusOK)["settle"].([]any) {
		one := s.(map[string]any)
		found = append(found, one["what"].(string)+" "+one["name"].(string))
	}
	slices.Sort(found)
	return found
}

func wantSettle(t *testing.T, b *bot, tr booked, want ...string) {
	t.Helper()
	if got := b.settle(tr); !slices.Equal(got, want) {
		t.Errorf("to settle: %q, want %q", got, want)
	}
}

// A shop's day: the trip comes in as a file with one bad row, is mended, filled
// by a locked list, announced; two late changes; the shop's own system is down
// for a while and misses nothing; the record comes out as a PDF.
func TestAShopsDay(t *testing.T) {
	t.Parallel() // most of its time is waiting for the next attempt
	r := startRedis(t)
	api := standin.New(t)
	system := newShopSystem(t)
	clk := newClock(t)
	b := startBot(t, r, api, webhook("GASMUSTER_WEBHOOK_ALLOW_PRIVATE=true", clk.setting())...)
	system.secret = b.call(http.MethodPut, "/v1/webhook", map[string]any{"url": system.URL},
		http.StatusOK)["secret"].(string)

	tr := b.sendIn(t)
	wantSettle(t, b, tr, "does-not-fit Tomasz")
	early := append([]string{"Inês"}, slices.DeleteFunc(slices.Clone(divers),
		func(n string) bool { return n == "Kenji" || n == "Lucía" })...)
	people := join(t, api, tr, 2001, early...)
	people["Tomasz"].Await("36 % is too rich").Press("Change to 31 % (recommended)")
	people["Tomasz"].Await("Changed", "31 %")
	wantSettle(t, b, tr)
	b.lockAndPrint(t, tr)
	b.announceAndInvite(t, api, tr, people)

	// Two late changes.
	b.call(http.MethodPatch, "/v1/trips/"+tr.id+"/divers/"+tr.ids["Marit"], map[string]any{"cylinders": []any{
		map[string]any{"id": tr.cylinders["Marit"], "label": label(1), "asked": 30}}}, http.StatusOK)
	b.call(http.MethodDelete, "/v1/trips/"+tr.id+"/divers/"+tr.ids["Yusuf"], nil, http.StatusOK)
	wantSettle(t, b, tr, "changed-late Marit", "dropped-late Yusuf")
	clk.step(time.Minute) // what the shop changes within one is one message
	people["Inês"].Await("30 % asked for", "Yusuf was taken off the trip")

	b.readingsWhileDown(t, tr, system, people)
	b.signedOff(t, tr, system, people)
	b.recordOut(t, tr)
	system.inOrder(t)
	allDelivered(t, api)
}

// sendIn sends the file with a bad row, and then the mended one, twice.
func (b *bot) sendIn(t *testing.T) booked {
	t.Helper()
	status, _, answer := b.raw(http.MethodPost, "/v1/trips", daySheet(t, "thirty-one"), "Content-Type", "text/csv",
		"Idempotency-Key", "day")
	var problem struct {
		Errors []struct {
			Row    int
			Column string
		}
	}
	if err := json.Unmarshal(answer, &problem); err != nil || status != http.StatusUnprocessableEntity ||
		len(problem.Errors) != 1 ||
		problem.Errors[0].Row != 7 || problem.Errors[0].Column != "asked" {
		t.Fatalf("the bad row: %d %s; want one error, row 7, column asked", status, answer)
	}
	if list := b.call(http.MethodGet, "/v1/trips", nil, http.StatusOK)["trips"].([]any); len(list) != 0 {
		t.Fatalf("something was stored: %v", list)
	}
	sheet := daySheet(t, "31")
	status, _, answer = b.raw(http.MethodPost, "/v1/trips", sheet, "Content-Type", "text/csv", "Idempotency-Key",
		"day mended")
	if status != http.StatusCreated || !strings.Contains(string(answer), `"windows-1252"`) {
		t.Fatalf("the mended file: %d %s", status, answer)
	}
	if _, _, again := b.raw(http.MethodPost, "/v1/trips", sheet, "Content-Type", "text/csv", "Idempotency-Key",
		"day mended"); string(again) != string(answer) {
		t.Errorf("sent again: %s", again)
	}
	tr := readBooked(t, answer)
	if len(tr.codes) != 15 || tr.codes["Lucía"] == "" {
		t.Fatalf("invites of %d people, want 15: %v", len(tr.codes), tr.ids)
	}
	return tr
}

// lockAndPrint locks the fill list and takes it as a file and as a sheet.
func (b *bot) lockAndPrint(t *testing.T, tr booked) {
	t.Helper()
	b.call(http.MethodPost, "/v1/trips/"+tr.id+"/fills/lock", map[string]any{}, http.StatusOK)
	_, _, list := b.raw(http.MethodGet, "/v1/trips/"+tr.id+"/fills", nil, "Accept", "text/csv")
	rows, err := csv.NewReader(bytes.NewReader(list)).ReadAll()
	if err != nil || len(rows) != 1+len(divers) {
		t.Errorf("the list as CSV: %d rows (%v), want a header and %d cylinders", len(rows), err, len(divers))
	}
	_, header, sheet := b.raw(http.MethodGet, "/v1/trips/"+tr.id+"/fills", nil, "Accept", "text/html")
	if !strings.HasPrefix(header.Get("Content-Type"), "text/html") || !strings.Contains(string(sheet), "Lucía") {
		t.Errorf("the sheet is %s: %s", header.Get("Content-Type"), sheet)
	}
}

// announceAndInvite announces the trip, and hands their links again to those
// whom that did not reach.
func (b *bot) announceAndInvite(t *testing.T, api *standin.Server, tr booked, people map[string]*standin.User) {
	t.Helper()
	answer := b.call(http.MethodPost, "/v1/trips/"+tr.id+"/announce", map[string]any{}, http.StatusOK)
	if answer["reached"] != 13.0 {
		t.Errorf("announced to %v, want 13", answer["reached"])
	}
	var missing []string
	for _, d := range answer["divers"].([]any) {
		one := d.(map[string]any)
		if one["state"] == "not-joined" {
			missing = append(missing, one["name"].(string))
			tr.codes[one["name"].(string)] = one["invite"].(map[string]any)["code"].(string)
		}
	}
	if !slices.Equal(missing, []string{"Kenji", "Lucía"}) {
		t.Fatalf("not joined: %v, want Kenji and Lucía", missing)
	}
	people["Sanna"].Await("Anvil Ledge", "31 %")
	for name, u := range join(t, api, tr, 3001, missing...) {
		people[name] = u
	}
	patiently(t, "everybody has the evening message", func() bool {
		for _, d := range b.board(tr.trip)["divers"].([]any) {
			if h, _ := d.(map[string]any)["evening"].(map[string]any); h["state"] != "delivered" {
				return false
			}
		}
		return true
	})
}

// readingsWhileDown has everybody report; the shop's system is down for the
// last of them, and catches up.
func (b *bot) readingsWhileDown(t *testing.T, tr booked, system *shopSystem, people map[string]*standin.User) {
	t.Helper()
	aboard := slices.DeleteFunc(slices.Clone(divers), func(n string) bool { return n == "Yusuf" })
	first := len(aboard) - 3
	report := func(names ...string) {
		percent := map[string]string{"Marit": "30.2"}
		for _, name := range names {
			people[name].Send(cmp.Or(percent[name], "30.9"))
		}
		for _, name := range names {
			answered(people[name], cmp.Or(percent[name], "30.9"), "GO")
		}
	}
	report(aboard[:first]...)
	until(t, "the shop heard of the first readings", func() bool { return system.heard("reading.recorded") == first })
	system.set(true)
	report(aboard[first:]...)
	until(t, "the shop's system refused an event", func() bool { return system.refusals() > 0 })
	if n := system.heard("reading.recorded"); n != first {
		t.Errorf("while it is down the shop heard of %d readings, want %d", n, first)
	}
	if waiting := b.call(http.MethodGet, "/v1/webhook", nil, http.StatusOK)["waiting_events"].(float64); waiting < 3 {
		t.Errorf("%v events wait, want those of three readings at least", waiting)
	}
	system.set(false)
	patiently(t, "the shop caught up", func() bool { return system.heard("reading.recorded") == len(aboard) })
}

// patiently is until for what is asked of the API, which takes 120 questions a
// minute, or tried again after a pause that may be the second one, of half a
// minute.
func patiently(t *testing.T, what string, ok func() bool) {
	t.Helper()
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for end := time.Now().Add(3 * time.Minute); time.Now().Before(end); <-tick.C {
		if ok() {
			return
		}
	}
	t.Fatalf("waited in vain: %s", what)
}

// signedOff lets the leader sit out who was taken off, and sign.
func (b *bot) signedOff(t *testing.T, tr booked, system *shopSystem, people map[string]*standin.User) {
	t.Helper()
	ines := people["Inês"]
	ines.Send("/signoff")
	ines.Await("Dive 1 can't be signed", "boat check was not opened", "LEFT: Yusuf")
	ines.Send("/boat")
	ines.Await("Boat check of dive 1 open")
	ines.Send("/out Yusuf taken off the trip by the shop")
	ines.Await("Yusuf", "sits out")
	ines.Send("/signoff")
	ines.Await("Sign dive 1: Anvil Ledge", "13 go").Press("Sign dive 1")
	patiently(t, "the dive is signed", func() bool { return b.board(tr.trip)["signed"] == true })
	patiently(t, "the shop heard of the sign-off", func() bool { return system.heard("dive.signed_off") == 1 })
	if n := system.heard("request.changed"); n != 1 {
		t.Errorf("the shop heard of %d changed requests, want Tomasz's alone: Marit's it changed itself", n)
	}
}

// recordOut takes the record in the forms that shops keep.
func (b *bot) recordOut(t *testing.T, tr booked) {
	t.Helper()
	path := "/v1/trips/" + tr.id + "/record"
	status, header, pdf := b.raw(http.MethodGet, path, nil, "Accept", "application/pdf")
	if status != http.StatusOK || header.Get("Content-Type") != "application/pdf" ||
		!bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.Contains(pdf, []byte("%%EOF")) {
		t.Errorf("the record as PDF: %d %s, %d bytes", status, header.Get("Content-Type"), len(pdf))
	}
	_, _, raw := b.raw(http.MethodGet, path, nil, "Accept", "application/json")
	var record struct {
		Signed   bool `json:"signed_off"`
		Readings []struct{ Diver string }
	}
	if err := json.Unmarshal(raw, &record); err != nil || !record.Signed || len(record.Readings) != 13 {
		t.Errorf("the record: %v, signed %v, %d readings, want 13: %s", err, record.Signed, len(record.Readings), raw)
	}
}
