package desk_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/message/messagetest"
	"gasmuster/internal/roster"
)

// tripPages are the pages of a trip.
func tripPages(id roster.TripID) []string {
	at := "/desk/trips/" + string(id)
	return []string{at, at + "?dive=2", at + "/plan", at + "/copy", at + "/people/new", at + "/people/p1",
		at + "/people/p1/code",
		at + "/paper/invites.pdf", at + "/paper/labels.pdf", at + "/paper/record.html", at + "/paper/record.pdf",
		at + "/paper/record.csv",
		at + "/paper/calendar.ics"}
}

var shopPages = []string{"/desk", "/desk?from=2027-05-10", "/desk/trips/new", "/desk/template/trip.csv",
	"/desk/template/trip.xlsx?units=ft",
	"/desk/fills", "/desk/fills?day=2027-05-15", "/desk/fills/print?day=2027-05-15",
	"/desk/fills/print?day=2027-05-15&as=pdf", "/desk/blends",
	"/desk/blends/chart", "/desk/settings", "/desk/calendar.ics"}

func TestEveryPageInEveryLanguage(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	for _, lang := range message.Languages() {
		for _, path := range append(tripPages(id), shopPages...) {
			joint := "?"
			if strings.Contains(path, "?") {
				joint = "&"
			}
			page := s.get(path + joint + "lang=" + lang)
			if page.Status != http.StatusOK {
				t.Fatalf("%s in %s: %d %s\n%s", path, lang, page.Status, page.words(), s.log.String())
			}
			if strings.HasPrefix(page.Header.Get("Content-Type"), "text/html") && !strings.Contains(path, "record") &&
				!strings.Contains(page.Body, `lang="`+lang+`"`) {
				t.Errorf("%s is not in %s", path, lang)
			}
			if at := messagetest.Torn(markup.ReplaceAllString(page.Body, "\n")); at != "" &&
				strings.HasPrefix(page.Header.Get("Content-Type"), "text/html") {
				t.Errorf("%s in %s: %q can be torn apart at the end of a line", path, lang, at)
			}
		}
	}
}

func TestTheDaysShowWhoNeedsWhat(t *testing.T) {
	s := newStage(t)
	s.booked()
	s.get("/desk").want(200).says("Saturday two-tank", "08:30", "Inês", "ANALYSE FIRST", "Not joined yet",
		"0 of 7 cleared", "2 requests do not fit")
}

// A boat of each status has one word on its day, and no figure that is one diver's.
func TestTheDaysHaveAWordForEveryStatus(t *testing.T) {
	for want, percent := range map[string]gas.Percent{"✅ GO": 27.8, "⚠️ GO WITH LIMITS": 28.6, "⛔ STOP": 36,
		"❓ ANALYSE FIRST": 0} {
		s := newStage(t)
		s.signIn(keyOne)
		draft, _, err := booking.ReadTrip([]byte(`{"name": "Sunday", "time_zone": "UTC", "departs_at": "2027-05-14T13:00:00Z", "units": "m",
			"dives": [{"site": "Anvil Ledge", "depth": 37, "bottom": 40, "minutes": 7}],
			"leaders": [{"name": "Inês", "card": "seen", "cylinders": [{"label": "10", "asked": 28, "dive": 1}]}]}`), "application/json", nil, s.now)
		if err != nil {
			t.Fatal(err)
		}
		draft.Shop = "one"
		if ines := draft.People[0]; percent > 0 {
			draft.Record(ines.Cylinders[0].ID, roster.Reading{Percent: percent, At: s.now, By: ines.ID}, s.now)
		}
		if _, err := s.door.Create(context.Background(), draft); err != nil {
			t.Fatal(err)
		}
		s.get("/desk").want(200).says(want)
	}
}

// That nobody who came and leads can be reached any more stands on both pages; before
// anybody came it does not.
func TestTheShopSeesThatNoLeaderCanBeReached(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	for _, page := range []string{"/desk", at} {
		s.get(page).want(200).not("No leader can be reached")
	}
	l, err := s.store.Load(t.Context(), id, "")
	if err != nil {
		t.Fatal(err)
	}
	d := roster.Change(l.Trip)
	for _, p := range d.Leaders() {
		d.Join(p.ID, roster.Address{Channel: "chat", ID: string(p.ID)}, "en", s.now)
		d.Edit(p.ID).Unreachable = "blocked"
	}
	if _, err := s.store.Commit(t.Context(), roster.Commit{Was: l.Trip, Trip: d.Done(), Token: roster.NewToken(),
		Expire: s.now.Add(48 * time.Hour)}); err != nil {
		t.Fatal(err)
	}
	for _, page := range []string{"/desk", at} {
		s.get(page).want(200).says("No leader can be reached: Inês")
	}
}

