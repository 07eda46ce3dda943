package picture

import (
	"math"
	"strconv"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/lettering"
	"gasmuster/internal/message"
)

// Sizes of a drawing, in units of which a phone's width is 360: a page shows it
// as it is, a photo three times as large.
const (
	Width     = 360.0
	mostAcros = 16 // columns beside each other; more stand on another drawing

	edge      = 6.0
	gutter    = 30.0 // for the figures of the depths' lines
	titleTyp  = 15.0
	labelTyp  = 13.0
	figureTyp = 13.0
	signTyp   = 17.0
	plot      = 190.0 // from the surface to the end of the scale
	names     = 112.0 // for names, which are turned
	widest    = 44.0  // of a column with its room
)

// Role is what a shape is drawn in; pages and photos have their own colours for it.
type Role string

// The roles.
const (
	Ink   Role = "ink"
	Soft  Role = "soft"
	Act   Role = "act"
	Alarm Role = "alarm"
	Card  Role = "card" // the ground
)

// Drawing is one picture as shapes, drawn in their order.
type Drawing struct {
	Height float64
	Shapes []Shape
}

// Point is a place, y downwards.
type Point struct{ X, Y float64 }

// Shape is a filled area, a line when it has a Stroke, or a text.
type Shape struct {
	Role   Role
	Points []Point
	Stroke float64
	Dashed bool
	Text   string
	Size   float64
	Bold   bool
	Turned bool   // reads downwards
	Anchor string // "start", "middle" or "end" of the text stands at its point
	RTL    bool   // the text is of a language that runs from right to left
	sign   bool   // reads the same for those who read from right to left
}

// Lay lays a picture out for one reader: depth grows downwards, each cylinder
// is a column that ends at its diver's max, plan and bottom are lines across. A
// title is for where no words stand above.
func Lay(words *message.Renderer, p message.Picture, to message.Reader, titled bool) []Drawing {
	if len(p.Rows) == 0 || !p.Planned.Known() {
		return nil
	}
	var out []Drawing
	n := (len(p.Rows) + mostAcros - 1) / mostAcros
	each := (len(p.Rows) + n - 1) / n
	for from := 0; from < len(p.Rows); from += each {
		l := layout{words: words, p: p, to: to, unit: unitOf(to, p)}
		l.scale = plot / p.Deepest(l.unit)
		if titled {
			l.title(len(out)+1, n)
		}
		rows := p.Rows[from:min(from+each, len(p.Rows))]
		l.legend()
		l.columns(rows, l.column)
		l.lines()
		l.columns(rows, l.margin)
		l.d.Height = l.surface + plot + names + 22
		if message.Direction(to.Language) == "rtl" {
			l.d.mirror()
		}
		out = append(out, l.d)
	}
	return out
}

type layout struct {
	words   *message.Renderer
	p       message.Picture
	to      message.Reader
	unit    gas.Unit
	scale   float64 // for each metre or foot
	surface float64 // where the surface lies
	d       Drawing
}

func unitOf(to message.Reader, p message.Picture) gas.Unit {
	switch to.Units {
	case "ft":
		return gas.Feet
	case "m":
		return gas.Metres
	}
	return p.Planned.Unit
}

func (l *layout) line(m message.Line) string { return l.words.Line(m, l.to) }

func (l *layout) add(s Shape) { l.d.Shapes = append(l.d.Shapes, s) }

func (l *layout) write(text string, at Point, s Shape) {
	s.Text, s.Points, s.RTL = text, []Point{at}, message.Direction(l.to.Language) == "rtl"
	if s.Role == "" {
		s.Role = Ink
	}
	if s.Anchor == "" {
		s.Anchor = "start"
	}
	l.add(s)
}

// title is two lines at the most, and which part this is.
func (l *layout) title(part, of int) {
	text := l.line(l.p.Title)
	if of > 1 {
		text += " · " + l.line(message.Say("chart.part", message.Args{"part": message.Count(part), "of": message.Count(of)}))
	}
	for _, row := range wrapped(text, titleTyp, Width-2*edge, 2) {
		l.surface += titleTyp * 1.25
		l.write(row, Point{edge, l.surface}, Shape{Size: titleTyp, Bold: true})
	}
}

