package picture

import (
	"gonum.org/v1/plot/vg"

	"gasmuster/internal/message"
)

// Sizes, in points of which one is a pixel. A phone shows a photo about as
// wide as itself: the type is that of a page when 1080 points are a phone's width.
const (
	Width     = 1080
	MaxHeight = 2000 // higher photos are shown smaller by chats that fit them into a square

	margin   = 44
	titleTyp = 42
	rowTyp   = 34
	labelTyp = 31
	leading  = 1.28 // a line's height by its type

	headingHeight = 66
	measured      = 86 // a row with a bar
	unmeasured    = 56
	barHeight     = 24
)

// maxSheets bounds how many photos one board makes; the rows that are left out
// are the last ones, which need the least.
const maxSheets = 6

// plan is what stands on one sheet: rows from first (its number less one) on.
type plan struct {
	first int
	rows  []message.PictureRow
}

func rowHeight(r message.PictureRow) vg.Length {
	if r.Fit == message.FitUnknown {
		return unmeasured
	}
	return measured
}

// height is what rows take with their headings.
func height(rows []message.PictureRow) vg.Length {
	var h vg.Length
	for i, r := range rows {
		if i == 0 || rows[i-1].Fit != r.Fit {
			h += headingHeight
		}
		h += rowHeight(r)
	}
	return h
}

// split shares the rows out among sheets of about the same height, and says
// how many rows are on none.
func (w *writer) split(p message.Picture) (plans []plan, left int) {
	if len(p.Rows) == 0 {
		return nil, 0
	}
	room := MaxHeight - w.head(p, true) - margin
	n := int(height(p.Rows)/room) + 1
	target := min(height(p.Rows)/vg.Length(n)+measured, room)
	first := 0
	for end := 1; end <= len(p.Rows); end++ {
		if end < len(p.Rows) && height(p.Rows[first:end+1]) <= target {
			continue
		}
		if len(plans) == maxSheets {
			return plans, len(p.Rows) - first
		}
		plans = append(plans, plan{first, p.Rows[first:end]})
		first = end
	}
	return plans, 0
}
