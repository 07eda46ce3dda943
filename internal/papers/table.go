package papers

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
}

// line is the height of one line of text.
func (t table) line() float64 { return t.size * 0.45 }

func (t table) widths() []float64 {
	total := 0.0
	for _, c := range t.columns {
		total += c.share
	}
	widths := make([]float64, len(t.columns))
	for i, c := range t.columns {
		widths[i] = t.s.inner() * c.share / total
	}
	return widths
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

func (t table) draw(style string, cells []string, head bool) {
	t.s.font(style, t.size)
	widths, lines, most := t.widths(), make([][]string, len(cells)), 1
	for i, c := range cells {
		lines[i] = t.wrap(c, widths[i]-2)
		most = max(most, len(lines[i]))
	}
	height := float64(most)*t.line() + 1.6
	if t.s.GetY()+height > t.s.height-margin-8 && t.s.GetY() > margin+30 {
		t.s.AddPage()
		if !head {
			t.head()
			t.s.font(style, t.size)
		}
	}
	x, y := margin, t.s.GetY()
	if head {
		t.s.SetFillColor(232, 232, 232)
		t.s.Rect(x, y, t.s.inner(), height, "F")
	}
	t.s.SetDrawColor(170, 170, 170)
	t.s.Line(x, y+height, x+t.s.inner(), y+height)
	for i := range cells {
		for j, l := range lines[i] {
			t.s.SetXY(x+1, y+0.8+float64(j)*t.line())
			t.s.CellFormat(widths[i]-2, t.line(), l, "", 0, "L", false, 0, "")
		}
		x += widths[i]
	}
	t.s.SetXY(margin, y+height)
}

// wrap breaks text into lines of at most width; a word that is wider is broken.
func (t table) wrap(text string, width float64) []string {
	text = t.s.ink.text(text)
	if text == "" {
		return nil
	}
	var lines []string
	for _, l := range t.s.SplitText(text, width+2*t.s.GetCellMargin()) {
		for runes := []rune(l); ; {
			n := len(runes)
			for n > 1 && t.s.GetStringWidth(string(runes[:n])) > width+2 {
				n--
			}
			lines = append(lines, string(runes[:n]))
			if runes = runes[n:]; len(runes) == 0 {
				break
			}
		}
	}
	return lines
}
