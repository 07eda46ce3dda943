package shopapi_test

import (
	"bytes"
	"encoding/csv"
	"image/png"
	"math"
	"net/http"
	"testing"
)

type blendsAnswer struct {
	Trips   int
	Left    int `json:"left_out"`
	Overall blendGroup
	Blend   []blendGroup `json:"by_blend"`
	An      []blendGroup `json:"by_analyser"`
	Day     []blendGroup `json:"by_day"`
}

type blendGroup struct {
	Key   string
	Count int
	Off   float64  `json:"mean_off"`
	SD    *float64 `json:"standard_deviation"`
	Share float64  `json:"within_1_0"`
}

func TestBlendQuality(t *testing.T) {
	s := newStage(t)
	b := s.book()
	var empty, got blendsAnswer
	s.ask("GET", "/v1/blends", "").want(http.StatusOK).into(&empty)
	if empty.Trips != 1 || empty.Overall.Count != 0 || empty.Blend == nil || empty.Overall.SD != nil {
		t.Errorf("before any reading: got %+v", empty)
	}
	p := b.diver(t, "Tomasz")
	asked := p.Cylinders[0].Asked
	s.joined(b, p)
	s.says(b, p, "17 35.6 on A")
	s.ask("POST", b.path("/readings"), `{"cylinder": "`+string(p.Cylinders[0].ID)+
		`", "percent": 37.4, "analyser": "B"}`).want(http.StatusCreated)
	s.ask("GET", "/v1/blends", "").want(http.StatusOK).into(&got)
	if got.Overall.Count != 2 || len(got.An) != 2 || len(got.Day) != 1 || len(got.Blend) != 1 || got.An[0].Key != "A" {
		t.Fatalf("got %+v", got)
	}
	if want := (35.6+37.4)/2 - asked; math.Abs(got.Overall.Off-want) > 1e-9 || got.Overall.Share != 0.5 {
		t.Errorf("overall: got %+v, want a mean of %v off and half within 1.0", got.Overall, want)
	}
	rows, err := csv.NewReader(bytes.NewReader(s.ask("GET", "/v1/blends", "", "Accept",
		"text/csv").want(http.StatusOK).Body)).ReadAll()
	if err != nil || len(rows) != 1+1+1+2+1 || rows[1][0] != "overall" || rows[1][2] != "2" {
		t.Errorf("CSV: got %v, %v", rows, err)
	}
	if _, err := png.Decode(bytes.NewReader(s.ask("GET", "/v1/blends", "", "Accept",
		"image/png").want(http.StatusOK).Body)); err != nil {
		t.Errorf("chart: %v", err)
	}
	s.ask("GET", "/v1/blends", "", "Accept", "application/pdf").want(http.StatusNotAcceptable)
	s.ask("GET", "/v1/blends?from=2027-06-01", "").want(http.StatusUnprocessableEntity) // after the end
	s.ask("GET", "/v1/blends?day=today", "").want(http.StatusUnprocessableEntity)
	var none blendsAnswer
	s.ask("GET", "/v1/blends?from=2027-06-01&to=2027-07-01", "").want(http.StatusOK).into(&none)
	s.ask("GET", "/v1/blends", "", "Authorization", "Bearer "+keyTwo).want(http.StatusOK).into(&none)
	if none.Trips != 0 || none.Overall.Count != 0 {
		t.Errorf("of the other shop, or of another month: got %+v", none)
	}
	s.ask("GET", "/v1/blends", "", "Authorization", "").want(http.StatusUnauthorized)
}
