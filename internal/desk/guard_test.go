package desk_test

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/desk"
	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
)

func TestTheCookieIsForTheDeskAlone(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne).want(http.StatusSeeOther)
	c := s.cookie
	if !c.HttpOnly || !c.Secure || c.SameSite != http.SameSiteStrictMode || c.Path != "/desk" || c.MaxAge != 12*3600 {
		t.Errorf("got %+v", c)
	}
	plain := newStageAt(t, "http://127.0.0.1:8080")
	plain.signIn(keyOne)
	if plain.cookie.Secure {
		t.Error("on plain http a Secure cookie would never come back")
	}
}

// A session that somebody planted before signing in is worth nothing afterwards.
func TestSigningInBeginsAnotherSession(t *testing.T) {
	s := newStage(t)
	planted := &http.Cookie{Name: "desk", Value: "one.PLANTEDPLANTEDPLANTED"}
	s.cookie = planted
	s.post("/desk/in", url.Values{"key": {keyOne}}).want(http.StatusSeeOther)
	if s.cookie.Value == planted.Value {
		t.Fatal("the planted session was taken over")
	}
	first := s.cookie.Value
	s.signIn(keyOne)
	if s.cookie.Value == first {
		t.Error("signing in again went on with the same session")
	}
	s.cookie = planted
	s.get("/desk").want(http.StatusSeeOther)
}

func TestASessionEnds(t *testing.T) {
	s := newStage(t)
	s.booked()
	mine := s.cookie
	s.post("/desk/out", nil).want(http.StatusSeeOther)
	s.cookie = mine
	s.get("/desk").want(http.StatusSeeOther)

	s.signIn(keyOne)
	mine = s.cookie
	s.signIn(keyOne)
	s.post("/desk/out", url.Values{"all": {"1"}}).want(http.StatusSeeOther)
	s.cookie = mine
	s.get("/desk").want(http.StatusSeeOther)

	s.signIn(keyOne)
	s.mini.FastForward(12*time.Hour + time.Second)
	s.get("/desk").want(http.StatusSeeOther)
}

func TestANewKeyEndsTheOthersSessions(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	other := s.cookie
	s.signIn(keyOne)
	page := s.post("/desk/settings", url.Values{"do": {"key"}}).want(200).says("This key is shown this once")
	s.get("/desk").want(200)
	s.cookie = other
	s.get("/desk").want(http.StatusSeeOther)
	key := strings.Split(strings.Split(page.Body, "<code>")[1], "</code>")[0]
	s.signIn(keyOne).want(http.StatusUnauthorized)
	s.signIn(key).want(http.StatusSeeOther)
}

// A preview opens the link and uses nothing up; the first press does.
func TestALinkSignsInOnce(t *testing.T) {
	s := newStage(t)
	link, err := desk.Offer(context.Background(), s.store.SignIns(), "", "one")
	if err != nil {
		t.Fatal(err)
	}
	s.get(link).want(200)
	s.get(link).want(200)
	if s.cookie != nil {
		t.Fatal("looking at the link signed in")
	}
	s.post(link, nil).want(http.StatusSeeOther)
	s.get("/desk").want(200).says("Shop one")
	s.cookie = nil
	s.post(link, nil).want(http.StatusNotFound).says("used before")
	s.post(strings.Replace(link, "one.", "two.", 1), nil).want(http.StatusNotFound)
	late, err := desk.Offer(context.Background(), s.store.SignIns(), "", "one")
	if err != nil {
		t.Fatal(err)
	}
	s.mini.FastForward(24*time.Hour + time.Second)
	s.post(late, nil).want(http.StatusNotFound)
}

func TestWrongKeysAreSlow(t *testing.T) {
	s := newStage(t)
	for range 20 {
		s.signIn("wrong").want(http.StatusUnauthorized).says("This key opens no shop")
	}
	s.signIn("wrong").want(http.StatusTooManyRequests)
	s.signIn(strings.Repeat("x", 10_000)).want(http.StatusTooManyRequests)
}

