package desk_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
)

// key names the fields of a diver's first cylinder.
func (s *stage) key(id string, name string) (key, cylinder string) {
	for _, p := range s.trip(s.list("one")[0]).People {
		if p.Name == name {
			return id + "." + string(p.Cylinders[0].ID), string(p.Cylinders[0].ID)
		}
	}
	s.t.Fatalf("nobody is called %s", name)
	return "", ""
}

// A tick is the shop's own analysis, never the diver's.
func TestATickIsTheShopsAnalysis(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	key, _ := s.key(string(id), "Tomasz")
	s.get("/desk/fills?day=2027-05-15").want(200).says("34 %", "Cylinders in all", "Anvil Ledge", "Kenji")
	s.post("/desk/fills", url.Values{"day": {"2027-05-15"}, "initials": {"JB"}, "filled." + key: {"1"},
		"percent." + key: {"35,8"}, "once": {"a"}}).
		want(http.StatusSeeOther)
	s.get("/desk/fills?day=2027-05-15").says("35.8 % JB", "filled 12:00")
	c := s.person(id, "Tomasz").Cylinders[0]
	if len(c.Fills) != 1 || len(c.Readings) != 1 || c.Readings[0].Entrant != gas.ByShop ||
		c.Readings[0].Percent != 35.8 || c.Readings[0].Initials != "JB" {
		t.Fatalf("got %+v, %+v", c.Fills, c.Readings)
	}
	trip := s.trip(id)
	if got := trip.Clearance(s.person(id, "Tomasz").ID, 1, s.now); got.Status == gas.Go || len(got.Owes) == 0 {
		t.Errorf("the shop's analysis stood in for the diver's: %+v", got)
	}
}

func TestWhatWasMistypedIsAskedBack(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	tomasz, _ := s.key(string(id), "Tomasz")
	kenji, _ := s.key(string(id), "Kenji")
	form := url.Values{"day": {"2027-05-15"}, "percent." + tomasz: {"0.36"}, "percent." + kenji: {"30.6"}, "once": {"a"}}
	page := s.post("/desk/fills", form).want(422).says("1 cylinder was not stored", "from 15 to 45",
		"The analyser showed it")
	if !strings.Contains(page.Body, `value="0.36"`) {
		t.Error("what was typed is lost")
	}
	if n := len(s.person(id, "Tomasz").Cylinders[0].Readings); n != 0 {
		t.Errorf("%d readings stored", n)
	}
	if n := len(s.person(id, "Kenji").Cylinders[0].Readings); n != 1 {
		t.Errorf("the other one was not stored: %d", n)
	}
	form.Set("sure."+tomasz, "1")
	form.Set("percent."+tomasz, "12")
	form.Del("percent." + kenji)
	form.Set("once", "b")
	s.post("/desk/fills", form).want(http.StatusSeeOther)
	if n := len(s.person(id, "Tomasz").Cylinders[0].Readings); n != 1 {
		t.Errorf("sure, and %d readings", n)
	}
}

func TestTheListIsLockedAndWhatChangesThenIsOnTop(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	s.post("/desk/fills", url.Values{"day": {"2027-05-15"}, "do": {"lock"}}).want(http.StatusSeeOther)
	if s.trip(id).FillLocked.IsZero() {
		t.Fatal("not locked")
	}
	s.now = s.now.Add(time.Hour)
	c := s.person(id, "Aoife").Cylinders[0]
	s.post("/desk/trips/"+string(id), url.Values{"do": {"order"}, "cylinder": {string(c.ID)}, "asked": {"30"}}).want(
		http.StatusSeeOther)
	page := s.get("/desk/fills?day=2027-05-15").says("now 30 %, 28 % when the list was locked").words()
	if late, misfit := strings.Index(page, "now 30 %"), strings.Index(page, "34 % is too rich"); late > misfit {
		t.Error("what changed since is not on top")
	}
}

func TestAShopsAnalysisIsTakenBack(t *testing.T) {
	s := newStage(t)
	id := s.booked()
	key, _ := s.key(string(id), "Tomasz")
	s.post("/desk/fills", url.Values{"day": {"2027-05-15"}, "percent." + key: {"33.1"}}).want(http.StatusSeeOther)
	p := s.person(id, "Tomasz")
	at := "/desk/trips/" + string(id) + "/people/" + string(p.ID)
	s.get(at).says("The shop's own analyses", "33.1 %")
	s.post(at, url.Values{"do": {"undo"}, "reading": {string(p.Cylinders[0].Readings[0].ID)}}).want(http.StatusSeeOther)
	if s.person(id, "Tomasz").Cylinders[0].Readings[0].Undone.IsZero() {
		t.Error("still there")
	}
}
