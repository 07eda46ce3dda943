package desk

import (
	"cmp"
	"errors"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
)

// fillsPage is one fill list over all boats of a day.
type fillsPage struct {
	formPage
	papers.FillSheet
	Date          string // of the day, as in the address
	Before, After string
	Nothing       bool
	faults        map[string]string // by the key of a row
}

// Key names the fields of a row.
func (p fillsPage) Key(r papers.FillRow) string { return string(r.Trip) + "." + string(r.ID) }

// Wrong is what is wrong with what was typed into a row.
func (p fillsPage) Wrong(r papers.FillRow) string { return p.faults[p.Key(r)] }

// dayOf is the day that is asked for; without one the next on which something
// leaves, or today.
func (d *Desk) dayOf(v *visit) (day string, trips []*roster.Trip, err error) {
	if _, err := time.Parse(time.DateOnly, v.FormValue("day")); err == nil {
		day = v.FormValue("day")
	}
	from, to := v.now.Add(-20*time.Hour), v.now.AddDate(0, 0, 8)
	if day != "" {
		at, _ := time.Parse(time.DateOnly, day)
		from, to = at.Add(-14*time.Hour), at.Add(38*time.Hour)
	}
	all, _, err := d.office.Between(v.Context(), v.shop.ID, from, to, mostBoats)
	for _, t := range all {
		date := t.Departs.In(zoneOf(t)).Format(time.DateOnly)
		if day == "" && t.Departs.After(v.now) {
			day = date
		}
		if date == day {
			trips = append(trips, t)
		}
	}
	return cmp.Or(day, v.now.UTC().Format(time.DateOnly)), trips, err
}

func (d *Desk) fills(v *visit) {
	day, trips, err := d.dayOf(v)
	if err != nil {
		d.failed(v, err)
		return
	}
	v.page.Done = v.note()
	d.show(v.w, 200, "fills", v.fillsOf(day, trips))
}

func (v *visit) fillsOf(day string, trips []*roster.Trip) fillsPage {
	at, _ := time.Parse(time.DateOnly, day)
	v.page.Title, v.page.Section = v.page.T("desk.fills"), "fills"
	s := fillsPage{formPage: newForm(v.page), Date: day, Before: at.AddDate(0, 0, -1).Format(time.DateOnly),
		After: at.AddDate(0, 0, 1).Format(time.DateOnly)}
	s.FillSheet = booking.SheetOf(trips, v.now, func(t *roster.Trip) booking.Words { return s.of(t).line })
	s.Day, s.Printed = s.value(message.Date(at, "UTC")), s.value(message.Moment(v.now, zoneName(trips)))
	s.Nothing = len(s.Blends) == 0
	return s
}

func zoneName(trips []*roster.Trip) string {
	if len(trips) == 0 {
		return "UTC"
	}
	return trips[0].Zone
}

// tick stores what was ticked off, each cylinder by itself, or locks the day's
// lists. What can't be stored keeps what was typed and says why.
func (d *Desk) tick(v *visit) {
	day, trips, err := d.dayOf(v)
	if err != nil {
		d.failed(v, err)
		return
	}
	f := v.form()
	var wrong map[string]string
	switch f.text("do") {
	case "lock":
		err = d.lockAll(v, trips)
	default:
		wrong, err = d.tickAll(v, f, trips)
	}
	if err != nil {
		d.failed(v, err)
		return
	}
	if len(wrong) == 0 {
		v.done("/desk/fills?day=" + day + "&done=stored")
		return
	}
	_, trips, err = d.dayOf(v) // as they are now
	if err != nil {
		d.failed(v, err)
		return
	}
	v.page.Problem = v.page.line(message.Say("desk.fills.wrong", message.Args{"count": message.Count(len(wrong))}))
	s := v.fillsOf(day, trips)
	s.keep(f)
	s.faults = wrong
	d.show(v.w, 422, "fills", s)
}

func (d *Desk) lockAll(v *visit, trips []*roster.Trip) error {
	for _, t := range trips {
		if !t.FillLocked.IsZero() || t.Over(v.now) {
			continue
		}
		if _, err := d.apply(v, t, func(*roster.Trip) (conversation.Change, error) {
			return conversation.Change{Lock: true},
				nil
		}); err != nil {
			return err
		}
	}
	return nil
}

// tickAll gives back what was wrong, by the key of its row.
func (d *Desk) tickAll(v *visit, f form, trips []*roster.Trip) (map[string]string, error) {
	wrong := map[string]string{}
	for _, t := range trips {
		for _, p := range t.People {
			for _, c := range p.InUse() {
				key := string(t.ID) + "." + string(c.ID)
				ticked := booking.Ticked{Cylinder: c.ID, Filled: f.text("filled."+key) == "1", Percent: f.text("percent." + key),
					Initials: f.text("initials"), Sure: f.text("sure."+key) == "1"}
				if !ticked.Any() {
					continue
				}
				_, err := d.office.Apply(v.Context(), v.shop.ID, t.ID, v.source()+key, ticked.Change(v.now))
				var no *booking.Refusal
				switch {
				case errors.As(err, &no):
					wrong[key] = v.page.reasons(no)
				case err != nil:
					return nil, err
				}
			}
		}
	}
	return wrong, nil
}

func (p page) reasons(no *booking.Refusal) string {
	if len(no.Faults) == 0 {
		return p.line(no.Line)
	}
	var list []string
	for _, f := range no.Faults {
		list = append(list, p.line(f.Line))
	}
	return strings.Join(list, "; ")
}

// printFills is the list to print: a page, or with ?as=pdf a PDF.
func (d *Desk) printFills(v *visit) {
	day, trips, err := d.dayOf(v)
	if err != nil {
		d.failed(v, err)
		return
	}
	s := v.fillsOf(day, trips)
	if v.URL.Query().Get("as") != "pdf" {
		d.show(v.w, 200, "fills-print", s)
		return
	}
	body, err := papers.Press{Words: d.Renderer, Now: v.now}.FillsPDF(s.FillSheet, v.page.Lang, papers.A4)
	d.file(v, "application/pdf", "fills-"+day+".pdf", body, err)
}
