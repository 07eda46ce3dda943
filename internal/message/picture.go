package message

import (
	"slices"

	"gasmuster/internal/gas"
)

// Picture is a chart as data: the cylinders of one dive, each with its reading
// and MOD, against the planned depth and the bottom. A channel draws it; the
// text beside it says the same without it.
type Picture struct {
	Title   Line         `json:"t"`
	Planned gas.Depth    `json:"p"`
	Bottom  gas.Depth    `json:"b,omitzero"`
	Rows    []PictureRow `json:"r"`           // rows of one fit stand together, those that need something first
	Dark    bool         `json:"d,omitempty"` // to be looked at in the dark
}

// PictureRow is one cylinder of the chart.
type PictureRow struct {
	Name     Value       `json:"n"`
	Cylinder Line        `json:"c"`
	Reading  gas.Percent `json:"o,omitzero"`
	MOD      gas.Depth   `json:"m,omitzero"` // as on the label
	Fit      Fit         `json:"f"`
}

// Fit is how a cylinder stands to the depths of its dive.
type Fit string

// The fits of a cylinder. The zero value is "no reading".
const (
	FitUnknown Fit = ""
	FitGood    Fit = "fits"
	FitLimit   Fit = "limit"
	FitDeep    Fit = "too-deep"
)

// Fits are all of them, what needs something first.
var Fits = []Fit{FitDeep, FitUnknown, FitLimit, FitGood}

// Symbol is a fit's sign, each of its own shape.
func (f Fit) Symbol() string {
	switch f {
	case FitGood:
		return "✓"
	case FitLimit:
		return "▲"
	case FitDeep:
		return "✕"
	}
	return "?"
}

// Line says a row in words.
func (r PictureRow) Line() Line {
	a := Args{"name": r.Name, "cylinder": Of(r.Cylinder)}
	if r.Fit == FitUnknown {
		return Say("chart.row.unknown", a)
	}
	a["percent"], a["mod"], a["fit"] = Percent(r.Reading), Limit(r.MOD), Of(r.Fit.Line())
	return Say("chart.row", a)
}

// Short says a row without its fit.
func (r PictureRow) Short() Line {
	if r.Fit == FitUnknown {
		return r.Line()
	}
	return Say("chart.row.short", Args{"name": r.Name, "cylinder": Of(r.Cylinder), "percent": Percent(r.Reading), "mod": Limit(r.MOD)})
}

// FitLine says a row's fit; no key without a reading.
func (r PictureRow) FitLine() Line {
	if r.Fit == FitUnknown {
		return Line{}
	}
	return r.Fit.Line()
}

// Line says a fit in words.
func (f Fit) Line() Line {
	if f == FitUnknown {
		return Say("chart.fit.unknown", nil)
	}
	return Say("chart.fit."+string(f), nil)
}

// Measured tells whether there is anything to draw: a cylinder with a reading.
func (p Picture) Measured() bool {
	return slices.ContainsFunc(p.Rows, func(r PictureRow) bool { return r.Fit != FitUnknown })
}

// Having are the rows of one fit.
func (p Picture) Having(f Fit) []PictureRow {
	var rows []PictureRow
	for _, r := range p.Rows {
		if r.Fit == f {
			rows = append(rows, r)
		}
	}
	return rows
}

// DepthLines say the planned depth and the bottom.
func (p Picture) DepthLines() []Line {
	lines := []Line{Say("chart.planned", Args{"depth": Planned(p.Planned)})}
	if p.Bottom.Known() {
		lines = append(lines, Say("chart.bottom", Args{"depth": Planned(p.Bottom)}))
	}
	return lines
}

// Deepest is the depth that the chart's scale ends at, in unit u: a third
// beyond the deepest of plan and bottom. A MOD beyond it is drawn as going on.
func (p Picture) Deepest(u gas.Unit) float64 {
	deepest := p.Planned
	if p.Bottom.Known() && p.Bottom.DeeperThan(deepest) {
		deepest = p.Bottom
	}
	return deepest.PlannedIn(u).Value * 4 / 3
}
