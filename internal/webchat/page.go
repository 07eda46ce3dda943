package webchat

import (
	"crypto/rand"
	"errors"
	"html/template"
	"net/http"
	"strings"

	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// view is what the templates show.
type view struct {
	c           *Pages
	to          message.Reader
	trip        roster.TripID
	CSS         template.CSS
	Script      string
	Lang        string
	Dir         string
	Base        string // the page's address
	Action      string // where its choices are posted
	Title       string
	Trip        string
	Plan        string
	Who         string
	Picture     string // of the page, for previews of its link
	Now         string // the time on the trip
	Installable bool
	Leader      bool
	Staff       bool // leader or crew: sees the board

	Gone    string // the page opens nothing: the sentence why
	Closed  bool   // and never will again: the phone forgets what it kept of it
	Failed  bool   // what was typed is not recorded
	Unread  bool   // the conversation could not be read
	Typed   string // kept for another try
	FormID  string // the client message id that this page's next message gets
	Entries []entryView
	After   string // the last stored entry, where the live stream begins
	Earlier bool   // there are more entries than are shown
	Live    bool   // the page reloads itself
	Letters bool   // the letter keyboard is asked for
	Keypad  bool   // show the number keypad
	Over    bool   // the trip is over: the phone keeps nothing more of it
	Digits  []string
	Chips   []string // labels of the person's cylinders, to begin a message with
	Menu    []menuItem
	Below   []string        // how many questions lie below the view, from 1
	taken   map[string]bool // source ids of what a reading came of
}

// T is a text of the page.
func (v view) T(key string) string { return v.c.Renderer.Shown(message.Say(key, nil), v.to) }

type menuItem struct {
	Label, Text string
}

// show is the page.
func (c *Pages) show(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, "")
		return
	}
	v := c.viewOf(r, t, p)
	if !c.within(w, r, t, p, "look", looksAMinute) {
		c.tooMany(w, v)
		return
	}
	if !joined(t, p) {
		c.enter(w, v, p, "", http.StatusOK)
		return
	}
	c.render(w, http.StatusOK, c.withEntries(r, v, t, p))
}

// viewOf is a page of a person without its conversation.
func (c *Pages) viewOf(r *http.Request, t *roster.Trip, p *roster.Person) view {
	to := message.Reader{Language: p.Language, Units: p.Units, Zone: t.Zone}
	if to.Language == "" {
		to.Language = acceptedLanguage(r)
	}
	if to.Units == "" {
		to.Units = t.Units.String()
	}
	v := c.empty(r, to)
	v.trip = t.ID
	v.Trip = c.Renderer.Shown(message.Say("page.trip", message.Args{"trip": message.Name(t.Name)}), to)
	v.Plan = c.plan(t, to)
	v.Who = c.Renderer.Shown(message.Say("page.who", message.Args{"name": message.Name(p.Name)}), to)
	v.Title = v.Trip
	v.Letters = r.FormValue("keys") == "letters"
	v.Keypad = !p.Leader && !v.Letters
	v.Digits = []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0"}
	v.Leader, v.Staff, v.Installable = p.Leader, staff(p), true
	v.Now = c.Renderer.Shown(message.Say("page.at", message.Args{"at": message.Clock(c.Now(), t.Zone)}), to)
	v.Live = r.FormValue("live") == "1"
	v.Menu = v.menu(p)
	v.Over, v.taken, v.Chips = t.Over(c.Now()), readingsOf(t), chips(t, p)
	for n := range mostBelow {
		v.Below = append(v.Below, v.say("page.below", message.Args{"count": message.Count(n + 1)}))
	}
	return v
}

// mostBelow is up to how many questions below the view are counted.
const mostBelow = 5

// chips are the labels of a diver's cylinders that are still to be dived, when
// there are several to tell apart.
func chips(t *roster.Trip, p *roster.Person) (labels []string) {
	for _, c := range p.InUse() {
		if c.Label != "" && !t.WasDived(c.Dive) {
			labels = append(labels, message.Clean(c.Label))
		}
	}
	if len(labels) < 2 {
		return nil
	}
	return labels
}

