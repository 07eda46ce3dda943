package shopapi_test

import (
	"context"
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
)

type signatures struct {
	Signatures []struct {
		Dive     int
		By, Name string
		Standing bool
		State    string
		Differs  *struct{ What, Person, Text string }
	}
}

// presses presses the newest button offered to somebody whose words begin so.
func (s *stage) presses(b trip, p person, verb string) {
	s.t.Helper()
	waiting, err := s.store.Outbox().Waiting(context.Background(), b.ID)
	if err != nil {
		s.t.Fatal(err)
	}
	do := ""
	for _, e := range waiting {
		var m message.Message
		if e.Person != p.ID || json.Unmarshal(e.Payload, &m) != nil {
			continue
		}
		for _, row := range m.Buttons {
			for _, button := range row {
				if strings.HasPrefix(button.Do, verb) {
					do = button.Do
				}
			}
		}
	}
	if do == "" {
		s.t.Fatalf("%s is offered no %q", p.Name, verb)
	}
	s.does(b, p, delivery.Inbound{Kind: conversation.Button, Do: do})
}

// A signature stands until a fact of it differs; then the first one that does
// is named, and the signature stays on the list.
func TestSignatures(t *testing.T) {
	s := newStage(t)
	var b trip
	s.ask("POST", "/v1/trips", `{"name": "Friday wall", "time_zone": "Atlantic/Azores", "departs_at": "2027-05-13T13:00:00Z", "units": "m",
		"dives": [{"site": "Lime Kiln Wall", "depth": 18, "minutes": 20}], "leaders": [{"name": "Inês"}], "analysers": ["A"],
		"divers": [{"name": "Tomasz", "card": "seen", "cylinders": [{"label": "T1", "asked": 32}]}]}`).want(http.StatusCreated).into(&b)
	ines, tomasz := b.diver(t, "Inês"), b.diver(t, "Tomasz")
	s.joined(b, ines)
	s.joined(b, tomasz)
	s.says(b, tomasz, "T1 31.8 on A, air 20.9")
	s.says(b, ines, "/boat")
	s.says(b, ines, "/signoff")
	var got signatures
	if s.ask("GET", b.path("/signatures"), "").want(http.StatusOK).into(&got); len(got.Signatures) != 0 {
		t.Fatalf("before anybody signed: %+v", got)
	}
	s.presses(b, ines, "lsign")
	s.ask("GET", b.path("/signatures"), "").want(http.StatusOK).into(&got)
	if len(got.Signatures) != 1 || !got.Signatures[0].Standing || got.Signatures[0].State != "standing" ||
		got.Signatures[0].Name != "Inês" || got.Signatures[0].Dive != 1 {
		t.Fatalf("signed: %+v", got)
	}
	var dive board
	if s.ask("GET", b.path("/board"), "").want(http.StatusOK).into(&dive); !dive.Signed || dive.Status != "go" {
		t.Errorf("the board: signed %v, %s", dive.Signed, dive.Status)
	}
	s.now = s.now.Add(time.Minute)
	s.ask("POST", b.path("/fills/"+string(tomasz.Cylinders[0].ID)), "").want(http.StatusOK)
	s.ask("GET", b.path("/signatures"), "").want(http.StatusOK).into(&got)
	one := got.Signatures[0]
	if len(got.Signatures) != 1 || one.Standing || one.State != "broken" || one.Differs == nil ||
		one.Differs.Person != string(tomasz.ID) ||
		one.Differs.Text == "" || strings.Contains(one.Differs.Text, "⟦") {
		t.Errorf("after a refill: %+v, %+v", one, one.Differs)
	}
	if s.ask("GET", b.path("/board"), "").want(http.StatusOK).into(&dive); dive.Signed || dive.Status != "not-cleared" {
		t.Errorf("the board after a refill: signed %v, %s", dive.Signed, dive.Status)
	}
}
