package webchat

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// view is what the template shows.
type view struct {
	c     *chat
	to    message.Reader
	CSS   template.CSS
	Lang  string
	Base  string // the page's address
	Title string
	Trip  string
	Plan  string
	Who   string

	Gone    string // the page opens nothing: the sentence why
	Failed  bool   // what was typed is not recorded
	Unread  bool   // the conversation could not be read
	Typed   string // kept for another try
	FormID  string // the client message id that this page's next message gets
	Entries []entryView
	Earlier bool // there are more entries than are shown
	Live    bool // the page reloads itself
	Letters bool // the letter keyboard is asked for
	Keypad  bool // show the number keypad
	Menu    []menuItem
	Choices map[string]choicesView // by entry
}

// choicesView are the buttons of one entry.
type choicesView struct {
	Base, FormID, ID string
	Live             bool
	Rows             [][]buttonView
}

// T is a text of the page.
func (v view) T(key string) string { return v.c.Renderer.Line(message.Say(key, nil), v.to) }

type entryView struct {
	ID      string
	Own     bool
	Day     string // set where a new day begins
	At      string
	Text    string      // of own entries
	Blocks  []blockView // of the bot's
	Buttons [][]buttonView
	Last    bool // the person's last own entry: the page opens at it after a post, the verdict below it
	Fresh   bool // after the person's last own entry: its buttons are at hand
}

type blockView struct {
	Style message.Style
	Text  string
}

type buttonView struct {
	Label, Do, URL string
}

type menuItem struct {
	Label, Text string
}

// shown is how many entries a page shows unless all are asked for.
const shown = 60

// show is the page.
func (c *chat) show(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, "")
		return
	}
	v := c.viewOf(r, t, p)
	if firstVisit(r, t, p) {
		v.Failed = c.join(r, t, p) != nil
	}
	c.render(w, http.StatusOK, c.withEntries(r, v, t, p))
}

// firstVisit tells whether opening the page joins. A browser that looks ahead,
// or asks for the head only, is not the person.
func firstVisit(r *http.Request, t *roster.Trip, p *roster.Person) bool {
	ahead := r.Header.Get("Sec-Purpose") + r.Header.Get("Purpose")
	return r.Method == http.MethodGet && !strings.Contains(ahead, "prefetch") &&
		!slices.Contains(p.Addresses, delivery.WebAddress(t.ID, p.ID))
}

func (c *chat) join(r *http.Request, t *roster.Trip, p *roster.Person) error {
	since := c.Now()
	_, err := c.Door.Handle(r.Context(), delivery.Inbound{Kind: conversation.Join,
		Source: "web:" + string(p.ID) + ":join:" + rand.Text()[:12], From: delivery.WebAddress(t.ID, p.ID),
		Trip: t.ID, Person: p.ID, At: since, Language: acceptedLanguage(r)})
	if err != nil {
		c.Log.Error("web: page not joined", "trip", t.ID, "person", p.ID, "err", err)
		return err
	}
	c.await(r.Context(), t.ID, p.ID, since)
	return nil
}

// acceptedLanguage is the first language that the browser asks for.
func acceptedLanguage(r *http.Request) string {
	first, _, _ := strings.Cut(r.Header.Get("Accept-Language"), ",")
	first, _, _ = strings.Cut(first, ";")
	if first = strings.TrimSpace(first); len(first) > 35 || first == "*" {
		return ""
	}
	return first
}

// lull is how long nothing more has to come for an answer to be taken as whole:
// one event is often answered by several messages.
const lull = 150 * time.Millisecond

