package shopapi

import (
	"bytes"
	"embed"
	"html/template"
	"strings"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

const typeHTML = "text/html"

//go:embed assets/fills*.html
var fillsFiles embed.FS

// fillsPages are the list of one boat, that of all boats, and the frame of both.
var fillsPages = template.Must(template.ParseFS(fillsFiles, "assets/*.html"))

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
	Card, Limit                               string // of the diver: what they may be given
	Warn                                      bool
}

// T is a text of the sheet.
func (v sheetView) T(key string) string { return v.line(message.Say(key, nil)) }

func (v sheetView) line(l message.Line) string { return v.a.Renderer.Line(l, v.to) }

// fillsSheet answers with the page, in the language that the browser asks for.
func (a *api) fillsSheet(c *call, t *roster.Trip, list booking.FillList) {
	v := sheetView{a: a, Lang: c.language()}
	v.Dir = message.Direction(v.Lang)
	v.to = message.Reader{Language: v.Lang, Units: t.Units.String(), Zone: t.Zone}
	v.fill(t, list)
	a.printed(c, "fills.html", v.Lang, v)
}

// printed answers with a page to print.
func (a *api) printed(c *call, page, lang string, v any) {
	var b bytes.Buffer
	if err := fillsPages.ExecuteTemplate(&b, page, v); err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("Content-Language", lang)
	web.Paper(c.w)
	writeText(c.w, typeHTML+"; charset=utf-8", b.Bytes())
}

// daysView is one fill list over all boats, by blend.
type daysView struct {
	sheetView
	papers.FillSheet
}

// InAll is how many cylinders there are; both parts have a Total.
func (v daysView) InAll() string { return v.FillSheet.Total }

// fillsOfDaysPage answers with the page.
func (a *api) fillsOfDaysPage(c *call, trips []*roster.Trip, day string) {
	v := daysView{sheetView{a: a, Lang: c.language()}, a.sheetOf(c, trips, day)}
	v.Dir, v.to = message.Direction(v.Lang), message.Reader{Language: v.Lang}
	v.Title = v.line(message.Say("desk.fills.day", message.Args{"day": message.Code(day)}))
	a.printed(c, "fills_days.html", v.Lang, v)
}

func (v *sheetView) fill(t *roster.Trip, list booking.FillList) {
	v.Title = v.line(message.Say("fills.title", message.Args{"trip": message.Name(t.Name)}))
	v.Departs = v.line(message.Say("fills.departs", message.Args{"at": message.Moment(t.Departs, t.Zone)}))
	v.Lock = v.T("fills.open")
	if !list.Locked.IsZero() {
		v.Lock = v.line(message.Say("fills.locked", message.Args{"at": message.Moment(list.Locked, t.Zone)}))
	}
	for _, s := range list.Settle {
		v.Settle = append(v.Settle, v.line(s.Line))
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
		names = append(names, v.value(booking.Called(c))+" "+p.Name)
	}
	return strings.Join(names, " · ")
}

func (v *sheetView) row(t *roster.Trip, d booking.DiverFills, f booking.Fill) sheetFill {
	_, c := t.Cylinder(f.ID)
	dive := t.Dives[f.Dive-1]
	row := sheetFill{Diver: d.Name, Cylinder: v.value(booking.Called(c)), Size: f.Size, Owner: f.Owner,
		Warn: !f.Fits || !f.ChangedLate.IsZero() || !f.AddedLate.IsZero(),
		Dive: v.line(message.Say("fills.dive", message.Args{"dive": message.Count(f.Dive), "site": message.Name(dive.Site),
			"depth": message.Planned(dive.Depth)}))}
	row.Card = v.T("fills.card." + string(d.Card))
	if d.DepthLimit > 0 {
		row.Limit = v.value(message.Limit(gas.Depth{Value: d.DepthLimit, Unit: t.Units}))
	}
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
