package webchat

import (
	"cmp"
	"math"
	"strings"
	"unicode"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// chartView is the group's chart as the template draws it: a row for each
// cylinder with a bar down to its MOD, against lines at the planned depth and
// at the bottom. All numbers are of a drawing 320 wide.
type chartView struct {
	Title  string
	Alt    string // says the same
	Height int
	Foot   int
	Lines  []chartLine
	Rows   []chartRow
}

type chartLine struct {
	Class, Label string
	X, TextX, Y  int
	Anchor       string
}

type chartRow struct {
	Text, Fit, Symbol, Class string
	X, Y, BarX, BarY, Width  int
	Beyond                   string // an arrow where the MOD lies beyond the scale
	Known                    bool
}

// Sizes of the drawing.
const (
	chartWidth = 320
	chartLeft  = 4
	chartRight = 296
	chartHead  = 44
	rowHeight  = 62
)

// chartOf lays a picture out; without rows there is nothing to draw.
func (c *Pages) chartOf(p message.Picture, to message.Reader) chartView {
	if len(p.Rows) == 0 || !p.Planned.Known() {
		return chartView{}
	}
	unit := gas.Metres
	if cmp.Or(to.Units, p.Planned.Unit.String()) == "ft" {
		unit = gas.Feet
	}
	scale := float64(chartRight-chartLeft) / p.Deepest(unit)
	v := chartView{Title: c.Renderer.Line(p.Title, to), Height: chartHead + rowHeight*len(p.Rows) + 6, Foot: chartHead + rowHeight*len(p.Rows)}
	alt := []string{v.Title}
	lines := p.DepthLines()
	for i, l := range lines {
		depth := [2]gas.Depth{p.Planned, p.Bottom}[i]
		label := together(c.Renderer.Line(l, to))
		x := chartLeft + int(math.Round(depth.PlannedIn(unit).Value*scale))
		// The deeper one's words stand above the other's, so that they cross no line.
		v.Lines = append(v.Lines, lineAt([2]string{"planned", "bottom"}[i], label, x, 14+18*(len(lines)-1-i)))
		alt = append(alt, label)
	}
	for i, r := range p.Rows {
		text := together(c.Renderer.Line(r.Line(), to))
		row := chartRow{Text: c.rowText(r, to), Fit: c.Renderer.Line(r.FitLine(), to), Symbol: r.Fit.Symbol(), Class: cmp.Or(string(r.Fit), "unknown"), Y: chartHead + rowHeight*i + 18,
			BarY: chartHead + rowHeight*i + 26, Known: r.Fit != message.FitUnknown}
		width := int(math.Round(r.MOD.LimitIn(unit).Value * scale))
		if width > chartRight-chartLeft {
			row.Beyond = "→"
		}
		row.X, row.BarX, row.Width = chartLeft, chartLeft, min(width, chartRight-chartLeft)
		v.Rows = append(v.Rows, row)
		alt = append(alt, text)
	}
	v.Alt = strings.Join(alt, ". ") + "."
	if message.Direction(to.Language) == "rtl" {
		v.mirror()
	}
	return v
}

// mirror turns the drawing round for a text that runs from right to left,
// which begins at the right and which its anchors follow by themselves.
func (v *chartView) mirror() {
	for i := range v.Lines {
		l := &v.Lines[i]
		l.X, l.TextX = chartWidth-l.X, chartWidth-l.TextX
	}
	for i := range v.Rows {
		r := &v.Rows[i]
		r.X, r.BarX = chartWidth-r.X, chartWidth-r.BarX-r.Width
		if r.Beyond != "" {
			r.Beyond = "←"
		}
	}
}

// lineAt is a depth's line with its words on the side that has room for them.
func lineAt(class, label string, x, y int) chartLine {
	if x-4-chartLeft < 8*len([]rune(label)) {
		return chartLine{class, label, x, x + 4, y, "start"}
	}
	return chartLine{class, label, x, x - 4, y, "end"}
}

// rowText keeps a row's words inside the drawing by shortening the name: its
// numbers must be read. The words beside the drawing are whole.
func (c *Pages) rowText(r message.PictureRow, to message.Reader) string {
	const most, fewest = 43, 6
	text := together(c.Renderer.Line(r.Short(), to))
	for name := []rune(r.Name.S); seen(text) > most && r.Name.Kind == message.KindName && len(name) > fewest; {
		name = name[:max(fewest, len(name)-(seen(text)-most))]
		r.Name = message.Name(strings.TrimSpace(string(name)) + "…")
		text = together(c.Renderer.Line(r.Short(), to))
	}
	return text
}

// seen is how many characters of a text take room: marks of direction don't.
func seen(s string) int {
	n := 0
	for _, r := range s {
		if !unicode.Is(unicode.Cf, r) {
			n++
		}
	}
	return n
}

// SignY is the foot of a row's symbol and fit.
func (r chartRow) SignY() int {
	if !r.Known {
		return r.BarY + 10
	}
	return r.BarY + 26
}
