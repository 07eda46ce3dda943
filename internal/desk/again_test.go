package desk_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

func TestTheDepartureIsMoved(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	page := s.post(at, url.Values{"do": {"move"}, "date": {"2027-05-13"},
		"time": {"08:30"}}).want(422).says("Day: is in the past")
	if !strings.Contains(page.Body, `id="date-fault"`) {
		t.Error("the fault does not stand by its field")
	}
	s.post(at, url.Values{"do": {"move"}, "date": {"2027-05-15"}, "time": {"soon"}}).want(422)
	s.post(at, url.Values{"do": {"move"}, "date": {"2027-05-15"}, "time": {"10:15"}}).want(http.StatusSeeOther)
	if got, want := s.trip(id).Departs, time.Date(2027, 5, 15, 10, 15, 0, 0, time.UTC); !got.Equal(want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if got := s.trip(id).Dives[0].Site; got != "Anvil Ledge" {
		t.Errorf("the plan changed too: %s", got)
	}
}

func TestATripThatWasCalledOffIsPutBackOn(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	s.get(at).not("It takes place after all")
	s.post(at, url.Values{"do": {"calloff"}, "reason": {"No wind"}}).want(http.StatusSeeOther)
	s.get(at).says("It takes place after all")
	s.post(at, url.Values{"do": {"puton"}}).want(http.StatusSeeOther)
	if s.trip(id).CalledOff != nil {
		t.Fatal("still off")
	}
	s.post(at, url.Values{"do": {"lock"}}).want(http.StatusSeeOther)

	s.post(at, url.Values{"do": {"calloff"}, "reason": {"No wind"}}).want(http.StatusSeeOther)
	s.now = s.now.AddDate(0, 0, 3) // the day has passed
	s.get(at).not("It takes place after all")
	s.post(at, url.Values{"do": {"puton"}}).want(422).says("This trip is over")
}

func TestAPersonIsErased(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	p := s.person(id, "Tomasz")
	s.get(at + "/people/" + string(p.ID)).says("Erase this person")
	s.post(at+"/people/p1", url.Values{"do": {"erase"}}).want(422).says("only leader")
	s.post(at+"/people/"+string(p.ID), url.Values{"do": {"erase"}}).want(http.StatusSeeOther)
	if !s.trip(id).Person(p.ID).Erased {
		t.Error("not erased")
	}
	for _, path := range []string{at, "/desk", "/desk/fills?day=2027-05-15", at + "/paper/record.html"} {
		s.get(path).want(200).not("Tomasz")
	}
	s.get(at + "/people/" + string(p.ID)).want(http.StatusNotFound)
	s.nowhere("Tomasz")
}

// nowhere fails when the store still holds a text.
func (s *stage) nowhere(text string) {
	s.t.Helper()
	if strings.Contains(s.mini.Dump(), text) {
		s.t.Errorf("%q is in the store", text)
	}
}

func TestATripIsErased(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	other := s.book("one", "saturday.json")
	at := "/desk/trips/" + string(id)
	s.get(at).not("Erase this trip")
	s.post(at, url.Values{"do": {"erase"}, "name": {"Saturday two-tank"}}).want(422).says("Call it off first")
	s.post(at, url.Values{"do": {"calloff"}, "reason": {"No wind"}}).want(http.StatusSeeOther)
	s.post(at, url.Values{"do": {"erase"}, "name": {"Sunday"}}).want(422).says("is not the trip's name")
	if s.trip(id).CalledOff == nil {
		t.Fatal("it is gone")
	}
	s.post(at, url.Values{"do": {"erase"}, "name": {"saturday two-tank"}}).want(http.StatusSeeOther)
	s.get(at).want(http.StatusNotFound)
	s.nowhere(string(id))
	s.get("/desk/trips/" + string(other)).want(200).says("Tomasz")
	if ids := s.list("one"); len(ids) != 1 || ids[0] != other {
		t.Errorf("the shop's trips: %v", ids)
	}
}

func policyForm() url.Values {
	return url.Values{"do": {"policy"}, "units": {"m"}, "ppo2": {"1,3"}, "ppo2_max": {"1.5"}, "max_o2": {"36"},
		"deepest": {"30"}, "max_co": {"3"},
		"tolerance": {"0.5"}, "tell_shop": {"1"}, "gf": {"80"}, "fresh_for_hours": {"12"}, "boat_check": {"all"}}
}

// What a shop sets is what its new trips begin with, in their own units, and those of
// another shop don't.
func TestNewTripsBeginWithTheShopsLimits(t *testing.T) {
	s := newStage(t)
	before := s.booked()
	wrong := policyForm()
	wrong.Set("gf", "120")
	wrong.Set("ppo2", "much")
	page := s.post("/desk/settings", wrong).want(422).says("Gradient factor, %: is \"120\": 30 to 95 is accepted",
		`is "much"`)
	if !strings.Contains(page.Body, `id="gf-fault"`) || !strings.Contains(page.Body, `value="120"`) {
		t.Error("the fault does not stand by its field, or what was typed is lost")
	}
	s.post("/desk/settings", policyForm()).want(http.StatusSeeOther)
	s.get("/desk/settings").says("Limits for new trips")

	form := newForm()
	form.Set("do", "store")
	to := s.post("/desk/trips/new", form).want(http.StatusSeeOther).Header.Get("Location")
	id, _, _ := strings.Cut(strings.TrimPrefix(to, "/desk/trips/"), "?")
	got := s.trip(roster.TripID(id)).Policy
	want := gas.Policy{PPO2: 1.3, PPO2Max: 1.5, MaxO2: 36, Deepest: gas.M(30), MaxCO: 3, Tolerance: 0.5, TellShop: 1,
		GF: 80, FreshFor: 12,
		BoatCheck: gas.BoatCheckAll}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if got := s.trip(before).Policy; got != gas.DefaultPolicy(gas.Metres) {
		t.Errorf("a trip that was booked changed: %+v", got)
	}
	page = s.get("/desk/trips/new")
	if !strings.Contains(page.Body, `name="gf" value="80"`) {
		t.Error("the form does not show the shop's limits")
	}
	s.signIn(keyTwo)
	if page := s.get("/desk/trips/new"); !strings.Contains(page.Body, `name="gf" value="85"`) {
		t.Error("another shop has them too")
	}
}

// The form brings the deepest plan along in metres; a trip in feet does not mean 40 ft.
func TestAFormInFeetHasItsDeepestInFeet(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	form := newForm()
	for name, v := range map[string]string{"do": "store", "units": "ft", "shown_units": "m", "deepest": "40",
		"d0.depth": "90"} {
		form.Set(name, v)
	}
	to := s.post("/desk/trips/new", form).want(http.StatusSeeOther).Header.Get("Location")
	id, _, _ := strings.Cut(strings.TrimPrefix(to, "/desk/trips/"), "?")
	if got := s.trip(roster.TripID(id)).Policy.Deepest; got != gas.Ft(130) {
		t.Errorf("got %v, want 130 ft", got)
	}
}

// Every fault is said in the reader's language, with its field: in none of the others
// is anything of the English.
func TestFaultsAreSaidInEveryLanguage(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	at := "/desk/trips/" + string(id)
	plan := url.Values{"name": {""}, "date": {"2027-05-15"}, "time": {"08:30"}, "time_zone": {"Nowhere"}, "units": {"m"},
		"gf":      {"7"},
		"d0.site": {"Anvil Ledge"}, "d0.depth": {"deep"}, "d0.minutes": {"0"}, "d0.bottom": {"some"},
		"d1.site": {"Lime Kiln Wall"}, "d1.depth": {"18"}}
	for _, lang := range message.Languages() {
		page := s.post(at+"/plan?lang="+lang, plan).want(422)
		for _, fault := range []string{"name", "time_zone", "gf", "d0.depth", "d0.minutes", "d0.bottom", "d1.minutes"} {
			if !strings.Contains(page.Body, `id="`+fault+`-fault"`) {
				t.Errorf("%s: nothing stands by %s:\n%s", lang, fault, page.words())
			}
		}
		file := s.uploadIn(lang, "boat.csv", []byte(
			"trip;time_zone;captain;dive1_site;dive1_depth\nSaturday;Nowhere;;Anvil Ledge;deep\n")).want(422)
		alone := s.post(at+"/people/p1?lang="+lang, url.Values{"do": {"remove"}}).want(422)
		if lang == "en" {
			page.says("Dive 1 · Depth: is \"deep\": a number", "Dive 2 · Minutes: is missing",
				"Gradient factor, %: is \"7\": 30 to 95 is accepted").not("a day and a time")
			continue
		}
		page.not("accepted", "is missing")
		file.not("accepted", "is missing", "nearest")
		alone.not("only leader")
	}
}
