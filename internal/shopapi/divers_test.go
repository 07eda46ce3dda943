package shopapi_test

import (
	"net/http"
	"slices"
	"testing"
)

func TestAddDiver(t *testing.T) {
	s := newStage(t)
	b := s.book()
	body := `{"name": "Kenji", "card": "seen", "cylinders": [{"label": "21", "asked": 31}, {"asked": 32, "dive": 2}]}`
	var p person
	r := s.ask("POST", b.path("/divers"), body, "Idempotency-Key", "one").want(http.StatusCreated)
	r.into(&p)
	if p.ID == "" || p.Invite == nil || len(p.Cylinders) != 2 || p.Cylinders[1].Dive != 2 {
		t.Errorf("got %+v", p)
	}
	s.ask("POST", b.path("/divers"), body, "Idempotency-Key", "one").want(http.StatusCreated)
	var now trip
	s.ask("GET", b.path(""), "").want(http.StatusOK).into(&now)
	if got, want := len(now.Divers), len(b.Divers)+1; got != want {
		t.Errorf("divers: got %d, want %d", got, want)
	}
	at := s.ask("POST", b.path("/divers"),
		`{"name": "Lucía", "cylinders": [{"label": " 17", "asked": 31, "dive": 9}]}`).want(422).pointers()
	if at["/cylinders/0/label"] == "" || at["/cylinders/0/dive"] == "" {
		t.Errorf("a label that is taken and a dive that is not there: got %v", at)
	}
}

func TestPatchDiver(t *testing.T) {
	s := newStage(t)
	b := s.book()
	tomasz := b.diver(t, "Tomasz")
	path := b.path("/divers/" + string(tomasz.ID))
	var got person
	s.ask("PATCH", path, `{"team": null, "units": "ft", "depth_limit": 35}`, "Content-Type",
		"application/merge-patch+json").
		want(http.StatusOK).into(&got)
	if got.Team != "" || got.Units != "ft" || got.Limit != 35 || got.Name != "Tomasz" || len(got.Cylinders) != 2 {
		t.Errorf("got %+v", got)
	}
	first := string(tomasz.Cylinders[0].ID)
	s.ask("PATCH", path, `{"cylinders": [{"id": "`+first+`", "label": "17", "asked": 31}]}`).want(http.StatusOK).into(&got)
	if len(got.Cylinders) != 1 || string(got.Cylinders[0].ID) != first || got.Cylinders[0].Asked != 31 ||
		got.Cylinders[0].Check.Status == "no-go" {
		t.Errorf("cylinders: %+v", got.Cylinders)
	}
	at := s.ask("PATCH", path,
		`{"id": "p99", "card": "lost", "cylinders": [{"id": "c99", "asked": 31}, {"asked": 45}]}`).want(422).pointers()
	for _, want := range []string{"/id", "/card", "/cylinders/0/id", "/cylinders/1/asked"} {
		if at[want] == "" {
			t.Errorf("no fault at %s: %v", want, at)
		}
	}
	s.ask("PATCH", b.path("/divers/p99"), `{"name": "Nobody"}`).want(http.StatusNotFound)
}

func TestPatchKeepsReadingsOfACylinderNamedById(t *testing.T) {
	s := newStage(t)
	b := s.book()
	marit := b.diver(t, "Marit")
	s.joined(b, marit)
	s.says(b, marit, "20.9")
	var got person
	s.ask("PATCH", b.path("/divers/"+string(marit.ID)), `{"cylinders": [{"id": "`+string(marit.Cylinders[0].ID)+
		`", "label": "18", "asked": 21, "size": "15 l"}]}`).
		want(http.StatusOK).into(&got)
	if len(got.Cylinders) != 1 || got.Cylinders[0].Readings != 1 {
		t.Errorf("got %+v, want one cylinder with its reading", got.Cylinders)
	}
}

func TestRemovedDiverStaysOnTheBoard(t *testing.T) {
	s := newStage(t)
	b := s.book()
	marit := b.diver(t, "Marit")
	var out struct {
		OnBoard bool `json:"on_board"`
	}
	for range 2 { // DELETE is idempotent: RFC 9110, 9.2.2
		s.ask("DELETE", b.path("/divers/"+string(marit.ID)), "").want(http.StatusOK).into(&out)
		if !out.OnBoard {
			t.Error("a removed diver vanished from the board")
		}
	}
	var board board
	s.ask("GET", b.path("/board"), "").want(http.StatusOK).into(&board)
	if line := board.line(t, "Marit"); line.Status != "not-cleared" || !slices.Contains(line.Needs, "left") ||
		line.Verdict != "❓ LEFT" || board.Counts.Active != 3 {
		t.Errorf("got %+v", line)
	}
	s.ask("DELETE", b.path("/divers/"+string(b.Leaders[0].ID)), "").want(http.StatusConflict)
}
