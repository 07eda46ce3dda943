package booking

import (
	"strings"

	"gasmuster/internal/message"
)

// grid is a file as rows of cells, as a spreadsheet shows them: rows are counted
// from 1, empty ones too.
type grid struct {
	rows []FileRow
	how  *Imported
}

// FileRow is one row of a file.
type FileRow struct {
	Number int
	Cells  []string // trimmed
}

func (r FileRow) empty() bool {
	for _, c := range r.Cells {
		if c != "" {
			return false
		}
	}
	return true
}

// Guess is how a cell was understood where it does not say so itself. Row 0 is
// the whole file.
type Guess struct {
	Row    int          `json:"row,omitempty"`
	Column string       `json:"column,omitempty"`
	Detail string       `json:"detail"`
	Line   message.Line `json:"-"` // the same in any language
}

// mostTitles is how many rows may stand above the header.
const mostTitles = 10

// headed finds the header: the first row in which most cells are columns. Rows
// above it are a title.
func (g grid) headed() (head []heading, at int, rest []FileRow) {
	best, most := 0, 1
	for i, r := range g.rows[:min(len(g.rows), mostTitles)] {
		if n := known(r); n > most {
			best, most = i, n
		}
	}
	if len(g.rows) == 0 {
		return nil, 1, nil
	}
	for _, text := range g.rows[best].Cells {
		head = append(head, understand(text))
	}
	return head, g.rows[best].Number, g.rows[best+1:]
}

func known(r FileRow) (n int) {
	for _, text := range r.Cells {
		if text != "" && understand(text).column != "" {
			n++
		}
	}
	return n
}

// reader makes a sheet of a grid: columns by their own names, cells as the trip's
// reader takes them. What it guessed on the way is said.
type reader struct {
	head    []heading
	sheet   sheet
	faults  *Faults
	guesses []Guess
	given   int            // rows with something in them
	units   map[string]int // units that depths or headers named -> where first
}

func (r *reader) guess(row int, column string, line message.Line) {
	r.guesses = append(r.guesses, Guess{row, column, english(line), line})
}

// tidy makes the sheet of a trip out of a grid.
func tidy(g grid, f *Faults) *reader {
	head, at, rows := g.headed()
	r := &reader{head: head, faults: f, units: map[string]int{}}
	if at > 1 && len(g.rows) > 0 && g.rows[0].Number < at {
		r.guess(0, "", message.Say("guess.header", message.Args{"row": message.Count(at)}))
	}
	r.sheet.headRow = at
	for _, h := range head {
		r.sheet.header = append(r.sheet.header, h.name())
	}
	for _, one := range rows {
		if !one.empty() {
			r.addRow(one)
		}
	}
	r.given = len(r.sheet.rows)
	r.joinTimes()
	r.dates()
	r.words()
	r.depths(at)
	r.names()
	r.wide()
	return r
}

// name is what the trip's reader calls the column; a header that is none keeps
// its text, so that it can be named.
func (h heading) name() string {
	if h.column != "" {
		return h.column
	}
	return strings.ReplaceAll(strings.ToLower(h.text), " ", "_")
}

// addRow keeps a row with something in it. Cells beyond the header are a fault
// unless empty: often they are a number whose decimal comma was not quoted.
func (r *reader) addRow(one FileRow) {
	width := len(r.head)
	for i := width; i < len(one.Cells); i++ {
		if one.Cells[i] != "" {
			r.faults.sayCell("", one.Number, "", message.Say("fault.file.cells",
				message.Args{"value": message.Count(len(one.Cells)), "most": message.Count(width)}))
			break
		}
	}
	cells := make([]string, width)
	copy(cells, one.Cells)
	r.sheet.rows = append(r.sheet.rows, sheetRow{number: one.Number, cells: cells})
}

// column is the place of a column, -1 when it isn't there.
func (r *reader) column(name string) int {
	for i, h := range r.sheet.header {
		if h == name {
			return i
		}
	}
	return -1
}

// each goes over the cells of a column that have something in them.
func (r *reader) each(name string, do func(row int, cell *string)) {
	i := r.column(name)
	if i < 0 {
		return
	}
	for _, one := range r.sheet.rows {
		if one.cells[i] != "" {
			do(one.number, &one.cells[i])
		}
	}
}

// addColumn adds a column with nothing in it.
func (r *reader) addColumn(name, text string) int {
	r.head = append(r.head, heading{text: text, column: name})
	r.sheet.header = append(r.sheet.header, name)
	for i := range r.sheet.rows {
		r.sheet.rows[i].cells = append(r.sheet.rows[i].cells, "")
	}
	return len(r.sheet.header) - 1
}