// A tap orders what the check recommends; it is the stored trip that is changed.
func TestARequestThatDoesNotFitIsChangedByATap(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	s.get("/desk/trips/"+string(id)).want(200).says("34 % is too rich for Anvil Ledge", "Order 28 %")
	c := s.person(id, "Tomasz").Cylinders[0]
	s.post("/desk/trips/"+string(id), url.Values{"do": {"order"}, "cylinder": {string(c.ID)}, "asked": {"28"}}).want(
		http.StatusSeeOther)
	if got := s.person(id, "Tomasz").Cylinders[0]; got.Asked != 28 || got.Label != "17" {
		t.Errorf("got %+v", got)
	}
	if got := s.person(id, "Tomasz").Cylinders[1].Asked; got != 34 {
		t.Errorf("the other request became %v", got)
	}
}

func TestThePlanIsChangedAndWhatIsWrongStandsByItsField(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	form := url.Values{"name": {"Saturday"}, "date": {"2027-05-15"}, "time": {"09:00"}, "time_zone": {"Atlantic/Azores"},
		"units":     {"m"},
		"analysers": {"A, C"}, "d0.site": {"Anvil Ledge"}, "d0.depth": {"28,5"}, "d0.minutes": {"20"}, "d0.water": {"salt"},
		"d1.site": {"Lime Kiln Wall"}, "d1.depth": {"18"}, "d1.minutes": {"forty"}, "d1.interval": {"60"},
		"d1.water": {"salt"}}
	page := s.post(at+"/plan", form).want(http.StatusUnprocessableEntity).says("Nothing was stored")
	if !strings.Contains(page.Body, `id="d1.minutes-fault"`) || !strings.Contains(page.Body, `value="forty"`) {
		t.Errorf("the fault does not stand by its field, or what was typed is lost:\n%s", page.words())
	}
	if s.trip(id).Name != "Saturday two-tank" {
		t.Error("half of it was stored")
	}
	form.Set("d1.minutes", "40")
	s.post(at+"/plan", form).want(http.StatusSeeOther)
	trip := s.trip(id)
	if d := trip.Dives[0]; trip.Name != "Saturday" || d.Depth.Value != 28.5 || trip.Departs.Minute() != 0 ||
		trip.Departs.Hour() != 9 {
		t.Errorf("got %q, %+v, %v", trip.Name, d, trip.Departs)
	}
	if len(trip.Analysers) != 2 || trip.Analysers[1].Name != "C" {
		t.Errorf("analysers: %+v", trip.Analysers)
	}
}

func TestUnitsAreChangedUntilSomethingWasRead(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	form := url.Values{"name": {"Saturday"}, "date": {"2027-05-15"}, "time": {"08:30"}, "time_zone": {"Atlantic/Azores"},
		"units":   {"ft"},
		"d0.site": {"Anvil Ledge"}, "d0.depth": {"100"}, "d0.minutes": {"20"}, "d1.site": {"Lime Kiln Wall"},
		"d1.depth": {"60"}, "d1.minutes": {"40"}, "d1.interval": {"60"}}
	s.post("/desk/trips/"+string(id)+"/plan", form).want(http.StatusSeeOther)
	if d := s.trip(id).Dives[0].Depth; d.String() != "100 ft" {
		t.Errorf("got %v, want 100 ft", d)
	}
}

func TestAPersonIsAddedChangedAndTakenOff(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id) + "/people/"
	s.post(at+"new", url.Values{"name": {"Sefa"}, "role": {"diver"}, "card": {"seen"}, "c0.asked": {"32"},
		"c0.dive": {"1"}}).want(http.StatusSeeOther)
	p := s.person(id, "Sefa")
	if len(p.Cylinders) != 1 || p.Cylinders[0].Asked != 32 {
		t.Fatalf("got %+v", p)
	}
	s.post(at+string(p.ID), url.Values{"name": {"Sefa K"}, "role": {"crew"}, "card": {"none"},
		"c0.id": {string(p.Cylinders[0].ID)}, "c0.asked": {"air"}, "c0.dive": {"1"}}).want(http.StatusSeeOther)
	p = s.person(id, "Sefa K")
	if !p.Crew || p.Card != "none" || p.InUse()[0].Asked != 21 {
		t.Errorf("got %+v, %+v", p, p.InUse()[0])
	}
	s.post(at+string(p.ID), url.Values{"do": {"remove"}}).want(http.StatusSeeOther)
	if s.person(id, "Sefa K").Left.IsZero() {
		t.Error("still on the trip")
	}
	s.post(at+"p1", url.Values{"do": {"remove"}}).want(http.StatusUnprocessableEntity).says("only leader")
}

func TestAnInviteIsReplaced(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	before := s.person(id, "Tomasz")
	s.post("/desk/trips/"+string(id)+"/people/"+string(before.ID), url.Values{"do": {"revoke"}}).want(http.StatusSeeOther)
	if got := s.person(id, "Tomasz").Generation; got != before.Generation+1 {
		t.Errorf("generation %d", got)
	}
}

