package papers

import (
	"strings"

	"github.com/rivo/uniseg"
)

// column is one of a table: its head, and its share of the width.
type column struct {
	head  string
	share float64
}

// table draws rows of wrapped text; its head is repeated on each page.
type table struct {
	s       *sheet
	columns []column
	size    float64 // of the letters, points
	loud    int     // which cell stands out, from 1; 0 for none
	dark    bool
	boxes   int     // so many columns at the end are framed, to write into
	least   float64 // of a row's height, millimetres
}

// line is the height of one line of text.
func (t table) line() float64 { return t.size * 0.45 }

// widths are those of the columns: their shares, and more where a word of the
// head needs it, at the others' cost.
func (t table) widths() []float64 {
	total, room := 0.0, t.s.inner()
	for _, c := range t.columns {
		total += c.share
	}
	widths := make([]float64, len(t.columns))
	t.s.font("B", t.size)
	for i := 0; i < len(widths); i++ {
		c := t.columns[i]
		if least := t.s.longest(c.head) + 2.1; widths[i] == 0 && least > room*c.share/total {
			widths[i] = least
			room, total, i = room-least, total-c.share, -1 // the rest have less now: look again
		}
	}
	for i, c := range t.columns {
		if widths[i] == 0 {
			widths[i] = room * c.share / total
		}
	}
	return widths
}

// longest is how wide the longest piece of a text is that no line breaks in, and
// at most a quarter of the page.
func (s *sheet) longest(text string) (width float64) {
	for rest, state := s.prepared(text), -1; rest != ""; {
		var piece string
		piece, rest, _, state = uniseg.FirstLineSegmentInString(rest, state)
		width = max(width, s.measure(strings.TrimRight(piece, " ")))
	}
	return min(width, s.inner()/4)
}

func (t table) head() {
	cells := make([]string, len(t.columns))
	for i, c := range t.columns {
		cells[i] = c.head
	}
	t.draw("B", cells, true)
}

// row draws one row, on the next page when it doesn't fit on this one.
func (t table) row(cells ...string) { t.draw("", cells, false) }

// stress is a row whose cell n, a verdict, is bold; dark is white on black.
func (t table) stress(n int, dark bool, cells ...string) {
	t.loud, t.dark = n+1, dark
	t.draw("", cells, false)
}

// style is that of cell i.
func (t table) style(i int, style string) string {
	if i == t.loud-1 {
		return "B"
	}
	return style
}

func (t table) draw(style string, cells []string, head bool) {
	widths, lines, most := t.widths(), make([][]string, len(cells)), 1
	for i, c := range cells {
		t.s.font(t.style(i, style), t.size)
		lines[i] = t.s.wrap(c, widths[i]-2)
		most = max(most, len(lines[i]))
	}
	height := float64(most)*t.line() + 1
	if !head {
		height = max(height, t.least)
	}
	if t.s.GetY()+height > t.s.height-margin-8 && t.s.GetY() > margin+30 {
		t.s.AddPage()
		if !head {
			t.head()
		}
	}
	y := t.s.GetY()
	if head {
		t.s.SetFillColor(232, 232, 232)
		t.s.Rect(margin, y, t.s.inner(), height, "F")
	}
	t.s.SetDrawColor(170, 170, 170)
	t.s.Line(margin, y+height, margin+t.s.inner(), y+height)
	for i, x := range t.lefts(widths) {
		t.s.font(t.style(i, style), t.size)
		t.cell(lines[i], x, y, widths[i], height, t.dark && i == t.loud-1)
		if !head && i >= len(widths)-t.boxes {
			t.s.Rect(x, y, widths[i], height, "D")
		}
	}
	t.s.SetXY(margin, y+height)
}

// lefts are where the columns begin: the first at the left, or at the right for
// those who read from there.
func (t table) lefts(widths []float64) []float64 {
	x, lefts := margin, make([]float64, len(widths))
	for i, w := range widths {
		lefts[i] = x
		if t.s.rtl {
			lefts[i] = 2*margin + t.s.inner() - x - w
		}
		x += w
	}
	return lefts
}

func (t table) cell(lines []string, x, y, width, height float64, dark bool) {
	if dark {
		t.s.SetFillColor(0, 0, 0)
		t.s.Rect(x, y, width, height, "F")
		t.s.SetTextColor(255, 255, 255)
		defer t.s.SetTextColor(0, 0, 0)
	}
	for j, l := range lines {
		t.s.put(x+1, y+0.5+float64(j)*t.line(), width-2, t.line(), l)
	}
}