// The office of one shop can't wear the service out, nor another shop's budget.
func TestPostsOfAShopAreBounded(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	for range 120 {
		s.post(at, url.Values{"do": {"nothing"}}).want(http.StatusUnprocessableEntity)
	}
	held := s.post(at, url.Values{"do": {"lock"}}).want(http.StatusTooManyRequests).says("Too much was sent")
	if held.Header.Get("Retry-After") == "" || !s.trip(id).FillLocked.IsZero() {
		t.Errorf("Retry-After %q, locked %v", held.Header.Get("Retry-After"), s.trip(id).FillLocked)
	}
	s.get(at).want(200)
	s.now = s.now.Add(time.Minute + time.Second)
	s.post(at, url.Values{"do": {"lock"}}).want(http.StatusSeeOther)
}

// every is each page and form of the desk, of one trip.
func every(id roster.TripID) (gets, posts []string) {
	at := "/desk/trips/" + string(id)
	return append(tripPages(id), shopPages...), []string{at, at + "/plan", at + "/copy", at + "/people/new",
		at + "/people/p1",
		"/desk/trips/new", "/desk/trips/file", "/desk/fills", "/desk/settings", "/desk/out"}
}

func TestNothingWithoutASession(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	before := s.trip(id)
	gets, posts := every(id)
	for _, path := range gets {
		s.cookie = nil
		if got := s.get(path); got.Status != http.StatusSeeOther || strings.Contains(got.Body, "Tomasz") {
			t.Errorf("GET %s: %d", path, got.Status)
		}
	}
	for _, path := range posts {
		s.cookie = nil
		s.post(path, url.Values{"do": {"lock"}}).want(http.StatusUnauthorized)
	}
	if got := s.trip(id); got.Version != before.Version {
		t.Error("something was stored")
	}
}

// Another shop's ids are as absent as ids that never were, in every form.
func TestAnotherShopsTripIsNotThere(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	before := s.trip(id)
	s.signIn(keyTwo)
	for _, path := range tripPages(id) {
		s.get(path).want(http.StatusNotFound).not("Saturday", "Tomasz")
	}
	at := "/desk/trips/" + string(id)
	forms := map[string][]url.Values{
		at: {{"do": {"lock"}}, {"do": {"announce"}}, {"do": {"write"}, "text": {"hello"}},
			{"do": {"order"}, "cylinder": {"c4"}, "asked": {"30"}}},
		at + "/plan": {newForm()}, at + "/copy": {{"date": {"2027-05-22"}, "time": {"08:30"}}},
		at + "/people/new": {{"name": {"Eve"}, "role": {"leader"}}},
		at + "/people/p1":  {{"do": {"remove"}}, {"do": {"revoke"}}, {"name": {"Eve"}}, {"do": {"undo"}, "reading": {"r1"}}},
	}
	for path, list := range forms {
		for _, form := range list {
			s.post(path, form).want(http.StatusNotFound)
		}
	}
	s.get(at + "/open-code").want(http.StatusNotFound)
	key, _ := s.key(string(id), "Tomasz")
	s.post("/desk/fills", url.Values{"day": {"2027-05-15"}, "filled." + key: {"1"}, "percent." + key: {"32"}})
	s.post("/desk/fills", url.Values{"day": {"2027-05-15"}, "do": {"lock"}})
	if got := s.trip(id); got.Version != before.Version {
		t.Error("another shop changed it")
	}
	s.get("/desk").want(200).not("Saturday")
	if n := len(s.list("two")); n != 0 {
		t.Errorf("the other shop has %d trips now", n)
	}
}

func TestPostsOfOtherOriginsAreRefused(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	before := s.trip(id)
	_, posts := every(id)
	for _, path := range append(posts, "/desk/in") {
		for name, value := range map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "https://evil.example"} {
			r := httptest.NewRequest(http.MethodPost, "https://gas.example"+path, strings.NewReader("do=lock&key="+keyOne))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Header.Set(name, value)
			s.send(r).want(http.StatusForbidden)
		}
	}
	if got := s.trip(id); got.Version != before.Version {
		t.Error("something was stored")
	}
}

