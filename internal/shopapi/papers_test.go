package shopapi_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image/png"
	"net/http"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

func init() {
	for _, media := range []string{"image/png", "image/svg+xml", "application/pdf", "text/html"} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.FileBodyDecoder)
	}
}

// everyPaper is each paper of a trip.
func everyPaper(b trip, p person) []string {
	return []string{b.path("/divers/" + string(p.ID) + "/invite.png"), b.path("/divers/" + string(p.ID) + "/invite.svg"),
		b.path("/invites.pdf"), b.path("/labels.pdf"), b.path("/muster"), b.path("/record")}
}

func TestPapersAreTheShopsOwn(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	nowhere := s.ask("GET", "/v1/trips/abcdefghij", "").want(http.StatusNotFound)
	for _, path := range everyPaper(b, p) {
		s.ask("GET", path, "").want(http.StatusOK)
		r := s.ask("GET", path, "", "Authorization", "Bearer "+keyTwo).want(http.StatusNotFound)
		if string(r.Body) != string(nowhere.Body) {
			t.Errorf("%s with the other shop's key: got %s", path, r.Body)
		}
		s.ask("GET", path, "", "Authorization", "").want(http.StatusUnauthorized)
	}
}

func TestInviteCodeOpensThePage(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	read := func(query string) string {
		t.Helper()
		r := s.ask("GET", b.path("/divers/"+string(p.ID)+"/invite.png"+query), "").want(http.StatusOK)
		img, err := png.Decode(bytes.NewReader(r.Body))
		if err != nil {
			t.Fatal(err)
		}
		bitmap, err := gozxing.NewBinaryBitmapFromImage(img)
		if err != nil {
			t.Fatal(err)
		}
		// The picture is the code and nothing else. Looking for one in a photograph, this
		// reader misses one in 200, as it takes other modules for an alignment mark.
		got, err := qrcode.NewQRCodeReader().Decode(bitmap,
			map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_PURE_BARCODE: true})
		if err != nil {
			t.Fatal(err)
		}
		return got.GetText()
	}
	if got := read(""); got != p.Invite.Chat {
		t.Errorf("got %q, want %q", got, p.Invite.Chat)
	}
	if got := read("?channel=telegram"); got != p.Invite.Telegram {
		t.Errorf("got %q, want %q", got, p.Invite.Telegram)
	}
	s.ask("GET", b.path("/divers/"+string(p.ID)+"/invite.png?channel=post"), "").want(http.StatusUnprocessableEntity)
	s.ask("GET", b.path("/divers/p99/invite.png"), "").want(http.StatusNotFound)
	s.ask("DELETE", b.path("/divers/"+string(p.ID)), "").want(http.StatusOK)
	s.ask("GET", b.path("/divers/"+string(p.ID)+"/invite.svg"), "").want(http.StatusNotFound)
}

func TestSheets(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for _, path := range []string{"/invites.pdf", "/labels.pdf"} {
		for query, box := range map[string]string{"": "595.28 841.89", "?paper=letter": "612.00 792.00"} {
			r := s.ask("GET", b.path(path+query), "").want(http.StatusOK)
			if !bytes.HasPrefix(r.Body, []byte("%PDF-")) || !bytes.Contains(r.Body, []byte(box)) ||
				r.Header.Get("Content-Type") != "application/pdf" {
				t.Errorf("%s%s: no PDF of %s points", path, query, box)
			}
		}
		s.ask("GET", b.path(path+"?paper=a3"), "").want(http.StatusUnprocessableEntity)
		s.ask("GET", b.path(path+"?size=a4"), "").want(http.StatusUnprocessableEntity)
	}
}

func TestRecordInEveryForm(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	s.joined(b, p)
	s.says(b, p, "17: 31.1")
	var r struct {
		Signed   bool `json:"signed_off"`
		Leaders  []string
		Readings []struct {
			Diver   string
			Percent float64
		}
	}
	s.ask("GET", b.path("/record"), "").want(http.StatusOK).into(&r)
	if r.Signed || len(r.Readings) != 1 || r.Readings[0].Percent != 31.1 || r.Readings[0].Diver != "Tomasz" ||
		len(r.Leaders) == 0 {
		t.Errorf("got %+v", r)
	}
	for accept, begins := range map[string]string{"application/pdf": "%PDF-", "text/html": "<!doctype html>",
		"text/csv":                         "trip,name,dive",
		"text/html;q=0.5, application/pdf": "%PDF-", "*/*": "{"} {
		got := s.ask("GET", b.path("/record"), "", "Accept", accept).want(http.StatusOK)
		if !strings.HasPrefix(string(got.Body), begins) || !strings.Contains(got.Header.Get("Vary"), "Accept") {
			t.Errorf("Accept %s: got %s %.40q", accept, got.Header.Get("Content-Type"), got.Body)
		}
	}
	rows, err := csv.NewReader(bytes.NewReader(s.ask("GET", b.path("/record?part=readings"), "", "Accept",
		"text/csv").want(http.StatusOK).Body)).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Errorf("readings as CSV: got %v, %v", rows, err)
	}
	s.ask("GET", b.path("/record"), "", "Accept", "image/png").want(http.StatusNotAcceptable)
	s.ask("GET", b.path("/record?part=all"), "").want(http.StatusUnprocessableEntity)
	page := string(s.ask("GET", b.path("/record"), "", "Accept", "text/html").want(http.StatusOK).Body)
	if !strings.Contains(page, "Not signed off") || !strings.Contains(page, "31.1") {
		t.Error("the page doesn't say that it is not signed, or lacks the reading")
	}
}

func TestPapersOfAWholeBoat(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for i := range 30 {
		s.ask("POST", b.path("/divers"), fmt.Sprintf(
			`{"name": "健二 🤿 %d", "cylinders": [{"label": "Z%d", "asked": 32, "dive": 1}]}`, i, i)).want(http.StatusCreated)
	}
	for _, path := range everyPaper(b, b.diver(t, "Tomasz")) {
		s.ask("GET", path, "", "Accept", "application/pdf, */*").want(http.StatusOK)
	}
}

// The muster sheet is a page unless a PDF is asked for.
func TestMusterSheet(t *testing.T) {
	s := newStage(t)
	b := s.book()
	page := s.ask("GET", b.path("/muster"), "").want(http.StatusOK)
	if !strings.HasPrefix(page.Header.Get("Content-Type"), "text/html") || !bytes.Contains(page.Body, []byte("Tomasz")) {
		t.Errorf("no page: %s", page.Header)
	}
	pdf := s.ask("GET", b.path("/muster?paper=letter"), "", "Accept", "application/pdf").want(http.StatusOK)
	if !bytes.HasPrefix(pdf.Body, []byte("%PDF-")) {
		t.Error("no PDF")
	}
	s.ask("GET", b.path("/muster"), "", "Accept", "image/png").want(http.StatusNotAcceptable)
	s.ask("GET", b.path("/muster?paper=a3"), "").want(http.StatusUnprocessableEntity)
}
