package papers

import (
	"bytes"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// margin is that of every sheet, in millimetres; office printers leave 5 mm.
const margin = 12.0

// sheet is a PDF document whose text goes through the ink.
type sheet struct {
	*fpdf.Fpdf
	words         teller
	rtl           bool    // written from right to left
	bold          bool    // the present font
	size          float64 // its size in points
	width, height float64 // of the page, millimetres
	foot          string  // what each page says it is, with its number
	lacking       bool    // something on the page can't be drawn
}

// newSheet begins a document. Its dates are given, so that the same trip makes
// the same file.
func newSheet(paper Paper, title string, made time.Time, words teller) *sheet {
	size := map[Paper]string{A4: "A4", Letter: "Letter"}[paper]
	if size == "" {
		size = "A4"
	}
	s := &sheet{Fpdf: fpdf.New("P", "mm", size, ""), words: words, rtl: direction(words.to.Language) == "rtl"}
	s.SetCreationDate(made)
	s.SetModificationDate(made)
	s.SetCatalogSort(true)
	s.SetTitle(ink(title), true)
	s.SetCreator("gasmuster", true)
	s.SetMargins(margin, margin, margin)
	s.SetAutoPageBreak(true, margin+6)
	s.AddUTF8FontFromBytes("Go", "", goregular.TTF)
	s.AddUTF8FontFromBytes("Go", "B", gobold.TTF)
	s.width, s.height = s.GetPageSize()
	s.SetFooterFunc(s.footer)
	return s
}

// numbered has the foot of each page say what the paper is, and its number.
func (s *sheet) numbered(title string) {
	s.foot = title
	s.AliasNbPages("")
}

// footer is the foot of a page: what the boxes on it stand for, and what it is.
func (s *sheet) footer() {
	defer func(bold bool, size float64) { s.bold, s.size = bold, size }(s.bold, s.size)
	s.font("", 7.5)
	if s.lacking {
		s.put(margin, s.height-margin-6, s.inner(), 4, s.prepared(s.words.say("papers.unprinted", nil)))
		s.lacking = false
	}
	if s.foot == "" {
		return
	}
	y := s.height - margin - 2
	page := strconv.Itoa(s.PageNo()) + " / {nb}" // the library puts the number of pages in when it is known
	room := s.measure(page)
	s.put(margin, y, s.inner()-room-4, 4, s.fit(s.foot, s.inner()-room-4))
	if s.rtl {
		s.put(margin, y, room, 4, page)
		return
	}
	s.put(s.width-margin-room, y, room, 4, page)
}

func (s *sheet) font(style string, size float64) {
	s.bold, s.size = style == "B", size
	s.SetFont("Go", style, size)
}

// inner is the width between the margins.
func (s *sheet) inner() float64 { return s.width - 2*margin }

// paragraph writes text over the whole width.
func (s *sheet) paragraph(style string, size float64, text string) {
	s.font(style, size)
	s.flow(margin, s.inner(), size*0.46, text, true)
}

// fit is text cut to a width in the present font, for a page's foot; what is cut shows.
func (s *sheet) fit(text string, width float64) string {
	text = s.prepared(text)
	if s.measure(text) <= width {
		return text
	}
	runes := []rune(text)
	for len(runes) > 1 && s.measure(string(runes)+"…") > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// keep begins a new page unless so much room is left.
func (s *sheet) keep(height float64) {
	if s.GetY()+height > s.height-margin-8 {
		s.AddPage()
	}
}

// bytes ends the document.
func (s *sheet) bytes() ([]byte, error) {
	var b bytes.Buffer
	err := s.Output(&b)
	return b.Bytes(), err
}