// await waits until the bot has said something since then and falls silent, or
// patience ends: the answer mostly comes within the same breath, and then the
// page has it.
func (c *chat) await(ctx context.Context, trip roster.TripID, person roster.PersonID, since time.Time) {
	ctx, cancel := context.WithTimeout(ctx, c.Patience)
	defer cancel()
	tick := time.NewTicker(40 * time.Millisecond)
	defer tick.Stop()
	heard, quietSince := 0, time.Now()
	for {
		entries, err := c.Chats.Read(ctx, trip, person, "")
		if err != nil {
			return
		}
		if n := answers(entries, since); n != heard {
			heard, quietSince = n, time.Now()
		} else if heard > 0 && time.Since(quietSince) >= lull {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// answers counts what the bot has said since then.
func answers(entries []roster.Entry, since time.Time) (n int) {
	for _, e := range entries {
		if !e.Own && !e.At.Before(since) {
			n++
		}
	}
	return n
}

// viewOf is a page of a person without its conversation.
func (c *chat) viewOf(r *http.Request, t *roster.Trip, p *roster.Person) view {
	to := message.Reader{Language: p.Language, Units: p.Units, Zone: t.Zone}
	if to.Language == "" {
		to.Language = acceptedLanguage(r)
	}
	if to.Units == "" {
		to.Units = t.Units.String()
	}
	v := c.empty(r, to)
	v.Trip = c.Renderer.Line(message.Say("page.trip", message.Args{"trip": message.Name(t.Name)}), to)
	v.Plan = c.plan(t, to)
	v.Who = c.Renderer.Line(message.Say("page.who", message.Args{"name": message.Name(p.Name)}), to)
	v.Title = v.Trip
	v.Letters = r.FormValue("keys") == "letters"
	v.Keypad = !p.Leader && !v.Letters
	v.Live = r.FormValue("live") == "1"
	v.Menu = v.menu(p.Leader)
	return v
}

func (c *chat) empty(r *http.Request, to message.Reader) view {
	v := view{c: c, to: to, CSS: template.CSS(pageCSS), Base: "/c/" + r.PathValue("token"), FormID: rand.Text()[:16]}
	v.Lang = "en"
	v.Title = v.T("page.title")
	return v
}

// plan is one line: the current dive's site and depth, and the departure.
func (c *chat) plan(t *roster.Trip, to message.Reader) string {
	n := t.CurrentDive()
	if n < 1 || n > len(t.Dives) {
		return c.Renderer.Line(message.Say("page.plan.done", nil), to)
	}
	d := t.Dives[n-1]
	return c.Renderer.Line(message.Say("page.plan", message.Args{"dive": message.Count(n), "site": message.Name(d.Site),
		"depth": message.Planned(d.Depth), "day": message.Day(t.Departs, t.Zone), "at": message.Clock(t.Departs, t.Zone)}), to)
}

// The commands that the page offers as buttons; everything else can be typed.
var (
	diverMenu  = []string{"reading", "gas", "trip", "howto", "help"}
	leaderMenu = []string{"board", "missing", "boat", "signoff", "gas", "help"}
)

func (v view) menu(leader bool) []menuItem {
	names := diverMenu
	if leader {
		names = leaderMenu
	}
	items := make([]menuItem, len(names))
	for i, name := range names {
		items[i] = menuItem{v.T("page.menu." + name), "/" + name}
	}
	return items
}

// withEntries adds the conversation.
func (c *chat) withEntries(r *http.Request, v view, t *roster.Trip, p *roster.Person) view {
	entries, err := c.Chats.Read(r.Context(), t.ID, p.ID, "")
	if err != nil {
		c.Log.Error("web: conversation not read", "trip", t.ID, "person", p.ID, "err", err)
		v.Unread = true
		return v
	}
	// What the person typed is appended after it was stored, maybe after the
	// answer to it; the times tell the order.
	slices.SortStableFunc(entries, func(a, b roster.Entry) int { return a.At.Compare(b.At) })
	if r.FormValue("all") != "1" && len(entries) > shown {
		v.Earlier, entries = true, entries[len(entries)-shown:]
	}
	v.Choices = map[string]choicesView{}
	fresh := 0
	for i, e := range entries {
		if e.Own {
			fresh = i + 1
		}
	}
	day := ""
	for i, e := range entries {
		one := c.entry(e, v.to)
		one.Fresh, one.Last = i >= fresh, i == fresh-1
		if d := c.Renderer.Line(message.Say("page.day", message.Args{"day": message.Day(e.At, t.Zone)}), v.to); d != day {
			day, one.Day = d, d
		}
		v.Entries = append(v.Entries, one)
		v.Choices[e.ID] = choicesView{v.Base, v.FormID, e.ID, v.Live, one.Buttons}
	}
	return v
}

// entry makes sentences of one entry.
func (c *chat) entry(e roster.Entry, to message.Reader) entryView {
	out := entryView{ID: e.ID, Own: e.Own, Text: e.Text,
		At: c.Renderer.Line(message.Say("page.at", message.Args{"at": message.Clock(e.At, to.Zone)}), to)}
	if e.Own {
		return out
	}
	var m message.Message
	if err := json.Unmarshal(e.Payload, &m); err != nil {
		c.Log.Error("web: entry not readable", "entry", e.ID, "err", err)
		out.Blocks = []blockView{{message.Strong, c.Renderer.Line(message.Say("page.unreadable", nil), to)}}
		return out
	}
	out.Blocks = c.blocks(m.Lines, to)
	for _, row := range m.Buttons {
		var buttons []buttonView
		for _, b := range row {
			buttons = append(buttons, buttonView{together(c.Renderer.Line(b.Label, to)), b.Do, b.URL})
		}
		out.Buttons = append(out.Buttons, buttons)
	}
	return out
}

// blocks joins consecutive table rows into one block.
func (c *chat) blocks(lines []message.Line, to message.Reader) []blockView {
	var out []blockView
	for _, l := range lines {
		text := together(c.Renderer.Line(l, to))
		if n := len(out); l.Style == message.Table && n > 0 && out[n-1].Style == message.Table {
			out[n-1].Text += "\n" + text
			continue
		}
		if l.Style != message.Gap {
			out = append(out, blockView{l.Style, text})
		} else if n := len(out); n > 0 && out[n-1].Style != message.Gap {
			out = append(out, blockView{Style: message.Gap})
		}
	}
	return out
}

// together keeps a number and its percent sign on one line.
func together(s string) string { return strings.ReplaceAll(s, " %", "\u00a0%") }

// closed is the page of a token that opens nothing, or of a store that can't
// be asked; typed is what the person wanted to say, kept for another try.
func (c *chat) closed(w http.ResponseWriter, r *http.Request, err error, typed string) {
	v := c.empty(r, message.Reader{Language: acceptedLanguage(r)})
	status := http.StatusNotFound
	switch {
	case errors.Is(err, delivery.ErrInviteRevoked):
		v.Gone, status = v.T("page.revoked"), http.StatusGone
	case errors.Is(err, delivery.ErrInviteGone):
		v.Gone, status = v.T("page.gone"), http.StatusGone
	case errors.Is(err, delivery.ErrInviteWrong):
		v.Gone = v.T("page.wrong")
	default:
		c.Log.Error("web: store not reachable", "err", err)
		status, v.Unread, v.Failed, v.Typed = http.StatusServiceUnavailable, true, r.Method == http.MethodPost, typed
		w.Header().Set("Retry-After", "5")
	}
	c.render(w, status, v)
}

func (c *chat) render(w http.ResponseWriter, status int, v view) {
	var page strings.Builder
	if err := c.page.Execute(&page, v); err != nil {
		c.Log.Error("web: page not rendered", "err", err)
		http.Error(w, "internal error", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(page.String()))
}
