package desk

import (
	"io"
	"net/http"
	"strconv"

	"gasmuster/internal/booking"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// filePage shows a file as it was understood: the table, with every fault and
// every guess at its cell. Nothing is stored yet.
type filePage struct {
	formPage
	Name    string
	Head    []string
	Rows    []fileRow
	More    int // rows that are not shown
	Notes   []string
	Checked *checkedView
	Doc     string // the trip that Store stores
}

type fileRow struct {
	Number int
	Cells  []fileCell
	Fault  string // of the whole row
}

type fileCell struct{ Text, Fault, Guess string }

// mostRows is how much of a file is shown; all of it is read.
const mostRows = 400

// takeFile shows a file, or stores the trip that was shown.
func (d *Desk) takeFile(v *visit) {
	if err := v.ParseMultipartForm(booking.MaxFile + 1<<16); err != nil && v.MultipartForm == nil &&
		err != http.ErrNotMultipart {
		d.failed(v, &booking.Refusal{Status: http.StatusRequestEntityTooLarge, Line: message.Say("desk.file.large", nil)})
		return
	}
	if v.PostFormValue("do") == "store" {
		d.storeFile(v)
		return
	}
	file, head, err := v.FormFile("file")
	if err != nil {
		d.failed(v, booking.Refused(message.Say("desk.file.none", nil)))
		return
	}
	defer file.Close()
	body, err := io.ReadAll(io.LimitReader(file, booking.MaxFile+1))
	switch {
	case err != nil:
		d.failed(v, err)
	case len(body) > booking.MaxFile:
		d.failed(v, &booking.Refusal{Status: http.StatusRequestEntityTooLarge, Line: message.Say("desk.file.large", nil)})
	default:
		d.showFile(v, head.Filename, body)
	}
}

func (d *Desk) showFile(v *visit, name string, body []byte) {
	v.page.Title, v.page.Section = v.page.T("desk.file"), "new"
	read := booking.ReadFile(body, booking.TypeOfFile(name, body), v.shop.Policy, v.now)
	s := filePage{formPage: newForm(v.page), Name: roster.CleanName(name), Head: read.Header}
	for _, r := range read.Rows[:min(len(read.Rows), mostRows)] {
		s.Rows = append(s.Rows, fileRow{Number: r.Number, Cells: s.cells(read, r), Fault: s.said(read.Fault(r.Number, ""))})
	}
	s.More = max(0, len(read.Rows)-mostRows)
	s.Notes = s.lines(read.Notes())
	status := http.StatusOK
	if read.Trip != nil {
		s.Checked, s.Doc = s.checked(read.Trip.Trip, v.now), string(read.Document)
	} else {
		s.Problem, status = s.line(message.Say("desk.file.wrong", message.Args{"count": message.Count(len(read.Faults))})),
			http.StatusUnprocessableEntity
		for _, f := range read.Faults {
			s.Faults = append(s.Faults, faultView{Whole: s.at(cellName(f), s.line(f.Line))})
		}
	}
	d.show(v.w, status, "file", s)
}

// said is a line that there may be none of.
func (p page) said(l message.Line, found bool) string {
	if !found {
		return ""
	}
	return p.line(l)
}

func cellName(f booking.Fault) string {
	if f.Row == 0 {
		return f.Column
	}
	if f.Column == "" {
		return strconv.Itoa(f.Row)
	}
	return strconv.Itoa(f.Row) + " · " + f.Column
}

func (s filePage) cells(read booking.File, r booking.FileRow) (list []fileCell) {
	for i, text := range r.Cells {
		one := fileCell{Text: text}
		if i < len(read.Columns) {
			one.Fault, one.Guess = s.said(read.Fault(r.Number, read.Columns[i])), s.said(read.Guess(r.Number, read.Columns[i]))
		}
		list = append(list, one)
	}
	return list
}

// storeFile stores what was shown. It is judged again: time has passed.
func (d *Desk) storeFile(v *visit) {
	t, err := d.create(v, []byte(v.PostFormValue("doc")))
	if err != nil {
		d.failed(v, err)
		return
	}
	v.done("/desk/trips/" + string(t.ID) + "?done=stored")
}

// templateFile is an empty file to fill in.
func (d *Desk) templateFile(v *visit) {
	units := v.URL.Query().Get("units")
	if units != "ft" {
		units = "m"
	}
	switch name := v.PathValue("file"); name {
	case "trip.csv":
		d.file(v, "text/csv; charset=utf-8", name, booking.TemplateCSV(units), nil)
	case "trip.xlsx":
		body, err := booking.TemplateXLSX(units)
		d.file(v, booking.TypeXLSX, name, body, err)
	default:
		d.nothing(v.w, v.Request)
	}
}
