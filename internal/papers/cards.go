package papers

import (
	"slices"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Card is one person's invite. Telegram is "" while that channel is off.
type Card struct {
	Person   roster.PersonID
	Chat     string
	Telegram string
}

// Cards draws invite cards to cut out, each in its diver's own language where
// that can be drawn.
func (p Press) Cards(t *roster.Trip, cards []Card, language string, paper Paper) ([]byte, error) {
	w := p.teller(t, language)
	s := newSheet(paper, w.say("papers.invites", message.Args{"trip": message.Name(t.Name)}), p.Now, w)
	s.SetAutoPageBreak(false, 0)
	rows := 4
	if slices.ContainsFunc(cards, func(c Card) bool { return c.Telegram != "" }) {
		rows = 3 // room for a second code
	}
	g := s.grid(2, rows)
	for i, c := range cards {
		x, y := g.place(s, i)
		if err := s.card(p, t, c, x, y, g.width, g.height); err != nil {
			return nil, err
		}
	}
	if len(cards) == 0 {
		s.AddPage()
		s.paragraph("", 11, w.say("papers.invites.none", nil))
	}
	return s.bytes()
}

// grid is fields of one size to cut out.
type grid struct {
	columns, rows int
	width, height float64
}

// foot is the room below a grid.
const foot = 12.0

func (s *sheet) grid(columns, rows int) grid {
	return grid{columns, rows, s.inner() / float64(columns), (s.height - 2*margin - foot) / float64(rows)}
}

// place is where field i goes; it begins pages and draws the lines to cut along.
func (g grid) place(s *sheet, i int) (x, y float64) {
	n := i % (g.columns * g.rows)
	if n == 0 {
		s.AddPage()
	}
	x, y = margin+float64(n%g.columns)*g.width, margin+float64(n/g.columns)*g.height
	s.SetDrawColor(150, 150, 150)
	s.SetLineWidth(0.2)
	s.SetDashPattern([]float64{1.5, 1.5}, 0)
	s.Rect(x, y, g.width, g.height, "D")
	s.SetDashPattern(nil, 0)
	return x, y
}

func (s *sheet) card(p Press, t *roster.Trip, c Card, x, y, width, height float64) error {
	person := t.Person(c.Person)
	if person == nil {
		return roster.ErrNotFound
	}
	w := s.words
	if person.Language != "" {
		w = p.teller(t, person.Language)
	}
	defer func(was bool) { s.rtl = was }(s.rtl)
	s.rtl = direction(w.to.Language) == "rtl"
	const pad = 4.0
	side := min(height-2*pad-6, width*0.42)
	if err := s.qr(c.Chat, x+pad-2, y+pad-1, side); err != nil {
		return err
	}
	left, room := x+pad+side, width-side-2*pad
	s.SetY(y + pad)
	s.fitted("B", 14, 8, left, room, 2, message.Clean(person.Name))
	s.block(left, room, "B", 9, w.value(message.Name(t.Name)))
	s.block(left, room, "", 8.5, w.value(message.Moment(t.Departs, t.Zone)))
	s.Ln(1)
	s.block(left, room, "", 8.5, w.say("papers.invite.scan", nil))
	s.block(left, room, "B", 8.5, w.say("papers.invite.alone", nil))
	if c.Telegram != "" {
		if err := s.telegram(c.Telegram, left, y, room, height); err != nil {
			return err
		}
	}
	s.SetY(y + height - 7.5)
	s.rtl = false
	s.fitted("", 7, 4, x+pad, width-2*pad, 1, c.Chat)
	return nil
}

// block writes wrapped text into a column.
func (s *sheet) block(x, width float64, style string, size float64, text string) {
	s.font(style, size)
	s.flow(x, width, size*0.46, text, false)
}

// telegram draws the smaller code that opens the chat there.
func (s *sheet) telegram(link string, left, y, room, height float64) error {
	side := min(22.0, y+height-9-s.GetY())
	if side < 17 {
		return nil // no room for one that a phone can read: the page has the link too
	}
	if err := s.qr(link, left-1, s.GetY(), side); err != nil {
		return err
	}
	s.SetY(s.GetY() + side/2 - 3)
	s.block(left+side, room-side, "B", 8.5, "Telegram")
	return nil
}
