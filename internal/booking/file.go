package booking

import (
	"bytes"
	"cmp"
	"encoding/json"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// MaxFile is how large a file may be, in bytes.
const MaxFile = 10 << 20

// TypeXLSX is the media type of an Office Open XML workbook.
const TypeXLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

// File is a file as it was understood: the table, what is wrong and what was
// guessed, each at its cell, and the trip when nothing is wrong.
type File struct {
	Header   []string // as it stands in the file
	Columns  []string // what its faults and guesses call each column
	Rows     []FileRow
	Faults   []Fault
	Imported *Imported
	Document []byte        // the trip as JSON, nil when something is wrong
	Trip     *roster.Draft // likewise; shop and id are the caller's
}

// TypeOfFile is the media type of a file: a workbook by its first bytes,
// everything else is taken for text.
func TypeOfFile(name string, body []byte) string {
	if bytes.HasPrefix(body, []byte("PK\x03\x04")) || strings.HasSuffix(strings.ToLower(name), ".xlsx") {
		return TypeXLSX
	}
	return TypeCSV
}

// ReadFile reads a trip out of CSV or a workbook.
func ReadFile(body []byte, contentType string, base *gas.Policy, now time.Time) File {
	var f Faults
	read := readCSV
	if mediaType, _, _ := mime.ParseMediaType(contentType); mediaType == TypeXLSX {
		read = func(body []byte, _ string, f *Faults) (grid, bool) { return readXLSX(body, f) }
	}
	g, ok := read(body, contentType, &f)
	out := File{Imported: g.how}
	if ok {
		out.understand(g, &f, base, now)
	}
	out.Faults = f.List
	slices.SortStableFunc(out.Faults, func(a, b Fault) int { return cmp.Compare(a.Row, b.Row) })
	return out
}

func (o *File) understand(g grid, f *Faults, base *gas.Policy, now time.Time) {
	r := tidy(g, f)
	o.Imported.Rows, o.Imported.Guesses = r.given, append(o.Imported.Guesses, r.guesses...)
	for _, h := range r.head {
		o.Header, o.Columns = append(o.Header, h.text), append(o.Columns, h.told())
	}
	for _, row := range g.rows {
		if row.Number > r.sheet.headRow && !row.empty() {
			o.Rows = append(o.Rows, row)
		}
	}
	doc, places := readTripSheet(r.sheet, f)
	trip := readTrip(doc, base, now, f)
	f.placeFaults(places)
	if len(f.List) > 0 {
		return
	}
	b, err := json.Marshal(doc)
	if err != nil {
		panic(err) // strings, numbers and what holds them
	}
	o.Trip, o.Document = trip, b
}

// told is the column by which faults and guesses call what a heading holds.
func (h heading) told() string {
	switch {
	case h.column == "date", h.column == "time":
		return "departs_at"
	case strings.HasPrefix(h.column, "asked"):
		return "asked"
	}
	return h.name()
}

// Fault is what is wrong with a cell, or with a row when column is "".
func (o File) Fault(row int, column string) (l message.Line, found bool) {
	for _, f := range o.Faults {
		if f.Row == row && f.Column == column {
			return f.Line, true
		}
	}
	return l, false
}

// Guess is how a cell was understood.
func (o File) Guess(row int, column string) (l message.Line, found bool) {
	for _, g := range o.Imported.Guesses {
		if g.Row == row && g.Column == column {
			return g.Line, true
		}
	}
	return l, false
}

// Notes are what concerns the whole file.
func (o File) Notes() []message.Line {
	list := slices.Clone(o.Imported.lines)
	for _, g := range o.Imported.Guesses {
		if g.Row == 0 {
			list = append(list, g.Line)
		}
	}
	return list
}

// err is the refusal of a file. A fault names its column as the file does.
func (o File) err() error {
	if len(o.Faults) == 0 {
		return nil
	}
	detail := "Nothing was stored. Each entry of errors names a row as the spreadsheet numbers it and a column, and " +
		"what would be accepted there."
	for _, note := range o.Notes() {
		detail += " " + english(note)
	}
	list := slices.Clone(o.Faults)
	for i := range list {
		if n := slices.Index(o.Columns, list[i].Column); n >= 0 && list[i].Column != "" {
			list[i].Column = asWritten(o.Header[n], list[i].Column)
		}
	}
	return &Refusal{Status: http.StatusUnprocessableEntity, Detail: detail, Faults: list}
}

// asWritten is a header's own text, but a column's name where that is the same.
func asWritten(text, column string) string {
	if strings.ReplaceAll(strings.ToLower(text), " ", "_") == column {
		return column
	}
	return text
}
