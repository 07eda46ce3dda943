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
	return s
}

// numbered writes the foot of each page: what the paper is, and its number.
func (s *sheet) numbered(title string) {
	s.AliasNbPages("")
	s.SetFooterFunc(func() {
		s.SetY(-margin - 2)
		s.font("", 7.5)
		page := strconv.Itoa(s.PageNo()) + " / {nb}" // the library puts the number of pages in when it is known
		room := s.measure(page)
		s.put(margin, s.GetY(), s.inner()-room-4, 4, s.fit(title, s.inner()-room-4))
		if s.rtl {
			s.put(margin, s.GetY(), room, 4, page)
			return
		}
		s.put(s.width-margin-room, s.GetY(), room, 4, page)
	})
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
	text = prepared(text)
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
