// Package papers is what a shop prints or files: invite cards, cylinder labels,
// and the record of a trip.
//
//	roster.Trip --> Record, data and words --> JSON, CSV, HTML, PDF
//	            --> invite cards, labels   --> PDF
//	a link      --> QR code                --> PNG, SVG
//
// All sentences come from package message. PDF pages are written with embedded
// fonts that hold Latin, Greek and Cyrillic; every other script is drawn as
// outlines (text.go), from right to left where it runs so.
//
// A newcomer finds: what a record holds in record.go, version.go and readings.go, its forms
// in record_csv.go, record_html.go and record_pdf.go; the page that all PDFs are
// drawn on in sheet.go, text.go and table.go; cards.go, labels.go, qr.go.
package papers

import (
	"errors"
	"strings"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Press makes papers of trips.
type Press struct {
	Words *message.Renderer
	Now   time.Time
}

// Paper is a size of paper.
type Paper string

// The sizes that offices have.
const (
	A4     Paper = "a4"
	Letter Paper = "letter"
)

// ErrPaper says that a size is not known.
var ErrPaper = errors.New("a4 or letter is accepted")

// ReadPaper reads the name of a size; "" is A4.
func ReadPaper(s string) (Paper, error) {
	switch p := Paper(strings.ToLower(s)); p {
	case "":
		return A4, nil
	case A4, Letter:
		return p, nil
	}
	return "", ErrPaper
}

// teller writes lines for one reader about one trip.
type teller struct {
	words *message.Renderer
	to    message.Reader
	trip  *roster.Trip
}

func (p Press) teller(t *roster.Trip, language string) teller {
	return teller{words: p.Words, trip: t,
		to: message.Reader{Language: language, Units: t.Units.String(), Zone: t.Zone}}
}

// say is one line of the catalogue.
func (w teller) say(key string, a message.Args) string {
	return w.words.Line(message.Say(key, a), w.to)
}

func (w teller) line(l message.Line) string { return w.words.Line(l, w.to) }

// value is one value by itself.
func (w teller) value(v message.Value) string { return w.say("papers.value", message.Args{"value": v}) }

// number is a person's place on the trip, from 1.
func number(t *roster.Trip, id roster.PersonID) int {
	for i, p := range t.People {
		if p.ID == id {
			return i + 1
		}
	}
	return 0
}

// who is a person's name; the shop's when id is "".
func (w teller) who(id roster.PersonID) string {
	p := w.trip.Person(id)
	switch {
	case id == "":
		return w.say("leader.the-shop", nil)
	case p == nil || p.Erased:
		return w.say("leader.erased", nil)
	}
	return message.Clean(p.Name)
}

func (w teller) whoValue(id roster.PersonID) message.Value { return message.Name(w.who(id)) }

// reason is what somebody typed as one.
func (w teller) reason(s string) string {
	if s == "" {
		return w.say("reason.none", nil)
	}
	return w.say("reason", message.Args{"text": message.Text(s)})
}
