package shopapi_test

import (
	"net/http"
	"os"
	"strings"
	"testing"

	"gasmuster/internal/booking"
)

func TestADryRunStoresNothing(t *testing.T) {
	s := newStage(t)
	var checked trip
	s.ask("POST", "/v1/trips?dry_run=true", sample(t)).want(http.StatusOK).into(&checked)
	if checked.ID != "" || checked.diver(t, "Tomasz").Invite != nil ||
		checked.diver(t, "Tomasz").Cylinders[0].Check == nil {
		t.Errorf("got %+v", checked)
	}
	s.ask("POST", "/v1/trips?dry_run=true", strings.Replace(sample(t), `"m"`, `"yd"`, 1)).want(422)
	s.ask("POST", "/v1/trips?dry_run=maybe", sample(t)).want(422)
	var list struct{ Trips []trip }
	s.ask("GET", "/v1/trips", "").want(200).into(&list)
	if len(list.Trips) != 0 {
		t.Errorf("%d trips", len(list.Trips))
	}
}

func TestAWorkbookIsATrip(t *testing.T) {
	s := newStage(t)
	body := s.ask("GET", "/v1/trips/template.xlsx?units=ft", "").want(200).Body
	var b trip
	s.ask("POST", "/v1/trips", string(body), "Content-Type", booking.TypeXLSX).want(http.StatusCreated).into(&b)
	if len(b.Divers) != 1 || b.Divers[0].Name != "Tomasz" {
		t.Errorf("got %+v", b)
	}
	csv := s.ask("GET", "/v1/trips/template.csv", "").want(200).Body
	s.ask("POST", "/v1/trips", string(csv), "Content-Type", "text/csv").want(http.StatusCreated)
}

// RFC 9110, 13.1.1 and 13.1.2.
func TestTagsOfATrip(t *testing.T) {
	s := newStage(t)
	b := s.book()
	tag := s.ask("GET", b.path(""), "").want(200).Header.Get("ETag")
	if tag == "" {
		t.Fatal("no ETag")
	}
	s.ask("GET", b.path(""), "", "If-None-Match", tag).want(http.StatusNotModified)
	list := s.ask("GET", "/v1/trips", "").want(200).Header.Get("ETag")
	s.ask("GET", "/v1/trips", "", "If-None-Match", list).want(http.StatusNotModified)
	next := s.ask("PATCH", b.path(""), `{"name":"Saturday"}`, "If-Match", tag).want(200).Header.Get("ETag")
	if next == tag {
		t.Error("the tag stayed")
	}
	s.ask("PATCH", b.path(""), `{"name":"Sunday"}`, "If-Match", tag).want(http.StatusPreconditionFailed)
	var after trip
	s.ask("GET", b.path(""), "", "If-None-Match", tag).want(200).into(&after)
	if after.Name != "Saturday" {
		t.Errorf("got %q: a change that was refused was stored", after.Name)
	}
	s.ask("GET", "/v1/trips", "", "If-None-Match", list).want(200)
	s.ask("PATCH", b.path(""), `{"name":"Sunday"}`, "If-Match", `"1", `+next).want(200)
}

func TestPutByRefIsSafeToRepeat(t *testing.T) {
	s := newStage(t)
	var first, second, third trip
	s.ask("PUT", "/v1/by-ref/B-1042", sample(t)).want(http.StatusCreated).into(&first)
	s.ask("PUT", "/v1/by-ref/B-1042", sample(t)).want(200).into(&second)
	if first.ID != second.ID {
		t.Fatalf("two trips: %s, %s", first.ID, second.ID)
	}
	if got, want := second.diver(t, "Tomasz"), first.diver(t, "Tomasz"); got.ID != want.ID ||
		got.Cylinders[0].ID != want.Cylinders[0].ID {
		t.Errorf("Tomasz is %+v, was %+v", got, want)
	}
	changed := strings.NewReplacer(`"Tomasz"`, `"Sefa"`, `"Saturday two-tank"`, `"Saturday"`).Replace(sample(t))
	s.ask("PUT", "/v1/by-ref/B-1042", changed).want(200).into(&third)
	if third.Name != "Saturday" || third.diver(t, "Tomasz").Left.IsZero() || third.diver(t, "Sefa").Invite == nil {
		t.Errorf("got %+v", third)
	}
	s.ask("PUT", "/v1/by-ref/B-1043", strings.Replace(sample(t), "{", `{"external_ref":"B-1042",`, 1)).want(422)
	s.ask("POST", "/v1/trips", strings.Replace(sample(t), "{", `{"external_ref":"B-1042",`, 1)).want(http.StatusConflict)
}

func TestCopyOverTheAPI(t *testing.T) {
	s := newStage(t)
	b := s.book()
	var again trip
	s.ask("POST", b.path("/copy"), `{"departs_at":"2027-05-22T08:30:00Z","people":true}`).want(http.StatusCreated).into(
		&again)
	if again.ID == b.ID || len(again.Divers) != len(b.Divers) || again.Departs.Day() != 22 {
		t.Errorf("got %+v", again)
	}
	s.ask("POST", b.path("/copy"), `{"departs_at":"2020-05-22T08:30:00Z"}`).want(422)
}