// legend says what the lines across are, and lays the surface.
func (l *layout) legend() {
	y := l.surface + 18
	l.surface += 24 + signTyp + 10
	l.add(Shape{Role: Soft, Stroke: 1, Points: []Point{{gutter, l.surface}, {Width - edge, l.surface}}})
	for i, m := range l.p.DepthLines() {
		x := edge + float64(i)*Width/2
		l.add(Shape{Role: Ink, Stroke: 2.5, Dashed: i == 1, Points: []Point{{x, y - 5}, {x + 22, y - 5}}})
		l.write(clipped(l.line(m), labelTyp, Width/2-36), Point{x + 27, y}, Shape{Size: labelTyp, Bold: true})
	}
}

// lines are the plan and the bottom, over the columns, each with its figure.
func (l *layout) lines() {
	depths := []gas.Depth{l.p.Planned, l.p.Bottom}
	for i := range l.p.DepthLines() {
		depth := message.PlannedIn(depths[i], l.unit).Value
		across := []Point{{gutter, l.y(depth)}, {Width - edge, l.y(depth)}}
		l.add(Shape{Role: Card, Stroke: 5, Points: across})
		l.add(Shape{Role: Ink, Stroke: 2.5, Dashed: i == 1, Points: across})
		beside := map[int]float64{0: -2, 1: 12}[i] // close lines leave both figures readable
		l.write(figure(depth), Point{gutter - 3, l.y(depth) + beside}, Shape{Size: labelTyp, Bold: true, Anchor: "end"})
	}
}

func (l *layout) y(depth float64) float64 { return l.surface + depth*l.scale }

func figure(v float64) string { return strconv.FormatFloat(math.Round(v), 'f', -1, 64) }

func (l *layout) columns(rows []message.PictureRow, draw func(r message.PictureRow, x, room float64)) {
	room := min((Width-edge-gutter)/float64(len(rows)), widest)
	for i, r := range rows {
		draw(r, gutter+(float64(i)+0.5)*room, room)
	}
}

// column is one cylinder: the verdict's sign on top, the column, the name.
func (l *layout) column(r message.PictureRow, x, room float64) {
	l.sign(r.Fit, x, l.surface-6)
	if l.hangs(r) {
		l.body(r.Fit, x, room*0.62, l.end(r), r.Max.LimitIn(l.unit).Value > l.p.Deepest(l.unit))
	}
	l.name(r, x)
}

// over is how much deeper than planned a diver may go, in whole units.
func (l *layout) over(r message.PictureRow) float64 {
	return math.Round(r.Max.LimitIn(l.unit).Value - message.PlannedIn(l.p.Planned, l.unit).Value)
}

// hangs tells whether a row has a column. What is no-go for another cause than
// the depth, or not cleared, has none: it would look fit.
func (l *layout) hangs(r message.PictureRow) bool {
	return r.Fit.Column() && (r.Fit != message.FitDeep || l.over(r) < 0)
}

func (l *layout) end(r message.PictureRow) float64 {
	return min(l.y(r.Max.LimitIn(l.unit).Value), l.surface+plot)
}

// margin is the number under a column, on a ground of its own.
func (l *layout) margin(r message.PictureRow, x, room float64) {
	if !l.hangs(r) {
		return
	}
	text, y := signedFigure(l.over(r)), l.end(r)+14
	half := min(wide(text, figureTyp), room)/2 + 1
	l.add(Shape{Role: Card, Points: []Point{{x - half, y - 11}, {x + half, y - 11}, {x + half, y + 2}, {x - half, y + 2}}})
	l.write(text, Point{x, y}, Shape{Size: figureTyp, Bold: true, Anchor: "middle"})
}

// body is filled where the diver goes, hollow where a limit holds, and goes on
// with an arrow where the max lies beyond the scale.
func (l *layout) body(f message.Fit, x, wide, end float64, beyond bool) {
	shape := []Point{{x - wide/2, l.surface}, {x + wide/2, l.surface}, {x + wide/2, end}, {x - wide/2, end}}
	if beyond {
		shape = []Point{{x - wide/2, l.surface}, {x + wide/2, l.surface}, {x + wide/2, end - 8}, {x, end},
			{x - wide/2, end - 8}}
	}
	ground := map[message.Fit]Role{message.FitGood: Act, message.FitLimit: Card, message.FitDeep: Alarm}[f]
	l.add(Shape{Role: ground, Points: shape})
	l.add(Shape{Role: Ink, Stroke: map[bool]float64{true: 2.5, false: 1}[f == message.FitLimit],
		Points: append(shape, shape[0])})
}

