package desk

import (
	"crypto/rand"
	"embed"
	"errors"
	"html/template"
	"net/http"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

//go:embed assets/*.html
var assets embed.FS

func templates() *template.Template {
	return template.Must(template.New("desk").ParseFS(assets, "assets/*.html"))
}

// page is what every page has.
type page struct {
	words   *message.Renderer
	to      message.Reader
	CSS     template.CSS
	Script  string
	Lang    string
	Dir     string
	Title   string
	Shop    string // name of who is signed in
	In      bool
	Section string // of the menu
	Action  string // where a form posts to
	Live    bool   // looks again by itself
	Done    string // what was stored last
	Problem string // why nothing was stored
	Faults  []faultView
}

// faultView is one thing wrong with a form, beside the field that it names.
type faultView struct {
	Field   string
	Text    string // beside the field
	Whole   string // with its place, in the list of all
	pointer string // of the document
}

// T is a text of the catalogue without values.
func (p page) T(key string) string { return p.line(message.Say(key, nil)) }

func (p page) line(l message.Line) string { return p.words.Shown(l, p.to) }

func (p page) lines(ls []message.Line) (out []string) {
	for _, l := range ls {
		out = append(out, p.line(l))
	}
	return out
}

// value is one value as people read it.
func (p page) value(x message.Value) string {
	return p.line(message.Say("fills.value", message.Args{"value": x}))
}

// of is the page for a trip: depths and times are the trip's.
func (p page) of(t *roster.Trip) page {
	p.to.Units, p.to.Zone = t.Units.String(), t.Zone
	return p
}

// Fault is what is wrong with a field, "" for nothing.
func (p page) Fault(field string) string {
	for _, f := range p.Faults {
		if f.Field == field {
			return f.Text
		}
	}
	return ""
}

// LangView is one language to choose.
type LangView struct {
	Tag, Name string
	Now       bool
}

// Languages are those that the page can be read in.
func (p page) Languages() (list []LangView) {
	for _, tag := range message.Languages() {
		list = append(list, LangView{tag, p.words.Line(message.Say("fills.value",
			message.Args{"value": message.OwnName(tag)}), message.Reader{}), tag == p.Lang})
	}
	return list
}

const languageCookie = "desk_language"

// blank is a page without content, in the reader's language: as chosen before,
// or as the browser asks. "?lang=" chooses.
func (d *Desk) blank(w http.ResponseWriter, r *http.Request, title string) page {
	lang := message.MatchHeader(r.Header.Get("Accept-Language"))
	if c, err := r.Cookie(languageCookie); err == nil {
		lang = c.Value
	}
	if asked := r.URL.Query().Get("lang"); asked != "" {
		lang = message.Match(asked)
		http.SetCookie(w, &http.Cookie{Name: languageCookie, Value: lang, Path: "/desk", MaxAge: 365 * 24 * 3600,
			HttpOnly: true,
			SameSite: http.SameSiteStrictMode}) // #nosec G124 -- a language is no secret
	}
	lang = message.Match(lang)
	p := page{words: d.Renderer, to: message.Reader{Language: lang}, CSS: template.CSS(deskCSS), // #nosec G203 -- built into the program
		Script: scriptAt, Lang: lang, Dir: message.Direction(lang)}
	if title != "" {
		p.Title = p.T(title)
	}
	return p
}

// show renders a page whole before the first byte leaves.
func (d *Desk) show(w http.ResponseWriter, status int, name string, v any) {
	if err := web.Show(w, d.pages, status, name, v); err != nil {
		d.Log.Error("desk: page", "page", name, "err", err)
	}
}

// done goes back to a page after something was stored.
func (v *visit) done(to string) { http.Redirect(v.w, v.Request, to, http.StatusSeeOther) }

// note is what the page before stored, from a closed list: nothing of an address
// is shown.
func (v *visit) note() string {
	switch key := "desk.done." + v.URL.Query().Get("done"); key {
	case "desk.done.stored", "desk.done.told", "desk.done.locked", "desk.done.sent", "desk.done.copied",
		"desk.done.erased":
		return v.page.T(key)
	}
	return ""
}

// nothing is the answer to an address that isn't there, or another shop's.
func (d *Desk) nothing(w http.ResponseWriter, r *http.Request) {
	p := d.blank(w, r, "desk.title")
	p.Problem = p.T("desk.nothing")
	d.show(w, http.StatusNotFound, "alone", p)
}

// broken answers a fault of ours. Nothing of it is shown: it gets an id that the
// log repeats. Who only looked is not told that something may be stored.
func (d *Desk) broken(w http.ResponseWriter, r *http.Request, err error) {
	id := rand.Text()[:12]
	d.Log.Error("desk", "fault", id, "method", r.Method, "route", r.Pattern, "err", err)
	p := d.blank(w, r, "desk.title")
	p.Problem = p.T("door.unread")
	if r.Method == http.MethodPost {
		p.Problem = p.line(message.Say("desk.broken", message.Args{"id": message.Code(id)}))
	}
	d.show(w, http.StatusServiceUnavailable, "alone", p)
}

// failed answers an error of the office. A refusal with a form to show it on is
// the form's business: see refused.
func (d *Desk) failed(v *visit, err error) {
	var no *booking.Refusal
	switch {
	case errors.As(err, &no):
		v.page.refuse(no)
		d.show(v.w, no.Status, "alone", v.page)
	case errors.Is(err, roster.ErrNotFound):
		d.nothing(v.w, v.Request)
	case errors.Is(err, roster.ErrConflict), errors.Is(err, delivery.ErrBusy):
		v.page.Problem = v.page.T("desk.busy")
		d.show(v.w, http.StatusConflict, "alone", v.page)
	default:
		d.broken(v.w, v.Request, err)
	}
}

// refused takes a refusal onto the page that is shown next; false when err is
// anything else and was answered.
func (d *Desk) refused(v *visit, err error) bool {
	var no *booking.Refusal
	if !errors.As(err, &no) {
		d.failed(v, err)
		return false
	}
	v.page.refuse(no)
	return true
}

func (p *page) refuse(no *booking.Refusal) {
	p.Problem = p.T("desk.refused")
	if len(no.Faults) == 0 {
		p.Problem += " " + p.line(no.Line)
	}
	for _, f := range no.Faults {
		p.Faults = append(p.Faults, faultView{pointer: f.Pointer, Text: p.line(f.Line), Whole: p.line(f.Line)})
	}
}

// tripOf is the trip of the path; it answers itself when it returns false.
func (d *Desk) tripOf(v *visit) (*roster.Trip, bool) {
	t, err := d.office.Load(v.Context(), v.shop.ID, roster.TripID(v.PathValue("trip")))
	if err != nil {
		d.failed(v, err)
		return nil, false
	}
	v.page = v.page.of(t)
	return t, true
}

func zoneOf(t *roster.Trip) *time.Location {
	if z, err := time.LoadLocation(t.Zone); err == nil {
		return z
	}
	return time.UTC
}
