package conversation

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// An analyser that fails in fresh air: who sends a number from it is told, and the
// leaders hear it.

// uncountedLine says of a number that does not count since its analyser failed in
// fresh air, while another one counts: the verdict's word does not tell.
func (t *turn) uncountedLine(c *roster.Cylinder, r *roster.Reading) []message.Line {
	air := r.AirPoint
	if a := t.trip.Analyser(r.Analyser); a != nil && !air.Known() {
		air = a.Last().Percent
	}
	counts := slices.ContainsFunc(t.trip.Evidence(c.ID, t.now).Counting,
		func(v gas.Value) bool { return v.ID == string(r.ID) })
	if counts || !air.Known() || !t.airOff(air) || !t.clearanceOf(c).Goes() {
		return nil
	}
	return []message.Line{message.Loud("diver.air.uncounted",
		message.Args{"percent": message.Percent(r.Percent), "analyser": message.Name(r.Analyser)})}
}

// airNews are the analysers that fail in fresh air: what is read on them does not count.
func (t *turn) airNews() []newsItem {
	var items []newsItem
	for i := range t.trip.Analysers {
		a := &t.trip.Analysers[i]
		if last := a.Last().Percent; last.Known() && t.airOff(last) && len(t.ahead()) > 0 {
			items = append(items, newsItem{key: airNewsOf(a.Name), lines: []message.Line{message.Loud("air.fails",
				message.Args{"analyser": message.Name(a.Name), "percent": message.Percent(last)})}})
		}
	}
	return items
}

// airNewsOf is the key of that news.
func airNewsOf(analyser string) string { return "air:" + analyser }
