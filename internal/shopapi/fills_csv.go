package shopapi

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// fillsHeader names the columns of the fill list as CSV: one row a cylinder, by
// blend, as RFC 4180 writes it. Programs rely on the names.
var fillsHeader = []string{"asked", "cylinder", "label", "diver", "person", "dive", "site", "depth", "units", "size", "owner",
	"fits", "recommended", "richest", "filled_at", "late", "was_asked", "late_at"}

// fillsCSV answers with the list as CSV. Cylinders that are not needed any
// more follow at the end, with nothing asked.
func (a *api) fillsCSV(c *call, t *roster.Trip, list fillsJSON) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.Write(fillsHeader) // into memory
	for _, blend := range append([]blendJSON{}, list.Blends...) {
		for _, id := range blend.Cylinders {
			for _, d := range list.Divers {
				for _, f := range d.Cylinders {
					if f.ID == id {
						_ = w.Write(fillRow(t, d, f))
					}
				}
			}
		}
	}
	for _, s := range list.Settle {
		if s.What == "dropped-late" {
			_ = w.Write(droppedRow(t, s))
		}
	}
	w.Flush()
	c.w.Header().Set("Content-Disposition", `attachment; filename="fills-`+string(t.ID)+`.csv"`)
	writeText(c.w, typeCSV+"; charset=utf-8; header=present", b.Bytes())
}

func fillRow(t *roster.Trip, d diverFillJSON, f fillJSON) []string {
	dive := t.Dives[f.Dive-1]
	recommended, richest, fits := "", "", "yes"
	if f.Check != nil {
		recommended, richest = blendCell(f.Check.Recommended), blendCell(f.Check.Richest)
	}
	if !f.Fits {
		fits = "no"
	}
	late, at := "", time.Time{}
	switch {
	case !f.AddedLate.IsZero():
		late, at = "added", f.AddedLate
	case !f.ChangedLate.IsZero():
		late, at = "changed", f.ChangedLate
	}
	return []string{blendCell(f.Asked), string(f.ID), textCell(f.Label), textCell(d.Name), string(d.ID), strconv.Itoa(f.Dive),
		textCell(dive.Site), plain(dive.Depth.Value), t.Units.String(), textCell(f.Size), f.Owner,
		fits, recommended, richest, timeCell(f.Filled), late, blendCell(f.ChangedFrom), timeCell(at)}
}

func droppedRow(t *roster.Trip, s settleJSON) []string {
	_, c := t.Cylinder(s.Cylinder)
	site, depth := "", ""
	if d := t.Dive(c.Dive); d != nil {
		site, depth = d.Site, plain(d.Depth.Value)
	}
	return []string{"", string(c.ID), textCell(c.Label), textCell(s.Name), string(s.Person), strconv.Itoa(c.Dive),
		textCell(site), depth, t.Units.String(), textCell(c.Size), c.Owner, "", "", "", "", "dropped", blendCell(c.Asked), timeCell(s.At)}
}

func blendCell(p gas.Percent) string {
	if p == 0 {
		return ""
	}
	return plain(float64(p))
}

func timeCell(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

// textCell keeps what somebody typed from being taken for a formula by a
// spreadsheet.
func textCell(s string) string {
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

// writeText answers with something that isn't JSON.
func writeText(w http.ResponseWriter, mediaType string, body []byte) {
	w.Header().Set("Content-Type", mediaType)
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusOK)
	_, _ = w.Write(body)
}