func TestFillsOfADay(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.book()
	var list struct {
		Total int
		Trips []struct{ Trip string }
	}
	s.ask("GET", "/v1/fills?from=2027-05-15&to=2027-05-16", "").want(200).into(&list)
	if len(list.Trips) != 2 || list.Total == 0 || list.Total%2 != 0 {
		t.Errorf("got %+v", list)
	}
	csv := string(s.ask("GET", "/v1/fills?from=2027-05-15&to=2027-05-16", "", "Accept", "text/csv").want(200).Body)
	if strings.Count(csv, "\r\n") != list.Total+1 || !strings.Contains(csv, string(b.ID)) {
		t.Errorf("got %s", csv)
	}
	for _, path := range []string{"/v1/fills?from=2027-05-15&to=2027-05-16", b.path("/fills")} {
		if pdf := s.ask("GET", path, "", "Accept", "application/pdf").want(200).Body; !strings.HasPrefix(string(pdf),
			"%PDF-") {
			t.Errorf("%s: %.20s", path, pdf)
		}
	}
	page := string(s.ask("GET", "/v1/fills?from=2027-05-15&to=2027-05-16", "", "Accept", "text/html", "Accept-Language",
		"de").want(200).Body)
	if strings.Count(page, "<tr><td>") != list.Total || strings.Count(page, "Tomasz") < 4 ||
		!strings.Contains(page, `<html lang="de" dir="ltr">`) {
		t.Errorf("got %s", page)
	}
	s.ask("GET", "/v1/fills?from=2027-05-16&to=2027-05-15", "").want(422)
}

// RFC 5545, 3.1 and 3.4: lines end with CRLF and have 75 bytes at most.
func TestCalendar(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for _, path := range []string{b.path("/calendar.ics"), "/v1/calendar.ics"} {
		text := string(s.ask("GET", path, "").want(200).Body)
		for _, part := range []string{"BEGIN:VCALENDAR\r\n", "DTSTART:20270515T083000Z\r\n", "SUMMARY:Saturday two-tank\r\n",
			"END:VCALENDAR\r\n"} {
			if !strings.Contains(text, part) {
				t.Errorf("%s lacks %q:\n%s", path, part, text)
			}
		}
		for _, line := range strings.Split(text, "\r\n") {
			if len(line) > 75 || strings.Contains(line, "\n") {
				t.Errorf("a line of %d bytes: %q", len(line), line)
			}
		}
		if strings.Contains(text, "Tomasz") {
			t.Error("a diver is named in a file that is passed on")
		}
	}
}

func TestJSONHasToBeUTF8(t *testing.T) {
	s := newStage(t)
	s.ask("POST", "/v1/trips", strings.Replace(sample(t), "Inês", "In\xeas", 1)).want(http.StatusBadRequest)
	b := s.book()
	s.ask("PATCH", b.path(""), "{\"name\":\"In\xeas\"}").want(http.StatusBadRequest)
}

func TestAMistypedReadingIsAskedBack(t *testing.T) {
	s := newStage(t)
	b := s.book()
	c := string(b.diver(t, "Tomasz").Cylinders[0].ID)
	for _, percent := range []string{"0.32", "200", "12", "46"} {
		if got := s.ask("POST", b.path("/readings"), `{"cylinder":"`+c+`","percent":`+percent+
			`}`).want(422).pointers(); got["/percent"] == "" {
			t.Errorf("%s: %v", percent, got)
		}
	}
	var r struct{ ID string }
	s.ask("POST", b.path("/readings"), `{"cylinder":"`+c+`","percent":46,"sure":true,"initials":"JB"}`).want(
		http.StatusCreated).into(&r)
	var back struct {
		ID, Cylinder string
		Percent      float64
	}
	s.ask("DELETE", b.path("/readings/"+r.ID), "").want(http.StatusOK).into(&back)
	if back.ID != r.ID || back.Cylinder != c || back.Percent != 46 {
		t.Errorf("taken back: %+v", back)
	}
	s.ask("DELETE", b.path("/readings/r999"), "").want(http.StatusNotFound)
}

func TestADiversReadingIsNotTheShopsToTakeBack(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	s.joined(b, p)
	s.says(b, p, "17 31.8")
	loaded, err := s.store.Load(t.Context(), b.ID, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range loaded.Trip.Person(p.ID).Cylinders {
		for _, r := range one.Readings {
			s.ask("DELETE", b.path("/readings/"+string(r.ID)), "").want(http.StatusConflict)
			return
		}
	}
	t.Error("no reading was found")
}

func TestUnitsAndZonePutRight(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.ask("PATCH", b.path(""), `{"time_zone":"Europe/Lisbon","analysers":["C"]}`).want(200)
	s.ask("PATCH", b.path(""),
		`{"units":"ft","dives":[{"site":"Anvil Ledge","depth":100,"minutes":18},{"site":"Lime Kiln Wall","depth":60,"minutes":40,"interval":60}]}`).want(200)
	p := b.diver(t, "Tomasz")
	s.joined(b, p)
	s.says(b, p, "17 31.8")
	if got := s.ask("PATCH", b.path(""), `{"units":"m"}`).want(422).pointers(); !strings.Contains(got["/units"],
		"once something was analysed") {
		t.Errorf("got %v", got)
	}
}

func TestTheDocumentIsWhole(t *testing.T) {
	text, err := os.ReadFile("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{`"servers"`, `"license"`, `"tags"`} {
		if !strings.Contains(string(text), part) {
			t.Errorf("openapi.json lacks %s", part)
		}
	}
}

func TestCallOffOverTheAPI(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.ask("DELETE", b.path(""), `{}`).want(422)
	var off struct {
		CalledOff struct{ Reason string } `json:"called_off"`
		Told      int
		NotTold   []struct{ Name string } `json:"not_told"`
	}
	s.joined(b, b.diver(t, "Tomasz"))
	s.ask("DELETE", b.path(""), `{"reason":"No wind"}`).want(200).into(&off)
	if off.CalledOff.Reason != "No wind" || off.Told != 1 || len(off.NotTold) != 2 || off.NotTold[0].Name != "Inês" {
		t.Errorf("got %+v", off)
	}
	s.ask("PATCH", b.path(""), `{"name":"Later"}`).want(http.StatusConflict)
}
