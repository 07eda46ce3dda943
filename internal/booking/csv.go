package booking

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"mime"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"gasmuster/internal/message"
)

// Imported says how a file was understood. Notes are what its sender should know
// of it; guesses are what was understood of single cells.
type Imported struct {
	Encoding  string         `json:"encoding"`  // "utf-8", "utf-16" or "windows-1252"; "xlsx" for a workbook
	Separator string         `json:"separator"` // ",", ";" or a tab
	Rows      int            `json:"rows"`      // with something in them, without the header
	Notes     []string       `json:"notes"`
	Guesses   []Guess        `json:"guesses"`
	lines     []message.Line // the notes in any language
}

func (h *Imported) note(l message.Line) {
	h.Notes, h.lines = append(h.Notes, english(l)), append(h.lines, l)
}

// readCSV reads text as RFC 4180 describes it, with what spreadsheets do besides:
// semicolons or tabs for commas, a line that names the separator, a byte-order
// mark, LF or CR alone, UTF-16 and Windows-1252. ok is false when there is no
// table to go on with.
func readCSV(body []byte, contentType string, f *Faults) (g grid, ok bool) {
	g.how = &Imported{Notes: []string{}, Guesses: []Guess{}}
	text, ok := decode(body, contentType, g.how, f)
	if !ok {
		return g, false
	}
	g.rows, ok = split(text, g.how, f)
	return g, ok
}

// decode makes UTF-8 of a file. What is no UTF-8 and isn't said to be is taken
// for Windows-1252, which has a character for nearly every byte: so that is
// said in the answer.
func decode(body []byte, contentType string, how *Imported, f *Faults) (string, bool) {
	_, params, _ := mime.ParseMediaType(contentType)
	charset := strings.ToLower(params["charset"])
	if text, is := wide16(body); is {
		how.Encoding = "utf-16"
		return text, true
	}
	if bytes.IndexByte(body, 0) >= 0 {
		f.sayCell("", 1, "", message.Say("fault.file.text", nil))
		return "", false
	}
	how.Encoding = "utf-8"
	body, marked := bytes.CutPrefix(body, []byte("\ufeff"))
	switch {
	case !slices.Contains([]string{"", "utf-8", "utf8", "utf-16", "us-ascii", "windows-1252", "iso-8859-1"}, charset):
		f.sayCell("", 1, "", message.Say("fault.words", message.Args{"value": message.Typed(charset),
			"most": message.Text("utf-8, windows-1252")}))
		return "", false
	case utf8.Valid(body):
		return string(body), true
	case marked, charset == "utf-8", charset == "utf8", charset == "us-ascii":
		f.sayCell("", badRow(body), "", message.Say("fault.file.text", nil))
		return "", false
	}
	text, err := charmap.Windows1252.NewDecoder().Bytes(body)
	if err != nil || bytes.ContainsRune(text, utf8.RuneError) {
		f.sayCell("", 0, "", message.Say("fault.file.text", nil))
		return "", false
	}
	how.Encoding = "windows-1252"
	how.note(message.Say("guess.windows", nil))
	return string(text), true
}

// wide16 is text in UTF-16, by its mark or because every second byte of its
// beginning is zero, as in a file of Latin letters without a mark.
func wide16(body []byte) (string, bool) {
	order, mark := unicode.LittleEndian, unicode.UseBOM
	switch {
	case bytes.HasPrefix(body, []byte{0xff, 0xfe}), bytes.HasPrefix(body, []byte{0xfe, 0xff}):
	case len(body) > 8 && body[1] == 0 && body[3] == 0 && body[5] == 0 && body[0] != 0:
		mark = unicode.IgnoreBOM
	case len(body) > 8 && body[0] == 0 && body[2] == 0 && body[4] == 0 && body[1] != 0:
		order, mark = unicode.BigEndian, unicode.IgnoreBOM
	default:
		return "", false
	}
	text, err := unicode.UTF16(order, mark).NewDecoder().Bytes(body)
	if err != nil || bytes.ContainsRune(text, utf8.RuneError) || bytes.IndexByte(text, 0) >= 0 {
		return "", false
	}
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

// split takes text apart into rows.
func split(text string, how *Imported, f *Faults) ([]FileRow, bool) {
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	separator, skip, ok := separatorOf(text)
	how.Separator = string(separator)
	if !ok {
		f.sayCell("", 1, "", message.Say("fault.file.separator", nil))
		return nil, false
	}
	text = text[skip:]
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = separator, -1
	var rows []FileRow
	within := 0 // line ends inside of quotes so far: no row begins there
	if skip > 0 {
		within = -1 // the line that names the separator
	}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows, true
		}
		if err != nil {
			f.sayCell("", startOf(err)-within, "", message.Say("fault.file.quotes", nil))
			return nil, false
		}
		line, _ := r.FieldPos(0)
		row := FileRow{Number: line - within}
		for _, c := range cells {
			within += strings.Count(c, "\n")
			row.Cells = append(row.Cells, strings.TrimSpace(c))
		}
		rows = append(rows, row)
	}
}

func startOf(err error) int {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return p.StartLine
	}
	return 1
}

// separatorOf is what the columns are separated by: what a first line "sep=;"
// says, whose length is skip, or what the first lines have most of outside of
// quotes.
func separatorOf(text string) (separator rune, skip int, ok bool) {
	if line, _, _ := strings.Cut(text, "\n"); strings.HasPrefix(strings.ToLower(line), "sep=") {
		if rest := []rune(strings.TrimSuffix(line[4:], "\r")); len(rest) == 1 && strings.ContainsRune(",;\t", rest[0]) {
			return rest[0], min(len(line)+1, len(text)), true
		}
	}
	count := map[rune]int{}
	inside, lines := false, 0
	for _, r := range text {
		switch {
		case r == '"':
			inside = !inside
		case r == '\n' && !inside:
			lines++
		case !inside:
			count[r]++
		}
		if lines > mostTitles {
			break
		}
	}
	separator = ','
	for _, other := range ";\t" {
		if count[other] > count[separator] {
			separator = other
		}
	}
	return separator, 0, count[separator] > 0
}
