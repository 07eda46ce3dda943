package papers

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// FillSheet is a fill list over the boats of a day, in words.
type FillSheet struct {
	Day, Printed, Total string
	Settle              []string // what changed since it was locked, and what does not fit
	Blends              []FillBlend
	Open                bool // some boat's list is not locked
}

// FillBlend is the cylinders of one blend.
type FillBlend struct {
	Asked        gas.Percent
	Blend, Count string
	Rows         []FillRow
}

// FillRow is one cylinder to fill. Filled, Measured and Initials are what was
// ticked already.
type FillRow struct {
	Trip                           roster.TripID
	ID                             roster.CylinderID
	Boat, Diver, Cylinder          string
	Dive, Size, Owner, Card, Limit string
	Filled, Measured, Initials     string
	Warn                           bool
}

// FillsPDF draws a fill list with boxes to tick: filled, measured, initials.
func (p Press) FillsPDF(f FillSheet, language string, paper Paper) ([]byte, error) {
	w := p.teller(roster.NewTrip("", ""), language)
	title := w.say("desk.fills.day", message.Args{"day": message.Code(f.Day)})
	s := newSheet(paper, title, p.Now, w)
	s.numbered(title)
	s.AddPage()
	s.paragraph("B", 14, title)
	s.paragraph("", 9, f.Total+" · "+f.Printed)
	for _, l := range f.Settle {
		s.paragraph("B", 9.5, "▲ "+l)
	}
	heads := []column{{w.say("fills.col.cylinder", nil), 9}, {w.say("fills.col.diver", nil), 16},
		{w.say("desk.col.boat", nil), 20},
		{w.say("fills.col.dive", nil), 22}, {w.say("fills.col.card", nil), 14}, {w.say("desk.col.filled", nil), 8},
		{w.say("desk.col.measured", nil), 11}, {w.say("desk.col.initials", nil), 9}}
	for _, b := range f.Blends {
		s.paragraph("B", 12, b.Blend)
		t := table{s: s, columns: heads, size: 8.5}
		t.head()
		for _, r := range b.Rows {
			mark := ""
			if r.Warn {
				mark = "▲ "
			}
			box := "□"
			if r.Filled != "" {
				box = r.Filled
			}
			t.row(mark+strings.TrimSpace(r.Cylinder+" "+r.Size), r.Diver, r.Boat, r.Dive, strings.TrimSpace(r.Card+" "+r.Limit),
				box, r.Measured, r.Initials)
		}
	}
	return s.bytes()
}
