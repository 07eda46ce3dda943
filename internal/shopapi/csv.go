package shopapi

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"mime"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// Imported says how a CSV file was understood. Notes are what its sender
// should know of it, in the sender's words.
type Imported struct {
	Encoding  string   `json:"encoding"`  // "utf-8" or "windows-1252"
	Separator string   `json:"separator"` // "," or ";"
	Rows      int      `json:"rows"`      // with something in them, without the header
	Notes     []string `json:"notes"`
}

// sheet is a CSV file as cells. Rows are numbered as a spreadsheet shows them:
// the header is row 1, and empty rows count.
type sheet struct {
	header []string
	rows   []sheetRow
}

type sheetRow struct {
	number int
	cells  []string // trimmed; as many as the header has
}

func (r sheetRow) empty() bool {
	return !slices.ContainsFunc(r.cells, func(c string) bool { return c != "" })
}

// readSheet reads text as RFC 4180 describes it, with what spreadsheets do
// besides: semicolons for commas, a byte-order mark, LF or CR alone, and
// Windows-1252. Faults name row and column; ok is false when there is no
// table to go on with.
func readSheet(body []byte, contentType string, f *faults) (s sheet, how *Imported, ok bool) {
	how = &Imported{Notes: []string{}}
	text, ok := decode(body, contentType, how, f)
	if !ok {
		return s, how, false
	}
	records, ok := split(text, how, f)
	if !ok {
		return s, how, false
	}
	s.header = records[0].cells
	for i, name := range s.header {
		s.header[i] = strings.ReplaceAll(strings.ToLower(name), " ", "_")
	}
	for _, r := range records[1:] {
		s.addRow(r, f)
	}
	how.Rows = len(s.rows)
	return s, how, true
}

// addRow keeps a row with something in it. Cells beyond the header are a fault
// unless empty: often they are a number whose decimal comma was not quoted.
func (s *sheet) addRow(r sheetRow, f *faults) {
	if r.empty() {
		return
	}
	for i := len(s.header); i < len(r.cells); i++ {
		if r.cells[i] != "" {
			f.addCell("", r.number, "", "has %d cells, and the header has %d columns: a cell that holds the separator, such as a decimal comma between commas, must stand in double quotes",
				len(r.cells), len(s.header))
			break
		}
	}
	cells := make([]string, len(s.header))
	copy(cells, r.cells)
	s.rows = append(s.rows, sheetRow{r.number, cells})
}

// decode makes UTF-8 of a file. What is no UTF-8 and isn't said to be is taken
// for Windows-1252, which has a character for nearly every byte: so that is
// said in the answer.
func decode(body []byte, contentType string, how *Imported, f *faults) (string, bool) {
	_, params, _ := mime.ParseMediaType(contentType)
	charset := strings.ToLower(params["charset"])
	if bytes.HasPrefix(body, []byte{0xff, 0xfe}) || bytes.HasPrefix(body, []byte{0xfe, 0xff}) || bytes.IndexByte(body, 0) >= 0 {
		f.addCell("", 1, "", "is UTF-16 or no text: CSV in UTF-8 or Windows-1252 is accepted")
		return "", false
	}
	how.Encoding = "utf-8"
	body, marked := bytes.CutPrefix(body, []byte("\ufeff"))
	switch {
	case !slices.Contains([]string{"", "utf-8", "utf8", "us-ascii", "windows-1252", "iso-8859-1"}, charset):
		f.addCell("", 1, "", "is said to be in %s: charset utf-8 or windows-1252 is accepted", quoted(charset))
		return "", false
	case utf8.Valid(body):
		return string(body), true
	case marked, charset == "utf-8", charset == "utf8", charset == "us-ascii":
		f.addCell("", badRow(body), "", "is not UTF-8, which the file is said to be: send it without a charset, or save it as UTF-8")
		return "", false
	}
	text, err := charmap.Windows1252.NewDecoder().Bytes(body)
	if err != nil || bytes.ContainsRune(text, utf8.RuneError) {
		f.addCell("", 0, "", "is neither UTF-8 nor Windows-1252: save the file as UTF-8")
		return "", false
	}
	how.Encoding = "windows-1252"
	how.Notes = append(how.Notes, "The file is not UTF-8 and was read as Windows-1252. Look at the names: if letters with marks are wrong, save it as UTF-8 and send it again.")
	return string(text), true
}

// badRow is about where text stops being UTF-8.
func badRow(b []byte) int {
	row := 1
	for len(b) > 0 {
		r, n := utf8.DecodeRune(b)
		if r == utf8.RuneError && n == 1 {
			break
		}
		if r == '\n' {
			row++
		}
		b = b[n:]
	}
	return row
}

// split takes text apart into records with at least a header.
func split(text string, how *Imported, f *faults) ([]sheetRow, bool) {
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	separator, ok := separatorOf(text)
	how.Separator = string(separator)
	if !ok {
		f.addCell("", 1, "", "has neither a comma nor a semicolon: the first row is the header, with the columns separated by one of the two")
		return nil, false
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = separator, -1
	var records []sheetRow
	within := 0 // line ends inside of quotes so far: no row begins there
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return records, true
		}
		if err != nil {
			f.addCell("", lineOf(err)-within, "", "can't be read as CSV, and nothing after it: %s", whatOf(err))
			return nil, false
		}
		line, _ := r.FieldPos(0)
		row := sheetRow{number: line - within}
		for _, c := range cells {
			within += strings.Count(c, "\n")
			row.cells = append(row.cells, strings.TrimSpace(c))
		}
		records = append(records, row)
	}
}

func lineOf(err error) int {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return p.StartLine
	}
	return 1
}

func whatOf(err error) string {
	if errors.Is(err, csv.ErrQuote) || errors.Is(err, csv.ErrBareQuote) {
		return `a double quote is out of place: a cell with quotes stands in quotes, and each of its own is doubled`
	}
	return fmt.Sprintf("%v", errors.Unwrap(err))
}

// separatorOf counts what the first row that isn't empty is separated by,
// outside of quotes.
func separatorOf(text string) (rune, bool) {
	text = strings.TrimLeft(text, "\r\n")
	count := map[rune]int{}
	inside := false
	for _, r := range text {
		if r == '"' {
			inside = !inside
		}
		if r == '\n' && !inside {
			break
		}
		if !inside {
			count[r]++
		}
	}
	if count[';'] > count[','] {
		return ';', true
	}
	return ',', count[','] > 0
}
