package shopapi

import (
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
)

// dayFillsJSON are the fill lists of all boats in a span.
type dayFillsJSON struct {
	From  time.Time          `json:"from"`
	To    time.Time          `json:"to"`
	Total int                `json:"total"`
	Trips []booking.FillList `json:"trips"`
}

// span reads from and to, by default today and tomorrow; it answers itself when it
// returns false.
func (a *api) span(c *call, days int) (from, to time.Time, ok bool) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), "from", "to", "paper")
	from = queryTime(c, "from", c.now.Add(-12*time.Hour), &f)
	to = queryTime(c, "to", c.now.AddDate(0, 0, days), &f)
	if len(f.List) == 0 && !from.Before(to) {
		f.Add("?to", "is not after from")
	}
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return from, to, false
	}
	return from, to, true
}

// between are the shop's trips of a span; it answers itself when it returns false.
func (a *api) between(c *call, from, to time.Time) ([]*roster.Trip, bool) {
	trips, more, err := a.office().Between(c.Context(), c.shop.ID, from, to, mostListed)
	if err == nil && more {
		err = &booking.Refusal{Status: http.StatusUnprocessableEntity,
			Detail: "More than 200 trips depart in this span: ask for a shorter one."}
	}
	if err != nil {
		a.failed(c.w, c.Request, err)
		return nil, false
	}
	return trips, true
}

// fillsOfDays is one fill list over all boats: JSON, CSV, a page to print or PDF.
func (a *api) fillsOfDays(c *call) {
	from, to, ok := a.span(c, 2)
	if !ok {
		return
	}
	media, ok := c.wants(typeJSON, booking.TypeCSV, typeHTML, typePDF)
	if !ok {
		return
	}
	trips, ok := a.between(c, from, to)
	if !ok {
		return
	}
	switch media {
	case typePDF:
		a.fillsPDF(c, trips, from.UTC().Format(time.DateOnly))
	case typeHTML:
		a.fillsOfDaysPage(c, trips, from.UTC().Format(time.DateOnly))
	case booking.TypeCSV:
		writeText(c.w, booking.TypeCSV+"; charset=utf-8; header=present", a.fillsAsCSV(c, trips))
	default:
		out := dayFillsJSON{From: from.UTC(), To: to.UTC(), Trips: []booking.FillList{}}
		for _, t := range trips {
			if t.CalledOff != nil {
				continue
			}
			list := booking.ListFills(t, c.now, a.english)
			out.Total += list.Total
			out.Trips = append(out.Trips, list)
		}
		answer(c.w, http.StatusOK, out)
	}
}

// fillsPDF draws a fill list in the language that the request asks for.
func (a *api) fillsPDF(c *call, trips []*roster.Trip, day string) {
	paper, err := papers.ReadPaper(c.URL.Query().Get("paper"))
	if err != nil {
		refuse(c.w, http.StatusUnprocessableEntity, "Nothing was made.",
			booking.Fault{Pointer: "?paper", Detail: err.Error()})
		return
	}
	body, err := a.press(c).FillsPDF(a.sheetOf(c, trips, day), c.language(), paper)
	a.file(c, typePDF, "fills-"+day+".pdf", body, err)
}

// sheetOf is the fill list of some trips in the language that the request asks for.
func (a *api) sheetOf(c *call, trips []*roster.Trip, day string) papers.FillSheet {
	lang := c.language()
	sheet := booking.SheetOf(trips, c.now, func(t *roster.Trip) booking.Words {
		to := message.Reader{Language: lang, Units: t.Units.String(), Zone: t.Zone}
		return func(l message.Line) string { return a.Renderer.Line(l, to) }
	})
	sheet.Day = day
	sheet.Printed = a.Renderer.Line(message.Say("fills.value", message.Args{"value": message.Moment(c.now, "UTC")}),
		message.Reader{Language: lang})
	return sheet
}

// calendar is one trip for a calendar, calendarOfDays all of a span.
func (a *api) calendar(c *call) {
	if t, ok := a.trip(c); ok {
		a.file(c, booking.TypeICS, "trip-"+string(t.ID)+".ics",
			booking.Calendar([]*roster.Trip{t}, a.PublicURL, c.now, a.english), nil)
	}
}

func (a *api) calendarOfDays(c *call) {
	from, to, ok := a.span(c, 60)
	if !ok {
		return
	}
	if trips, ok := a.between(c, from, to); ok {
		a.file(c, booking.TypeICS, "trips.ics", booking.Calendar(trips, a.PublicURL, c.now, a.english), nil)
	}
}

// templateCSV and templateXLSX are files to fill in.
func (a *api) templateCSV(c *call) {
	if units, ok := a.units(c); ok {
		a.file(c, booking.TypeCSV+"; charset=utf-8; header=present", "trip.csv", booking.TemplateCSV(units), nil)
	}
}

func (a *api) templateXLSX(c *call) {
	if units, ok := a.units(c); ok {
		body, err := booking.TemplateXLSX(units)
		a.file(c, booking.TypeXLSX, "trip.xlsx", body, err)
	}
}

func (a *api) units(c *call) (string, bool) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), "units")
	units := c.URL.Query().Get("units")
	if units == "" {
		units = "m"
	}
	if units != "m" && units != "ft" {
		f.Add("?units", "is %s: m or ft is accepted", booking.Quoted(units))
	}
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return "", false
	}
	return units, true
}

// undoReading takes the shop's own analysis back.
func (a *api) undoReading(c *call) {
	id := roster.ReadingID(c.PathValue("reading"))
	t, ok := a.apply(c, booking.TakeBack(id))
	if !ok {
		return
	}
	out := takenBackJSON{ID: id}
	if cylinder, r := t.Reading(id); r != nil {
		out.Cylinder, out.Percent, out.Taken = cylinder.ID, r.Percent, r.Undone.At
	}
	answer(c.w, http.StatusOK, out)
}

// takenBackJSON is an analysis of the shop's that was taken back: it stays on the record.
type takenBackJSON struct {
	ID       roster.ReadingID  `json:"id"`
	Cylinder roster.CylinderID `json:"cylinder"`
	Percent  gas.Percent       `json:"percent"`
	Taken    time.Time         `json:"taken_back_at,omitzero"`
}
