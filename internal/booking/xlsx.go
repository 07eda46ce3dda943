package booking

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"gasmuster/internal/message"
)

// What a workbook may hold when it is unpacked, and how much of it is looked at.
const (
	maxUnpacked = 48 << 20 // bytes
	maxRows     = 2000
	maxColumns  = 200
)

// readXLSX reads the first sheet of a workbook that has something in it. Cells
// are taken as they were shown last: formulas are not worked out, macros, links
// and pictures are not looked at.
func readXLSX(body []byte, f *Faults) (g grid, ok bool) {
	g.how = &Imported{Encoding: "xlsx", Notes: []string{}, Guesses: []Guess{}}
	book, err := excelize.OpenReader(bytes.NewReader(body),
		excelize.Options{UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked})
	if err != nil {
		f.sayCell("", 0, "", message.Say("fault.file.workbook", nil))
		return g, false
	}
	defer book.Close()
	sheets := book.GetSheetList()
	for i, name := range sheets {
		if g.rows, ok = rowsOfSheet(book, name, f); !ok {
			return g, false
		}
		if len(g.rows) > 0 {
			if i > 0 || len(sheets) > 1 {
				g.how.note(message.Say("guess.sheet", message.Args{"value": message.Typed(name),
					"most": message.Count(len(sheets))}))
			}
			return g, true
		}
	}
	f.sayCell("", 1, "", message.Say("fault.file.empty", nil))
	return g, false
}

func rowsOfSheet(book *excelize.File, name string, f *Faults) (list []FileRow, ok bool) {
	shown, err := book.GetRows(name)
	if err != nil {
		f.sayCell("", 0, "", message.Say("fault.file.workbook", nil))
		return nil, false
	}
	raw, err := book.GetRows(name, excelize.Options{RawCellValue: true})
	if err != nil || len(raw) != len(shown) {
		raw = shown
	}
	if len(shown) > maxRows {
		f.sayCell("", maxRows+1, "", message.Say("fault.file.rows", message.Args{"most": message.Count(maxRows)}))
		return nil, false
	}
	old := epoch1904(book)
	for i := range shown {
		row := FileRow{Number: i + 1}
		for j := range shown[i][:min(len(shown[i]), maxColumns)] {
			stored := shown[i][j]
			if j < len(raw[i]) {
				stored = raw[i][j]
			}
			row.Cells = append(row.Cells, asShown(strings.TrimSpace(shown[i][j]), strings.TrimSpace(stored), old))
		}
		if !row.empty() {
			list = append(list, row)
		}
	}
	return list, true
}

func epoch1904(book *excelize.File) bool {
	p, err := book.GetWorkbookProps()
	return err == nil && p.Date1904 != nil && *p.Date1904
}

// asShown is a cell as text: a number in full, whatever the sheet shows of it; a
// share as percent; a day or a time, which are stored as numbers and shown as
// something else, as ISO 8601 has them.
func asShown(shown, stored string, epoch1904 bool) string {
	x, err := strconv.ParseFloat(stored, 64)
	switch {
	case err != nil:
		return shown
	case strings.HasSuffix(shown, "%"):
		return inFull(x*100) + " %"
	case !strings.ContainsAny(shown, ":/年月日") && !(strings.Count(shown, "-") > 1 || strings.Count(shown, ".") > 1):
		return inFull(x)
	}
	at, err := excelize.ExcelDateToTime(x, epoch1904)
	if err != nil {
		return shown
	}
	at = at.Add(30 * time.Second).Truncate(time.Minute) // a fraction of a day is not quite a minute
	switch {
	case x < 1:
		return at.Format("15:04")
	case x == float64(int(x)):
		return at.Format(time.DateOnly)
	}
	return at.Format("2006-01-02 15:04")
}

// inFull is a number without the noise of binary fractions.
func inFull(x float64) string {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	if err != nil {
		return Plain(x)
	}
	return Plain(y)
}

// templateRow is the one example of a template.
var templateRows = map[string][][]string{
	"m": {{"Saturday two-tank", "Atlantic/Azores", "2027-05-15 08:30", "m", "A|B", "Anvil Ledge", "30", "34", "22",
		"Lime Kiln Wall", "18", "none", "40", "60", "Inês", "leader", "seen", "", "32", "1", ""},
		{"", "", "", "", "", "", "", "", "", "", "", "", "", "", "Tomasz", "diver", "seen", "40", "32", "1", ""},
		{"", "", "", "", "", "", "", "", "", "", "", "", "", "", "Tomasz", "", "", "", "36", "2", ""}},
	"ft": {{"Saturday two-tank", "Atlantic/Azores", "2027-05-15 08:30", "ft", "A|B", "Anvil Ledge", "100", "112", "22",
		"Lime Kiln Wall", "60", "none", "40", "60", "Inês", "leader", "seen", "", "32", "1", ""},
		{"", "", "", "", "", "", "", "", "", "", "", "", "", "", "Tomasz", "diver", "seen", "130", "32", "1", ""},
		{"", "", "", "", "", "", "", "", "", "", "", "", "", "", "Tomasz", "", "", "", "36", "2", ""}},
}

var templateHead = []string{"trip", "time_zone", "departs_at", "units", "analysers", "dive1_site", "dive1_depth",
	"dive1_bottom", "dive1_minutes",
	"dive2_site", "dive2_depth", "dive2_bottom", "dive2_minutes", "dive2_interval", "diver", "role", "card",
	"depth_limit", "asked", "dive", "label"}

// TemplateCSV is a file to fill in, with an example in units "m" or "ft".
func TemplateCSV(units string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.WriteAll(append([][]string{templateHead}, templateRows[units]...)) // into memory
	return b.Bytes()
}

// TemplateXLSX is TemplateCSV as a workbook. Its cells are text, so that a
// spreadsheet leaves dates and numbers as they are typed.
func TemplateXLSX(units string) ([]byte, error) {
	book := excelize.NewFile()
	defer book.Close()
	sheet := book.GetSheetName(0)
	for i, row := range append([][]string{templateHead}, templateRows[units]...) {
		cell, err := excelize.CoordinatesToCellName(1, i+1)
		if err == nil {
			err = book.SetSheetRow(sheet, cell, &row)
		}
		if err != nil {
			return nil, err
		}
	}
	out, err := book.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
