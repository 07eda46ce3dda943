package message

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Picture is a chart as data: the cylinders of one dive, each with its reading
// and its diver's max, against the planned depth and the bottom. A channel draws
// it; the text beside it says the same without it.
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
	Max      gas.Depth   `json:"m,omitzero"` // the diver's, where the column ends; see gas.Max
	Fit      Fit         `json:"f"`
}

// Fit is how a cylinder stands to the depths of its dive.
type Fit string

// The fits of a cylinder. The zero value is "not cleared". Only go and go with
// limits look fit: what is no-go for another cause than the depth has no column.
const (
	FitUnknown Fit = ""
	FitGood    Fit = "fits"
	FitLimit   Fit = "limit"
	FitDeep    Fit = "too-deep"
	FitStop    Fit = "no-go"
)

// Fits are all of them, what needs something first.
var Fits = []Fit{FitStop, FitDeep, FitUnknown, FitLimit, FitGood}

// FitOf is how a cylinder of a clearance fits: by the clearance, so that the
// chart never looks better than the verdict.
func FitOf(c *roster.Clearance) Fit {
	switch c.Status {
	case gas.Go:
		return FitGood
	case gas.GoWithLimits:
		return FitLimit
	case gas.NoGo:
		return stopped(&c.Verdict)
	}
	return FitUnknown
}

// stopped is FitDeep where a depth alone is what stops.
func stopped(v *gas.Verdict) Fit {
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Severity.Status() != gas.NoGo {
			continue
		}
		switch f.Rule {
		case gas.RuleDepth, gas.RuleContingency, gas.RuleDepthLimit, gas.RuleDeepest:
		default:
			return FitStop
		}
	}
	return FitDeep
}

// Column tells whether the fit has a column, down to the diver's max.
func (f Fit) Column() bool { return f == FitGood || f == FitLimit || f == FitDeep }

// Symbol is a fit's sign, each of its own shape.
func (f Fit) Symbol() string {
	switch f {
	case FitGood:
		return "✓"
	case FitLimit:
		return "▲"
	case FitDeep, FitStop:
		return "✕"
	}
	return "?"
}

// Line says a row in words.
func (r PictureRow) Line() Line {
	a := Args{"name": r.Name, "cylinder": Of(r.Cylinder), "fit": Of(r.Fit.Line())}
	if !r.Fit.Column() {
		return Say("chart.row.none", a)
	}
	a["percent"], a["max"] = Percent(r.Reading), Limit(r.Max)
	return Say("chart.row", a)
}

// Line says a fit in words.
func (f Fit) Line() Line {
	if f == FitUnknown {
		return Say("chart.fit.unknown", nil)
	}
	return Say("chart.fit."+string(f), nil)
}

// Measured tells whether there is anything to draw: a cylinder with a column.
func (p Picture) Measured() bool {
	return slices.ContainsFunc(p.Rows, func(r PictureRow) bool { return r.Fit.Column() })
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
		lines = append(lines, Say("chart.bottom", Args{"depth": Bottom(p.Bottom)}))
	}
	return lines
}

// Deepest is the depth that the chart's scale ends at, in unit u: a third
// beyond the deepest of plan and bottom. A max beyond it is drawn as going on.
func (p Picture) Deepest(u gas.Unit) float64 {
	deepest := p.Planned
	if p.Bottom.Known() && p.Bottom.DeeperThan(deepest) {
		deepest = p.Bottom
	}
	return PlannedIn(deepest, u).Value * 4 / 3
}
