package papers

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"time"
)

// CSV writes one row for each dive, version, person and cylinder (RFC
// 4180, UTF-8). Somebody who sat out or is outside has a row without a cylinder.
func (r Record) CSV() ([]byte, error) {
	rows := [][]string{{"trip", "name", "dive", "site", "planned_depth", "units", "version", "state", "signed_by",
		"signed_at",
		"broken_at", "differs", "withdrawn_by", "withdrawn_at", "withdrawn_for", "diver_id", "diver", "leads", "team",
		"status", "verdict", "max_depth", "max_minutes",
		"cylinder", "label", "asked", "reading", "taken_at", "analyser", "mod", "not_for", "out_by", "out_at", "out_for",
		"reasons",
		"policy_changed", "leaders", "caution"}}
	for _, d := range r.Dives {
		for i, v := range d.Versions {
			rows = append(rows, r.versionRows(d, i+1, v)...)
		}
	}
	return writeCSV(rows)
}

func (r Record) versionRows(d DiveRecord, n int, v Version) [][]string {
	front := []string{string(r.Trip), r.Name, strconv.Itoa(d.Number), d.Site, figure(d.Depth), r.Units.String(),
		strconv.Itoa(n), v.State,
		v.SignedBy, stamp(v.SignedAt), stamp(v.BrokenAt), v.Differs, v.WithdrawnBy, stamp(v.WithdrawnAt), v.Reason}
	back := []string{strings.Join(v.Policy, " "), strings.Join(r.Leaders, "; "), strings.Join(r.Cautions, " ")}
	row := func(middle ...string) []string {
		return append(append(append([]string{}, front...), middle...), back...)
	}
	var rows [][]string
	for _, p := range v.Divers {
		cylinders := p.Cylinders
		if len(cylinders) == 0 {
			cylinders = []CylinderLine{{}}
		}
		for _, c := range cylinders {
			rows = append(rows, row(string(p.ID), p.Name, yes(p.Leader), p.Team, p.Status, p.Verdict, figure(p.MaxDepth),
				figure(float64(p.MaxMinutes)), string(c.ID), c.Label, figure(float64(c.Asked)), figure(float64(c.Percent)),
				stamp(c.At),
				c.Analyser, figure(c.MOD), c.NotFor, "", "", "", strings.Join(p.Reasons, " ")))
		}
	}
	not := func(status string, list []OutRecord) {
		for _, o := range list {
			rows = append(rows, row(string(o.ID), o.Name, "", "", status, o.Text, "", "", "", "", "", "", "", "", "", "", o.By,
				stamp(o.At), o.Reason, ""))
		}
	}
	not("outside", v.Outside)
	not("out", v.Out)
	if len(rows) == 0 {
		rows = append(rows, row(make([]string, 20)...))
	}
	return rows
}

// ReadingsCSV writes one row for each reading, also those taken back or void.
func (r Record) ReadingsCSV() ([]byte, error) {
	rows := [][]string{{"trip", "reading_id", "diver", "cylinder", "label", "dive", "asked", "reading", "taken_at",
		"entered_at", "stage", "entrant", "by", "witness",
		"analyser", "state", "until", "replaces"}}
	for _, g := range r.Readings {
		rows = append(rows, []string{string(r.Trip), string(g.ID), g.Diver, string(g.Cylinder), g.Label,
			strconv.Itoa(g.Dive), figure(float64(g.Asked)),
			figure(float64(g.Percent)), stamp(g.At), stamp(g.Entered), g.Stage.String(), string(g.Entrant), g.By, g.Witness,
			g.Analyser, g.State, stamp(g.Until), string(g.Replaces)})
	}
	return writeCSV(rows)
}

func writeCSV(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	for _, row := range rows {
		for i := range row {
			row[i] = Cell(row[i])
		}
		if err := w.Write(row); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// Cell makes what people typed safe to open in a spreadsheet: a text that would
// be taken for a formula gets an apostrophe before it.
func Cell(s string) string {
	if s == "" || !strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	return "'" + s
}

func figure(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}