// newForm is a form that books a trip.
func newForm() url.Values {
	return url.Values{"once": {"one-form"}, "dives": {"2"}, "people": {"8"}, "name": {"Sunday"}, "date": {"2027-05-16"},
		"time":      {"08:30"},
		"time_zone": {"Atlantic/Azores"}, "units": {"m"}, "d0.site": {"Anvil Ledge"}, "d0.depth": {"30"},
		"d0.minutes": {"20"},
		"p0.name":    {"Inês"}, "p0.role": {"leader"}, "p0.card": {"seen"}, "p0.gas1": {"32"},
		"p1.name": {"Tomasz"}, "p1.role": {"diver"}, "p1.card": {"unseen"}, "p1.gas1": {"36"}}
}

func TestANewTripIsShownBeforeItIsStored(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	form := newForm()
	form.Set("do", "check")
	s.post("/desk/trips/new", form).want(200).says("This would be stored", "Tomasz", "36 % is too rich")
	if trips := s.list("one"); len(trips) != 0 {
		t.Fatalf("stored before it was asked for: %v", trips)
	}
	form.Set("do", "store")
	first := s.post("/desk/trips/new", form).want(http.StatusSeeOther).Header.Get("Location")
	again := s.post("/desk/trips/new", form).want(http.StatusSeeOther).Header.Get("Location")
	if first != again || len(s.list("one")) != 1 {
		t.Errorf("a form sent twice booked %d trips: %s, %s", len(s.list("one")), first, again)
	}
}

func TestASiteOfBeforeBringsItsDepth(t *testing.T) {
	s := newStage(t)
	s.booked()
	form := newForm()
	form.Set("do", "check")
	form.Del("d0.depth")
	form.Del("d0.minutes")
	s.post("/desk/trips/new", form).want(200).says("Anvil Ledge: 37 m and 7 minutes, as planned there last.")
}

func TestMoreRows(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	form := newForm()
	form.Set("do", "more")
	page := s.post("/desk/trips/new", form).want(200)
	if !strings.Contains(page.Body, `name="p15.name"`) || !strings.Contains(page.Body, `value="Tomasz"`) {
		t.Error("no more rows, or what was typed is lost")
	}
}

func TestATripIsBookedAgain(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	to := s.post("/desk/trips/"+string(id)+"/copy", url.Values{"date": {"2027-05-22"}, "time": {"07:45"}, "people": {"1"},
		"once": {"x"}}).
		want(http.StatusSeeOther).Header.Get("Location")
	made := s.trip(roster.TripID(strings.TrimSuffix(strings.TrimPrefix(to, "/desk/trips/"), "?done=copied")))
	if len(made.People) != len(s.trip(id).People) || made.Departs != time.Date(2027, 5, 22, 7, 45, 0, 0, time.UTC) {
		t.Errorf("got %d people, %v", len(made.People), made.Departs)
	}
}

func (s *stage) list(shop roster.ShopID) []roster.TripID {
	s.t.Helper()
	ids, err := s.store.List(s.t.Context(), shop, time.Time{}, time.Time{})
	if err != nil {
		s.t.Fatal(err)
	}
	return ids
}

func TestATripIsCalledOff(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	s.post(at, url.Values{"do": {"calloff"}}).want(422).says("everybody is told why")
	s.post(at, url.Values{"do": {"calloff"}, "reason": {"No wind"}}).want(http.StatusSeeOther)
	if off := s.trip(id).CalledOff; off == nil || off.Reason != "No wind" {
		t.Fatalf("got %+v", off)
	}
	s.get(at).want(200).says("is called off: No wind")
	s.get("/desk").says("is called off: No wind")
	s.get("/desk/fills?day=2027-05-15").not("Tomasz")
	s.post(at, url.Values{"do": {"lock"}}).want(422)
}

func TestTheOpenInviteIsOpenedAndShut(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	s.post(at, url.Values{"do": {"gate-open"}}).want(http.StatusSeeOther)
	first := s.get(at).want(200).Body
	if !strings.Contains(first, "https://gas.example/j/open-"+string(id)) {
		t.Error("the link is not shown")
	}
	if picture := s.get(at + "/open-code").want(200); !strings.Contains(picture.Body, "<svg") ||
		!strings.Contains(first, at+"/open-code") {
		t.Errorf("the code is not shown: %.80s", picture.Body)
	}
	s.post(at, url.Values{"do": {"gate-open"}}).want(http.StatusSeeOther)
	if s.trip(id).Gate.Generation != 2 {
		t.Error("opening it again gives no new link")
	}
	s.post(at, url.Values{"do": {"gate-shut"}}).want(http.StatusSeeOther)
	s.get(at + "/open-code").want(http.StatusNotFound)
	if strings.Contains(s.get(at).Body, "/j/open-") || s.trip(id).Gate.Open {
		t.Error("still open")
	}
}
