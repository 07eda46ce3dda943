package booking

import (
	"regexp"
	"slices"
	"strings"

	"gasmuster/internal/message"
)

var withUnit = regexp.MustCompile(`(?i)^(-?[0-9]+(?:[.,][0-9]+)?)\s*([^0-9\s.,]+)\.?$`)

// depths takes units out of depths and minutes, and sees what the depths of the
// file are in.
func (r *reader) depths(headRow int) {
	for i, h := range r.head {
		if h.units != "" && depthColumn(r.sheet.header[i]) {
			r.names1(h.units, headRow)
		}
	}
	for _, name := range r.sheet.header {
		switch {
		case depthColumn(name):
			r.each(name, func(row int, cell *string) { r.depth(row, cell) })
		case strings.HasSuffix(name, "_minutes"), strings.HasSuffix(name, "_interval"), strings.HasSuffix(name,
			"_altitude"), name == "first_dive_after":
			r.each(name, func(_ int, cell *string) { r.plainUnit(name, cell) })
		}
	}
	r.settleUnits()
}

func depthColumn(name string) bool {
	return name == "depth_limit" || name == "deepest" || strings.HasSuffix(name, "_depth") ||
		strings.HasSuffix(name, "_bottom")
}

func (r *reader) names1(unit string, row int) {
	if _, known := r.units[unit]; !known {
		r.units[unit] = row
	}
}

// depth takes the unit away from "27,5 m" or "90ft".
func (r *reader) depth(row int, cell *string) {
	if m := withUnit.FindStringSubmatch(*cell); m != nil {
		if unit := meant(m[2], "m", "ft"); unit != "" {
			r.names1(unit, row)
			*cell = m[1]
		}
	}
}

// plainUnit takes "min" or "m" away where the unit is always the same.
func (r *reader) plainUnit(name string, cell *string) {
	m := withUnit.FindStringSubmatch(*cell)
	if m == nil {
		return
	}
	metres := strings.HasSuffix(name, "_altitude")
	if metres && meant(m[2], "m") != "" || !metres && slices.Contains([]string{"min", "mins", "minutes", "'", "′"},
		strings.ToLower(m[2])) || columnNames[strings.ToLower(m[2])] == "minutes" {
		*cell = m[1]
	}
}

// settleUnits gives a file without a column for them the units that its depths
// name. They are never guessed: two of them, or others than the column's, are a
// fault.
func (r *reader) settleUnits() {
	said := ""
	r.each("units", func(_ int, cell *string) {
		if said == "" {
			said = *cell
		}
	})
	for unit, row := range r.units {
		for other := range r.units {
			if other < unit || said != "" && said != unit {
				r.faults.sayCell("/units", row, "", message.Say("fault.file.units", message.Args{"unit": message.Text(unit)}))
				return
			}
		}
	}
	if said != "" || len(r.sheet.rows) == 0 {
		return
	}
	for unit := range r.units {
		i := r.column("units")
		if i < 0 {
			i = r.addColumn("units", "units")
		}
		r.sheet.rows[0].cells[i] = unit
		r.guess(0, "", message.Say("guess.units", message.Args{"unit": message.Text(unit)}))
	}
}