// signedFigure is a margin with its sign, the true minus.
func signedFigure(v float64) string {
	switch {
	case v < 0:
		return "\u2212" + figure(-v)
	case v > 0:
		return "+" + figure(v)
	}
	return "0"
}

// sign is a verdict's, each of its own shape, standing on y.
func (l *layout) sign(f message.Fit, x, y float64) {
	s := signTyp
	at := func(dx, dy float64) Point { return Point{x + (dx-0.5)*s, y + (dy-1)*s} }
	switch f {
	case message.FitGood:
		l.add(Shape{Role: Act, Stroke: 3, sign: true, Points: []Point{at(0.1, 0.55), at(0.4, 0.85), at(0.95, 0.15)}})
	case message.FitLimit:
		l.add(Shape{Role: Ink, Points: []Point{at(0.5, 0), at(1, 0.95), at(0, 0.95)}})
	case message.FitDeep, message.FitStop:
		l.add(Shape{Role: Alarm, Points: []Point{at(0.3, 0), at(0.7, 0), at(1, 0.3), at(1, 0.7), at(0.7, 1), at(0.3, 1),
			at(0, 0.7), at(0, 0.3)}})
		l.add(Shape{Role: Card, Stroke: 3, Points: []Point{at(0.2, 0.5), at(0.8, 0.5)}})
	default:
		l.write("?", Point{x, y - 1}, Shape{Size: signTyp + 3, Bold: true, Anchor: "middle"})
	}
}

// name is the diver's, cut short where it must be, and the cylinder's label, whole.
func (l *layout) name(r message.PictureRow, x float64) {
	name, label := l.line(message.Say("page.who", message.Args{"name": r.Name})), ""
	if v, ok := r.Cylinder.Values.Of("label"); ok {
		label = " · " + l.line(message.Say("page.who", message.Args{"name": v}))
	}
	label = clipped(label, labelTyp, names*0.6)
	name = clipped(name, labelTyp, names-wide(label, labelTyp))
	l.write(name+label, Point{x - labelTyp*0.35, l.surface + plot + 18}, Shape{Size: labelTyp, Turned: true})
}

// mirror turns a drawing round for those who read from right to left.
func (d *Drawing) mirror() {
	swap := map[string]string{"start": "end", "end": "start", "middle": "middle"}
	for i := range d.Shapes {
		s := &d.Shapes[i]
		points := make([]Point, len(s.Points))
		for j, p := range s.Points {
			points[j] = Point{Width - p.X, p.Y}
		}
		if s.sign { // moved, not turned round
			first, last := s.Points[0].X, s.Points[len(s.Points)-1].X
			for j, p := range s.Points {
				points[j].X = p.X + Width - first - last
			}
		}
		s.Points = points
		if s.Turned {
			s.Points[0].X -= 2 * labelTyp * 0.35
		} else {
			s.Anchor = swap[s.Anchor]
		}
	}
}

func wide(s string, size float64) float64 { return lettering.Set(s, true, false).Width * size }

// clipped is a text cut short so that it fits.
func clipped(s string, size, most float64) string {
	if wide(s, size) <= most {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && wide(string(r)+"…", size) > most {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ") + "…"
}

// wrapped breaks a text between words into lines, the last one cut short.
func wrapped(s string, size, most float64, lines int) []string {
	var out []string
	words := strings.Fields(s)
	for i, word := range words {
		n := len(out)
		if n > 0 && wide(out[n-1]+" "+word, size) <= most {
			out[n-1] += " " + word
			continue
		}
		if n == lines {
			out[n-1] = clipped(out[n-1]+" "+strings.Join(words[i:], " "), size, most)
			return out
		}
		out = append(out, clipped(word, size, most))
	}
	return out
}
