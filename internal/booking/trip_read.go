package booking

import (
	"bytes"
	"mime"
	"net/http"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// TypeCSV is the media type of comma-separated values (RFC 4180).
const TypeCSV = "text/csv"

// NotJSON says that a body could not be parsed.
func NotJSON(err error) string { return "The body is not JSON: " + err.Error() + "." }

// ReadTrip reads a new trip as JSON or CSV. It returns a *Refusal that lists
// everything that is wrong, with its place; shop and ids are the caller's.
// Imported is nil for JSON.
func ReadTrip(body []byte, contentType string, base *gas.Policy, now time.Time) (*roster.Draft, *Imported, error) {
	if mediaType, _, _ := mime.ParseMediaType(contentType); mediaType == TypeCSV || mediaType == TypeXLSX {
		return readFileTrip(body, contentType, base, now)
	}
	var f Faults
	v, err := Parse(bytes.NewReader(body), &f)
	if err != nil {
		return nil, nil, &Refusal{Status: http.StatusBadRequest, Detail: NotJSON(err)}
	}
	t := readTrip(v, base, now, &f)
	return t, nil, f.Err()
}

func readFileTrip(body []byte, contentType string, base *gas.Policy, now time.Time) (*roster.Draft, *Imported, error) {
	file := ReadFile(body, contentType, base, now)
	return file.Trip, file.Imported, file.err()
}
