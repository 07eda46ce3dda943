package papers

import (
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
	g := s.grid(2, 4)
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
	if c.Telegram != "" {
		side = min(side, width*0.34) // room for a second code
	}
	if err := s.qr(c.Chat, x+pad-2, y+pad-1, side); err != nil {
		return err
	}
	left, room := x+pad+side, width-side-2*pad
	s.SetY(y + pad)
	s.fitted("B", 14, 8, left, room, 2, message.Clean(person.Name))
	below := y + height - 8.5 // where the link stands
	if c.Telegram != "" {
		below -= telegramSide
		if err := s.telegram(c.Telegram, left, below, room); err != nil {
			return err
		}
	}
	s.stack(left, room, below-s.GetY(), []block{{"B", w.value(message.Name(t.Name))},
		{"", w.value(message.Moment(t.Departs, t.Zone))},
		{"", w.say("papers.invite.scan", nil)}, {"B", w.say("papers.invite.alone", nil)}})
	s.SetY(y + height - 7.5)
	s.rtl = false
	s.fitted("", 7, 4, x+pad, width-2*pad, 1, c.Chat)
	return nil
}

// block is text of one style.
type block struct{ style, text string }

// stack writes blocks one below the other, in the largest letters in which they
// are no higher than a height.
func (s *sheet) stack(x, width, height float64, blocks []block) {
	size := 8.5
	for ; size > 5.5; size -= 0.5 {
		lines := 0
		for _, b := range blocks {
			s.font(b.style, size)
			lines += len(s.wrap(b.text, width))
		}
		if float64(lines)*size*0.46 <= height {
			break
		}
	}
	for _, b := range blocks {
		s.block(x, width, b.style, size, b.text)
	}
}

// block writes wrapped text into a column.
func (s *sheet) block(x, width float64, style string, size float64, text string) {
	s.font(style, size)
	s.flow(x, width, size*0.46, text, false)
}

// telegramSide is how large the code that opens the chat there is, in
// millimetres: as small as a phone still reads well.
const telegramSide = 18.0

func (s *sheet) telegram(link string, left, y, room float64) error {
	at := s.GetY()
	defer s.SetY(at)
	if err := s.qr(link, left-1, y, telegramSide); err != nil {
		return err
	}
	s.SetY(y + telegramSide/2 - 3)
	s.block(left+telegramSide, room-telegramSide, "B", 8.5, "Telegram")
	return nil
}
