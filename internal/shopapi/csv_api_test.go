package shopapi_test

import (
	"net/http"
	"os"
	"strings"
	"testing"

	"gasmuster/internal/booking"

	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/google/go-cmp/cmp"
)

// What isn't JSON is text to the document.
func init() {
	openapi3filter.RegisterBodyDecoder("text/csv", openapi3filter.PlainBodyDecoder)
	openapi3filter.RegisterBodyDecoder("text/calendar", openapi3filter.PlainBodyDecoder)
	openapi3filter.RegisterBodyDecoder(booking.TypeXLSX, openapi3filter.FileBodyDecoder)
	openapi3filter.RegisterBodyDecoder("text/html", openapi3filter.PlainBodyDecoder)
}

func saturdayCSV(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("../../testdata/trips/saturday.csv")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestTripsComeAsCSV(t *testing.T) {
	s := newStage(t)
	var b struct {
		trip
		Imported *struct {
			Encoding string
			Rows     int
		}
	}
	s.ask("POST", "/v1/trips", saturdayCSV(t), "Content-Type", "text/csv").want(http.StatusCreated).into(&b)
	if b.Imported == nil || b.Imported.Encoding != "utf-8" || b.Imported.Rows != 12 {
		t.Errorf("imported: %+v", b.Imported)
	}
	// NOAA's best mix for 37 m: 1.4 / (37/10 + 1) = 29.8 %; 28 when it comes out a point rich.
	if check := b.diver(t, "Tomasz").Cylinders[0].Check; check == nil || check.Recommended != 28 || check.Richest != 29 {
		t.Errorf("check of 34 %% at 37 m: %+v", check)
	}
	if b.diver(t, "Lucía").Invite == nil {
		t.Error("no invite")
	}
}

func TestABadRowStoresNothing(t *testing.T) {
	s := newStage(t)
	bad := strings.Replace(saturdayCSV(t), `"27,5"`, "27;5", 1)
	r := s.ask("POST", "/v1/trips", bad, "Content-Type", "text/csv").want(http.StatusUnprocessableEntity)
	var p struct {
		Errors []struct {
			Row    int
			Column string
		}
	}
	r.into(&p)
	if diff := cmp.Diff([]struct {
		Row    int
		Column string
	}{{12, "asked"}}, p.Errors); diff != "" {
		t.Errorf("faults (-want +got):\n%s\n%s", diff, r.Body)
	}
	var list struct{ Trips []trip }
	s.ask("GET", "/v1/trips", "").want(http.StatusOK).into(&list)
	if len(list.Trips) != 0 {
		t.Errorf("a refused trip was stored: %v", list.Trips)
	}
}

func TestCSVWithAnIdempotencyKeyHappensOnce(t *testing.T) {
	s := newStage(t)
	first := s.ask("POST", "/v1/trips", saturdayCSV(t), "Content-Type", "text/csv", "Idempotency-Key",
		"k1").want(http.StatusCreated)
	again := s.ask("POST", "/v1/trips", saturdayCSV(t), "Content-Type", "text/csv", "Idempotency-Key",
		"k1").want(http.StatusCreated)
	if string(first.Body) != string(again.Body) {
		t.Errorf("the second answer differs:\n%s\n%s", first.Body, again.Body)
	}
}