func TestPagesCantBeFramedAndHaveAPolicy(t *testing.T) {
	s := newStage(t)
	s.booked()
	h := s.get("/desk").Header
	for _, part := range []string{"default-src 'none'", "frame-ancestors 'none'", "form-action 'self'",
		"script-src 'self'"} {
		if !strings.Contains(h.Get("Content-Security-Policy"), part) {
			t.Errorf("the policy lacks %s: %s", part, h.Get("Content-Security-Policy"))
		}
	}
	if h.Get("Cache-Control") != "no-store" || h.Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("headers: %v", h)
	}
}

func TestWhatPeopleTypeIsEscaped(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	const nasty = `<script>alert(1)</script>`
	s.post("/desk/trips/"+string(id)+"/people/new", url.Values{"name": {nasty}, "role": {"diver"}, "c0.asked": {"32"},
		"c0.dive": {"1"}}).want(http.StatusSeeOther)
	for _, path := range []string{"/desk", "/desk/trips/" + string(id), "/desk/fills?day=2027-05-15"} {
		if strings.Contains(s.get(path).Body, nasty) {
			t.Errorf("%s shows it as markup", path)
		}
	}
	if page := s.upload(nasty+".csv", []byte("trip,"+nasty+"\na,"+nasty+"\n")); strings.Contains(page.Body, nasty) {
		t.Error("the preview shows it as markup")
	}
}

func TestAFileIsShownBeforeItIsStored(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	body, err := os.ReadFile("../../testdata/trips/exports/utf16-tab.csv")
	if err != nil {
		t.Fatal(err)
	}
	page := s.upload("boat.csv", body).want(200).says("This would be stored", "Lucía", `"yes" is read as seen`)
	if n := len(s.list("one")); n != 0 {
		t.Fatalf("%d trips stored by looking", n)
	}
	doc := strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&amp;",
		"&").Replace(strings.Split(strings.Split(page.Body, `name="doc" value="`)[1], `">`)[0])
	s.post("/desk/trips/file", url.Values{"do": {"store"}, "doc": {doc}, "once": {"f"}}).want(http.StatusSeeOther)
	s.post("/desk/trips/file", url.Values{"do": {"store"}, "doc": {doc}, "once": {"f"}}).want(http.StatusSeeOther)
	if n := len(s.list("one")); n != 1 {
		t.Errorf("%d trips", n)
	}
}

func TestAFaultStandsAtItsCell(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	body, err := os.ReadFile("../../testdata/trips/exports/utf8-comma-title.csv")
	if err != nil {
		t.Fatal(err)
	}
	page := s.upload("boat.csv", bytes.Replace(body, []byte("32 %"), []byte("lots"), 1)).want(422).says(
		"1 place to put right", `is "lots"`)
	if !strings.Contains(page.Body, `class="bad">lots`) {
		t.Error("the cell is not marked")
	}
	if n := len(s.list("one")); n != 0 {
		t.Errorf("%d trips stored", n)
	}
}

func TestUploadsAreBounded(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	s.upload("large.csv", bytes.Repeat([]byte("a,b\n"), 3<<20)).want(http.StatusRequestEntityTooLarge)
	s.upload("old.xlsx", []byte("PK\x03\x04 no workbook")).want(422).says("no .xlsx workbook")
	s.upload("empty.csv", nil).want(422)
	s.post("/desk/trips/file", nil).want(422).says("No file was chosen")
}

func TestNoSecretIsLoggedOrStored(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	token := s.cookie.Value
	link, err := desk.Offer(context.Background(), s.store.SignIns(), "", "one")
	if err != nil {
		t.Fatal(err)
	}
	s.signIn("a wrong key that is long")
	s.get("/desk/trips/aaaaaaaaaa")
	all := s.log.String()
	for _, key := range s.mini.Keys() {
		all += key
		if v, err := s.mini.Get(key); err == nil {
			all += v
		}
	}
	for _, secret := range []string{strings.TrimPrefix(token, "one."), strings.TrimPrefix(link, "/desk/in/one."), keyOne} {
		if strings.Contains(all, secret) {
			t.Errorf("%s is in the log or in the store", secret)
		}
	}
	if !strings.Contains(all, keys.Hash(strings.TrimPrefix(token, "one."))) {
		t.Error("no session was found: is the test looking in the right place?")
	}
}
