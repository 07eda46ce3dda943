package shopapi

import (
	"bytes"
	_ "embed"
	"html/template"
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

const typeHTML = "text/html"

//go:embed assets/fills.html
var fillsHTML string

var fillsPage = template.Must(template.New("fills").Parse(fillsHTML))

// sheetView is the fill list as people print it, in any script. What is the
// matter has a sign as well as words, so that it shows without colour.
type sheetView struct {
	a       *api
	to      message.Reader
	Lang    string
	Dir     string // of writing: "ltr" or "rtl"
	Title   string
	Departs string
	Lock    string
	Settle  []string
	Blends  []sheetBlend
	Total   string
	Rows    []sheetFill
}

type sheetBlend struct {
	Blend     string
	Count     int
	Cylinders string
}

type sheetFill struct {
	Diver, Cylinder, Blend, Dive, Size, Owner string
	Warn                                      bool
}

// T is a text of the sheet.
func (v sheetView) T(key string) string { return v.line(message.Say(key, nil)) }

func (v sheetView) line(l message.Line) string { return v.a.Renderer.Line(l, v.to) }

// fillsSheet answers with the page, in the language that the browser asks for.
func (a *api) fillsSheet(c *call, t *roster.Trip, list fillsJSON) {
	v := sheetView{a: a, Lang: c.language(), Dir: "ltr"}
	if v.Lang == "ar" {
		v.Dir = "rtl"
	}
	v.to = message.Reader{Language: v.Lang, Units: t.Units.String(), Zone: t.Zone}
	v.fill(t, list)
	var b bytes.Buffer
	if err := fillsPage.Execute(&b, v); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("Content-Language", v.Lang)
	c.w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'")
	writeText(c.w, typeHTML+"; charset=utf-8", b.Bytes())
}

func (v *sheetView) fill(t *roster.Trip, list fillsJSON) {
	v.Title = v.line(message.Say("fills.title", message.Args{"trip": message.Name(t.Name)}))
	v.Departs = v.line(message.Say("fills.departs", message.Args{"at": message.Moment(t.Departs, t.Zone)}))
	v.Lock = v.T("fills.open")
	if !list.Locked.IsZero() {
		v.Lock = v.line(message.Say("fills.locked", message.Args{"at": message.Moment(list.Locked, t.Zone)}))
	}
	for _, s := range list.Settle {
		v.Settle = append(v.Settle, v.line(s.line))
	}
	v.Total = v.line(message.Say("fills.total", message.Args{"count": message.Count(list.Total)}))
	for _, b := range list.Blends {
		v.Blends = append(v.Blends, sheetBlend{v.value(message.Blend(b.Asked)), b.Count, v.calledAll(t, b.Cylinders)})
	}
	for _, d := range list.Divers {
		for _, f := range d.Cylinders {
			v.Rows = append(v.Rows, v.row(t, d, f))
		}
	}
}

func (v *sheetView) value(x message.Value) string {
	return v.line(message.Say("fills.value", message.Args{"value": x}))
}

func (v *sheetView) calledAll(t *roster.Trip, ids []roster.CylinderID) string {
	var names []string
	for _, id := range ids {
		p, c := t.Cylinder(id)
		names = append(names, v.value(called(c))+" "+p.Name)
	}
	return strings.Join(names, " · ")
}

func (v *sheetView) row(t *roster.Trip, d diverFillJSON, f fillJSON) sheetFill {
	_, c := t.Cylinder(f.ID)
	dive := t.Dives[f.Dive-1]
	row := sheetFill{Diver: d.Name, Cylinder: v.value(called(c)), Size: f.Size, Owner: f.Owner,
		Warn: !f.Fits || !f.ChangedLate.IsZero() || !f.AddedLate.IsZero(),
		Dive: v.line(message.Say("fills.dive", message.Args{"dive": message.Count(f.Dive), "site": message.Name(dive.Site), "depth": message.Planned(dive.Depth)}))}
	if f.Asked > 0 {
		row.Blend = v.value(message.Blend(f.Asked))
	}
	switch f.Owner {
	case "shop":
		row.Owner = v.T("fills.owner.shop")
	case "diver":
		row.Owner = v.T("fills.owner.diver")
	}
	return row
}
