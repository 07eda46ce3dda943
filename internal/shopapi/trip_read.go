package shopapi

import (
	"bytes"
	"mime"
	"net/http"
	"time"

	"gasmuster/internal/roster"
)

// ReadTrip reads a new trip as JSON or CSV. It returns a *Refusal that lists
// everything that is wrong, with its place; shop and ids are the caller's.
// Imported is nil for JSON.
func ReadTrip(body []byte, contentType string, now time.Time) (*roster.Trip, *Imported, error) {
	if mediaType, _, _ := mime.ParseMediaType(contentType); mediaType == typeCSV {
		return readCSVTrip(body, contentType, now)
	}
	var f faults
	v, err := parse(bytes.NewReader(body), &f)
	if err != nil {
		return nil, nil, &Refusal{Status: http.StatusBadRequest, Detail: notJSON(err)}
	}
	t := readTrip(v, now, &f)
	return t, nil, f.err()
}

func readCSVTrip(body []byte, contentType string, now time.Time) (*roster.Trip, *Imported, error) {
	var f faults
	s, how, ok := readSheet(body, contentType, &f)
	if !ok {
		return nil, how, f.cellErr(how)
	}
	doc, places := readTripSheet(s, &f)
	t := readTrip(doc, now, &f)
	f.placeFaults(places)
	return t, how, f.cellErr(how)
}

// cellErr is err for what came as CSV.
func (f *faults) cellErr(how *Imported) error {
	if len(f.list) == 0 {
		return nil
	}
	detail := "Nothing was stored. Each entry of errors names a row (the header is row 1) and a column, and what would be accepted there."
	for _, note := range how.Notes {
		detail += " " + note
	}
	return &Refusal{http.StatusUnprocessableEntity, detail, f.list}
}
