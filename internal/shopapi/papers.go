package shopapi

import (
	"fmt"
	"net/http"

	"gasmuster/internal/booking"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

const (
	typePDF = "application/pdf"
	typePNG = "image/png"
	typeSVG = "image/svg+xml"
)

func (a *api) press(c *call) papers.Press { return papers.Press{Words: a.Renderer, Now: c.now} }

// language is the reader's, by the request's Accept-Language.
func (c *call) language() string {
	c.w.Header().Add("Vary", "Accept-Language")
	if tag := message.MatchHeader(c.Header.Get("Accept-Language")); tag != "" {
		return tag
	}
	return "en"
}

// paper reads the size of paper; it answers itself when it returns false.
func (a *api) paper(c *call, known ...string) (papers.Paper, bool) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), append([]string{"paper"}, known...)...)
	paper, err := papers.ReadPaper(c.URL.Query().Get("paper"))
	if err != nil {
		f.Add("?paper", "is %s: %s", booking.Quoted(c.URL.Query().Get("paper")), err)
	}
	if err := f.Err(); err != nil {
		a.failed(c.w, c.Request, err)
		return "", false
	}
	return paper, true
}

// file answers with a document to keep; an error is a fault of ours.
func (a *api) file(c *call, mediaType, name string, body []byte, err error) {
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	c.w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", name))
	c.w.Header().Set("X-Content-Type-Options", "nosniff")
	writeText(c.w, mediaType, body)
}

// invitePNG and inviteSVG show a person's page link as a QR code.
func (a *api) invitePNG(c *call) { a.inviteCode(c, typePNG, "png", papers.QRPNG) }
func (a *api) inviteSVG(c *call) { a.inviteCode(c, typeSVG, "svg", papers.QRSVG) }

// inviteCode draws the link to the chat page, or the one that opens Telegram
// with ?channel=telegram.
func (a *api) inviteCode(c *call, mediaType, ending string, draw func(string) ([]byte, error)) {
	t, ok := a.trip(c)
	if !ok {
		return
	}
	link, err := a.linkOf(c, t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	body, err := draw(link)
	a.file(c, mediaType, "invite-"+c.PathValue("diver")+"."+ending, body, err)
}

func (a *api) linkOf(c *call, t *roster.Trip) (string, error) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), "channel")
	channel := c.URL.Query().Get("channel")
	if channel != "" && channel != "web" && channel != "telegram" {
		f.Add("?channel", "is %s: web or telegram is accepted", booking.Quoted(channel))
	}
	if err := f.Err(); err != nil {
		return "", err
	}
	p := t.Person(roster.PersonID(c.PathValue("diver")))
	if p == nil || !invitable(p) {
		return "", roster.ErrNotFound
	}
	inv := a.invite(t.ID, p)
	switch {
	case channel != "telegram":
		return inv.Chat, nil
	case inv.Telegram == "":
		return "", &booking.Refusal{Status: http.StatusConflict,
			Detail: "The Telegram channel is off: only the page's link can be had."}
	}
	return inv.Telegram, nil
}

func invitable(p *roster.Person) bool { return !p.Erased && p.Left.IsZero() }

// inviteCards is a sheet with a card for everybody who can be invited.
func (a *api) inviteCards(c *call) {
	paper, ok := a.paper(c)
	if !ok {
		return
	}
	t, ok := a.trip(c)
	if !ok {
		return
	}
	var cards []papers.Card
	for _, p := range t.People {
		if invitable(p) {
			inv := a.invite(t.ID, p)
			cards = append(cards, papers.Card{Person: p.ID, Chat: inv.Chat, Telegram: inv.Telegram})
		}
	}
	body, err := a.press(c).Cards(t, cards, c.language(), paper)
	a.file(c, typePDF, "invites-"+string(t.ID)+".pdf", body, err)
}

// labels is a sheet with a label for every analysed cylinder.
func (a *api) labels(c *call) {
	paper, ok := a.paper(c)
	if !ok {
		return
	}
	if t, ok := a.trip(c); ok {
		body, err := a.press(c).Labels(t, c.language(), paper)
		a.file(c, typePDF, "labels-"+string(t.ID)+".pdf", body, err)
	}
}

// muster is the sheet for a boat without signal: a page to print or to keep, or PDF.
func (a *api) muster(c *call) {
	paper, ok := a.paper(c)
	if !ok {
		return
	}
	t, ok := a.trip(c)
	if !ok {
		return
	}
	media, ok := c.wants(typeHTML, typePDF)
	if !ok {
		return
	}
	name := "muster-" + string(t.ID)
	if media == typePDF {
		body, err := a.press(c).MusterPDF(t, c.language(), paper)
		a.file(c, typePDF, name+".pdf", body, err)
		return
	}
	web.Paper(c.w)
	body, err := a.press(c).Muster(t, c.language())
	a.file(c, typeHTML+"; charset=utf-8", name+".html", body, err)
}

// record is the trip's record: JSON, CSV, PDF, or a page to print. Before the
// last sign-off it says that it is not signed.
func (a *api) record(c *call) {
	paper, ok := a.paper(c, "part")
	if !ok {
		return
	}
	part := c.URL.Query().Get("part")
	if part != "" && part != "readings" {
		refuse(c.w, http.StatusUnprocessableEntity, "Nothing was made.",
			booking.Fault{Pointer: "?part", Detail: "is " + booking.Quoted(part) + ": readings is accepted, for CSV"})
		return
	}
	t, ok := a.trip(c)
	if !ok {
		return
	}
	media, ok := c.wants(typeJSON, booking.TypeCSV, typePDF, typeHTML)
	if !ok {
		return
	}
	a.recordAs(c, t, media, part, paper)
}

func (a *api) recordAs(c *call, t *roster.Trip, media, part string, paper papers.Paper) {
	press, language, name := a.press(c), c.language(), "record-"+string(t.ID)
	switch media {
	case booking.TypeCSV:
		r := press.Record(t, language)
		make := r.CSV
		if part == "readings" {
			make, name = r.ReadingsCSV, name+"-readings"
		}
		body, err := make()
		a.file(c, booking.TypeCSV+"; charset=utf-8; header=present", name+".csv", body, err)
	case typePDF:
		body, err := press.RecordPDF(t, language, paper)
		a.file(c, typePDF, name+".pdf", body, err)
	case typeHTML:
		web.Paper(c.w)
		body, err := press.Record(t, language).HTML()
		a.file(c, typeHTML+"; charset=utf-8", name+".html", body, err)
	default:
		answer(c.w, http.StatusOK, press.Record(t, language))
	}
}
