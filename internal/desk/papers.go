package desk

import (
	"fmt"
	"net/http"

	"gasmuster/internal/booking"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// tripPapers are what can be printed or kept of a trip: the name in the address,
// and the words for it.
var tripPapers = []struct{ name, words string }{
	{"invites.pdf", "desk.paper.invites"}, {"labels.pdf", "desk.paper.labels"},
	{"muster.html", "muster.sheet"}, {"muster.pdf", "muster.sheet.pdf"},
	{"record.html", "desk.paper.record"}, {"record.pdf", "desk.paper.record.pdf"}, {"record.csv", "desk.paper.record.csv"},
	{"calendar.ics", "desk.paper.calendar"},
}

func (d *Desk) papersOf(p page, t *roster.Trip) (list []paperLink) {
	for _, one := range tripPapers {
		list = append(list, paperLink{"/desk/trips/" + string(t.ID) + "/paper/" + one.name, p.T(one.words)})
	}
	return list
}

func (d *Desk) paper(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	press, lang := papers.Press{Words: d.Renderer, Now: v.now}, v.page.Lang
	name := v.PathValue("paper")
	var body []byte
	var err error
	kind := "application/pdf"
	switch name {
	case "invites.pdf":
		body, err = press.Cards(t, d.cards(t), lang, papers.A4)
	case "labels.pdf":
		body, err = press.Labels(t, lang, papers.A4)
	case "muster.pdf":
		body, err = press.MusterPDF(t, lang, papers.A4)
	case "muster.html":
		kind = "text/html; charset=utf-8"
		web.Paper(v.w)
		body, err = press.Muster(t, lang)
	case "record.pdf":
		body, err = press.RecordPDF(t, lang, papers.A4)
	case "record.html":
		kind = "text/html; charset=utf-8"
		web.Paper(v.w)
		body, err = press.Record(t, lang).HTML()
	case "record.csv":
		kind = "text/csv; charset=utf-8"
		body, err = press.Record(t, lang).CSV()
	case "calendar.ics":
		kind, body = booking.TypeICS, booking.Calendar([]*roster.Trip{t}, d.PublicURL, v.now, v.page.of(t).line)
	default:
		d.nothing(v.w, v.Request)
		return
	}
	d.file(v, kind, string(t.ID)+"-"+name, body, err)
}

// cards are the invites of everybody who can be invited.
func (d *Desk) cards(t *roster.Trip) (list []papers.Card) {
	for _, p := range t.People {
		if !p.Erased && p.Left.IsZero() {
			list = append(list, papers.Card{Person: p.ID, Chat: d.Links.Page(t.ID, p.ID, p.Generation),
				Telegram: d.Links.Chat(t.ID, p.ID, p.Generation)})
		}
	}
	return list
}

// file answers with something to show or to keep; an error is a fault of ours.
func (d *Desk) file(v *visit, kind, name string, body []byte, err error) {
	if err != nil {
		d.failed(v, err)
		return
	}
	v.w.Header().Set("Content-Type", kind)
	if name != "" {
		v.w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", name))
	}
	v.w.WriteHeader(http.StatusOK)
	_, _ = v.w.Write(body)
}

// calendar is the shop's next weeks as a file for a calendar.
func (d *Desk) calendar(v *visit) {
	trips, _, err := d.office.Between(v.Context(), v.shop.ID, v.now.AddDate(0, 0, -1), v.now.AddDate(0, 0, 60), mostBoats)
	if err != nil {
		d.failed(v, err)
		return
	}
	d.file(v, booking.TypeICS, "boats.ics", booking.Calendar(trips, d.PublicURL, v.now, v.page.line), nil)
}

// blends is the chart of asked against measured.
func (d *Desk) blends(v *visit) {
	v.page.Title, v.page.Section = v.page.T("desk.blends"), "blends"
	trips, samples, err := d.samples(v)
	if err != nil {
		d.failed(v, err)
		return
	}
	d.show(v.w, 200, "blends", blendsPage{page: v.page, Groups: v.page.groups(samples),
		Trips: v.page.line(message.Say("desk.blends.of",
			message.Args{"count": message.Count(len(samples)), "trips": message.Count(trips)}))})
}