// readingsOf are the ids of all that a reading was recorded of.
func readingsOf(t *roster.Trip) map[string]bool {
	refs := map[string]bool{}
	for _, p := range t.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				refs[r.Ref] = true
			}
		}
	}
	return refs
}

func (c *Pages) empty(r *http.Request, to message.Reader) view {
	base := "/c/" + r.PathValue("token")
	css := template.CSS(pageCSS) // #nosec G203 -- built into the program
	v := view{c: c, to: to, CSS: css, Script: c.files.script, Base: base, Action: base + "/messages",
		FormID: rand.Text()[:16], Lang: message.Match(to.Language), Dir: message.Direction(to.Language)}
	v.Title = v.T("page.title")
	if c.Links != nil {
		v.Picture = c.Links.PublicURL + "/page/icon-512.png"
	}
	return v
}

// plan is one line: site and depth of the first dive that is neither signed nor
// dived, and the departure.
func (c *Pages) plan(t *roster.Trip, to message.Reader) string {
	n := t.DefaultDive(c.Now())
	if n < 1 || n > len(t.Dives) {
		return c.Renderer.Shown(message.Say("page.plan.done", nil), to)
	}
	d := t.Dives[n-1]
	return c.Renderer.Shown(message.Say("page.plan", message.Args{"dive": message.Count(n), "site": message.Name(d.Site),
		"depth": message.Planned(d.Depth), "day": message.Day(t.Departs, t.Zone), "at": message.Clock(t.Departs, t.Zone)}),
		to)
}

// The commands that the page offers as buttons; everything else can be typed.
var (
	diverMenu  = []string{"reading", "gas", "trip", "howto", "help"}
	crewMenu   = []string{"board", "letin", "reading", "gas", "trip", "howto", "help"}
	leaderMenu = []string{"board", "missing", "boat", "signoff", "letin", "gas", "help"}
)

// staff tells whether somebody sees the board.
func staff(p *roster.Person) bool { return p.Leader || p.Crew }

func (v view) menu(p *roster.Person) []menuItem {
	names := diverMenu
	switch {
	case p.Leader:
		names = leaderMenu
	case p.Crew:
		names = crewMenu
	}
	items := make([]menuItem, len(names))
	for i, name := range names {
		items[i] = menuItem{v.T("page.menu." + name), "/" + name}
	}
	return items
}

// tooMany refuses a link that is used too often.
func (c *Pages) tooMany(w http.ResponseWriter, v view) {
	v.Gone = v.T("page.too-many")
	c.render(w, http.StatusTooManyRequests, v)
}

// closed is the page of a token that opens nothing, or of a store that can't
// be asked; typed is what the person wanted to say, kept for another try.
func (c *Pages) closed(w http.ResponseWriter, r *http.Request, err error, typed string) {
	v := c.empty(r, message.Reader{Language: acceptedLanguage(r)})
	status := http.StatusNotFound
	switch {
	case errors.Is(err, delivery.ErrInviteRevoked):
		v.Gone, v.Closed, status = v.T("page.revoked"), true, http.StatusGone
	case errors.Is(err, delivery.ErrInviteGone):
		v.Gone, v.Closed, status = v.T("page.gone"), true, http.StatusGone
	case errors.Is(err, delivery.ErrInviteWrong):
		v.Gone, v.Closed = v.T("page.wrong"), true
	default:
		c.Log.Error("web: store not reachable", "err", err)
		status, v.Unread, v.Failed, v.Typed = http.StatusServiceUnavailable, true, r.Method == http.MethodPost, typed
		w.Header().Set("Retry-After", "5")
	}
	c.render(w, status, v)
}

func (c *Pages) render(w http.ResponseWriter, status int, v view) { c.serve(w, status, "page", v) }

// serve writes a whole page.
func (c *Pages) serve(w http.ResponseWriter, status int, name string, v any) {
	if err := web.Show(w, c.pages, status, name, v); err != nil {
		c.Log.Error("web: page not rendered", "page", name, "err", err)
	}
}

// fragment is a template's text, "" when it can't be made.
func (c *Pages) fragment(name string, v any) string {
	var page strings.Builder
	if err := c.pages.ExecuteTemplate(&page, name, v); err != nil {
		c.Log.Error("web: page not rendered", "page", name, "err", err)
		return ""
	}
	return page.String()
}
