package conversation

import (
	"math"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What deviating readings have in common, for the leaders and the shop: an
// analyser that reads off, a bank that is off, one odd fill.

// patternLines say each pattern and what to do about it; odd fills, which
// their divers' own lines explain, share one.
func (t *turn) patternLines(patterns []gas.Pattern) []message.Line {
	var lines []message.Line
	var fills []message.Value
	for _, p := range patterns {
		if _, c := t.trip.Cylinder(roster.CylinderID(p.Cylinder)); p.Kind == gas.FillOff && c != nil {
			fills = append(fills, message.Of(cylinderName(c)))
			continue
		}
		lines = append(lines, t.patternLine(p))
	}
	if len(fills) > 0 {
		lines = append(lines, message.Say("pattern.fills",
			message.Args{"count": message.Count(len(fills)), "cylinders": message.List(fills...)}))
	}
	return lines
}

func (t *turn) patternLine(p gas.Pattern) message.Line {
	a := message.Args{"points": message.Points(math.Round(math.Abs(p.Points)*10) / 10), "count": message.Count(p.Readings),
		"analyser": message.Name(p.Analyser)}
	key := "pattern." + string(p.Kind)
	if p.Kind == gas.AnalyserOrBankOff && p.Analyser == "" {
		key += ".unnamed"
	}
	if p.Points < 0 {
		return message.Loud(key+".leaner", a)
	}
	return message.Loud(key+".richer", a)
}
