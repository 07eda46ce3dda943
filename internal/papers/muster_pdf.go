package papers

import "gasmuster/internal/roster"

// MusterPDF is the muster sheet of a trip, to print: empty boxes high enough for a pen.
func (p Press) MusterPDF(t *roster.Trip, language string, paper Paper) ([]byte, error) {
	w := p.teller(t, language)
	m := w.muster()
	s := newSheet(paper, m.Title, p.Now, w)
	s.numbered(m.Title)
	s.AddPage()
	s.paragraph("B", 14, m.Title)
	for _, note := range m.Notes {
		s.paragraph("", 9, note)
	}
	for _, d := range m.Dives {
		if !d.Done {
			s.musterDive(m, d)
		}
	}
	s.musterTable(m.Table)
	s.Ln(2)
	for _, caution := range m.Cautions {
		s.paragraph("B", 8, caution)
	}
	return s.bytes()
}

// Shares of the width of the sheet's columns, and how high a row is at least, in
// millimetres, so that a wet hand can write into it.
var musterShares = []float64{18, 9, 9, 10, 10, 9, 10, 10, 15}

const penHeight = 9.0

func (s *sheet) musterDive(m muster, d musterDive) {
	s.keep(30)
	s.Ln(2)
	s.paragraph("B", 11, d.Plan)
	t := table{s: s, size: 8.5, boxes: boxes, least: penHeight}
	for i, head := range m.Heads {
		t.columns = append(t.columns, column{head, musterShares[i]})
	}
	t.head()
	for _, row := range d.Rows {
		t.row(append(append([]string{}, row...), make([]string, boxes)...)...)
	}
}

// musterColumns is how many percentages stand beside each other.
const musterColumns = 5

// musterTable draws the depths downwards, column by column.
func (s *sheet) musterTable(m musterTable) {
	rows := (len(m.Rows) + musterColumns - 1) / musterColumns
	s.keep(12 + float64(rows)*5)
	s.Ln(3)
	s.paragraph("B", 11, m.Title)
	t := table{s: s, size: 9, columns: make([]column, musterColumns)}
	for i := range t.columns {
		t.columns[i].share = 1
	}
	for r := range rows {
		cells := make([]string, musterColumns)
		for c := range cells {
			if i := c*rows + r; i < len(m.Rows) {
				cells[c] = m.Rows[i][0] + " % · " + m.Rows[i][1]
			}
		}
		t.row(cells...)
	}
}
