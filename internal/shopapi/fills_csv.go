package shopapi

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// fillsHeader names the columns of the fill list as CSV: one row a cylinder, by
// blend, as RFC 4180 writes it. Programs rely on the names.
var fillsHeader = []string{"asked", "cylinder", "label", "diver", "person", "dive", "site", "depth", "units", "size",
	"owner",
	"fits", "recommended", "richest", "filled_at", "late", "was_asked", "late_at", "card", "depth_limit", "verdict",
	"breaks", "trip"}

// fillsCSV answers with the list as CSV.
func (a *api) fillsCSV(c *call, t *roster.Trip) {
	c.w.Header().Set("Content-Disposition", `attachment; filename="fills-`+string(t.ID)+`.csv"`)
	writeText(c.w, booking.TypeCSV+"; charset=utf-8; header=present", a.fillsAsCSV(c, []*roster.Trip{t}))
}

// fillsAsCSV has the cylinders of each trip. Those that are not needed any more
// follow its others, with nothing asked.
func (a *api) fillsAsCSV(c *call, trips []*roster.Trip) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.Write(fillsHeader) // into memory
	for _, t := range trips {
		writeFills(w, t, booking.ListFills(t, c.now, a.english))
	}
	w.Flush()
	return b.Bytes()
}

func writeFills(w *csv.Writer, t *roster.Trip, list booking.FillList) {
	for _, blend := range list.Blends {
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
}

func fillRow(t *roster.Trip, d booking.DiverFills, f booking.Fill) []string {
	dive := t.Dives[f.Dive-1]
	recommended, richest, fits, verdict := "", "", "yes", ""
	if f.Check != nil {
		recommended, richest = blendCell(f.Check.Recommended), blendCell(f.Check.Richest)
		verdict = f.Check.Status.String()
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
	return []string{blendCell(f.Asked), string(f.ID), textCell(f.Label), textCell(d.Name), string(d.ID),
		strconv.Itoa(f.Dive),
		textCell(dive.Site), booking.Plain(dive.Depth.Value), t.Units.String(), textCell(f.Size), f.Owner,
		fits, recommended, richest, timeCell(f.Filled), late, blendCell(f.ChangedFrom), timeCell(at),
		string(d.Card), depthCell(d.DepthLimit), verdict, string(f.Check.Misfit()), string(t.ID)}
}

func droppedRow(t *roster.Trip, s booking.Settle) []string {
	_, c := t.Cylinder(s.Cylinder)
	site, depth := "", ""
	if d := t.Dive(c.Dive); d != nil {
		site, depth = d.Site, booking.Plain(d.Depth.Value)
	}
	return []string{"", string(c.ID), textCell(c.Label), textCell(s.Name), string(s.Person), strconv.Itoa(c.Dive),
		textCell(site), depth, t.Units.String(), textCell(c.Size), c.Owner, "", "", "", "", "dropped", blendCell(c.Asked),
		timeCell(s.At), "", "", "", "", string(t.ID)}
}

func depthCell(v float64) string {
	if v == 0 {
		return ""
	}
	return booking.Plain(v)
}

func blendCell(p gas.Percent) string {
	if p == 0 {
		return ""
	}
	return booking.Plain(float64(p))
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
