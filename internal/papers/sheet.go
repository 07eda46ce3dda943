package papers

import (
	"bytes"
	"time"

	"github.com/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"gasmuster/internal/message"
)

// margin is that of every sheet, in millimetres; office printers leave 5 mm.
const margin = 12.0

// sheet is a PDF document whose text goes through the ink.
type sheet struct {
	*fpdf.Fpdf
	ink           *ink
	width, height float64 // of the page, millimetres
}

// newSheet begins a document. Its dates are given, so that the same trip makes
// the same file.
func newSheet(paper Paper, title string, made time.Time, k *ink) *sheet {
	size := map[Paper]string{A4: "A4", Letter: "Letter"}[paper]
	if size == "" {
		size = "A4"
	}
	s := &sheet{Fpdf: fpdf.New("P", "mm", size, ""), ink: k}
	s.SetCreationDate(made)
	s.SetModificationDate(made)
	s.SetCatalogSort(true)
	s.SetTitle(k.text(title), true)
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
		s.CellFormat(s.width-2*margin-30, 4, s.ink.text(title), "", 0, "L", false, 0, "")
		page := s.ink.words.say("papers.page", message.Args{"page": message.Count(s.PageNo()), "pages": message.Code("{nb}")})
		s.CellFormat(30, 4, s.ink.text(page), "", 0, "R", false, 0, "")
	})
}

func (s *sheet) font(style string, size float64) { s.SetFont("Go", style, size) }

// inner is the width between the margins.
func (s *sheet) inner() float64 { return s.width - 2*margin }

// paragraph writes text over the whole width.
func (s *sheet) paragraph(style string, size float64, text string) {
	s.font(style, size)
	s.SetX(margin)
	s.MultiCell(s.inner(), size*0.5, s.ink.text(text), "", "L", false)
}

// fit is text cut to a width in the present font; what is cut shows.
func (s *sheet) fit(text string, width float64) string {
	text = s.ink.text(text)
	if s.GetStringWidth(text) <= width {
		return text
	}
	runes := []rune(text)
	for len(runes) > 1 && s.GetStringWidth(string(runes)+"…") > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// fitted sets the largest font up to size, not below least, in which text fits
// the width, and returns the text, cut when even that is too wide.
func (s *sheet) fitted(style string, size, least float64, text string, width float64) string {
	for s.font(style, size); size > least && s.GetStringWidth(s.ink.text(text)) > width; s.font(style, size) {
		size -= 0.5
	}
	return s.fit(text, width)
}

// bytes ends the document.
func (s *sheet) bytes() ([]byte, error) {
	var b bytes.Buffer
	err := s.Output(&b)
	return b.Bytes(), err
}
