package webchat

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// entryView is one entry as the page shows it, with what its choices need.
type entryView struct {
	view
	ID      string
	Own     bool
	Millis  int64 // when it was said
	Day     string
	NewDay  bool // the first entry of a day
	At      string
	Text    string      // of own entries
	Blocks  []blockView // of the bot's
	Chart   chartView   // drawn under the words
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

// shown is how many entries a page shows unless all are asked for.
const shown = 60

// withEntries adds the conversation.
func (c *Pages) withEntries(r *http.Request, v view, t *roster.Trip, p *roster.Person) view {
	entries, err := c.Chats.Read(r.Context(), t.ID, p.ID, "")
	if err != nil {
		c.Log.Error("web: conversation not read", "trip", t.ID, "person", p.ID, "err", err)
		v.Unread = true
		return v
	}
	if len(entries) > 0 {
		v.After = entries[len(entries)-1].ID
	}
	inOrder(entries)
	if r.FormValue("all") != "1" && len(entries) > shown {
		v.Earlier, entries = true, entries[len(entries)-shown:]
	}
	fresh := 0
	for i, e := range entries {
		if e.Own {
			fresh = i + 1
		}
	}
	day := ""
	for i, e := range entries {
		one := c.entry(v, e)
		one.Fresh, one.Last = i >= fresh, i == fresh-1
		one.NewDay, day = one.Day != day, one.Day
		v.Entries = append(v.Entries, one)
	}
	return v
}

// inOrder sorts entries by time. What the person typed is appended after it
// was stored, maybe after the answer to it.
func inOrder(entries []roster.Entry) {
	slices.SortStableFunc(entries, func(a, b roster.Entry) int { return a.At.Compare(b.At) })
}

// entry makes sentences of one entry.
func (c *Pages) entry(v view, e roster.Entry) entryView {
	v.Entries = nil
	out := entryView{view: v, ID: e.ID, Own: e.Own, Text: e.Text, Millis: e.At.UnixMilli(),
		At:  c.Renderer.Line(message.Say("page.at", message.Args{"at": message.Clock(e.At, v.to.Zone)}), v.to),
		Day: c.Renderer.Line(message.Say("page.day", message.Args{"day": message.Day(e.At, v.to.Zone)}), v.to)}
	if e.Own {
		return out
	}
	var m message.Message
	if err := json.Unmarshal(e.Payload, &m); err != nil {
		c.Log.Error("web: entry not readable", "entry", e.ID, "err", err)
		out.Blocks = []blockView{{message.Strong, v.T("page.unreadable")}}
		return out
	}
	m = c.Links.Fill(v.trip, m)
	out.Blocks = c.blocks(m.Lines, v.to)
	if m.Picture != nil {
		out.Chart = c.chartOf(*m.Picture, v.to)
	}
	out.Buttons = c.buttons(m.Buttons, v.to)
	return out
}

func (c *Pages) buttons(rows [][]message.Button, to message.Reader) (out [][]buttonView) {
	for _, row := range rows {
		var buttons []buttonView
		for _, b := range row {
			buttons = append(buttons, buttonView{together(c.Renderer.Line(b.Label, to)), b.Do, b.URL})
		}
		out = append(out, buttons)
	}
	return out
}

// newEntry is an entry as the live stream and the answer to a post carry it.
type newEntry struct {
	ID     string `json:"id"`
	Client string `json:"client,omitempty"` // the client message id of an own entry
	Own    bool   `json:"own,omitempty"`
	At     int64  `json:"at"` // Unix milliseconds
	HTML   string `json:"html"`
}

// fresh is an entry that has just come.
func (c *Pages) fresh(v view, e roster.Entry) newEntry {
	one := c.entry(v, e)
	one.Fresh = true
	out := newEntry{ID: e.ID, Own: e.Own, At: one.Millis, HTML: c.fragment("entry", one)}
	if e.Own {
		out.Client = clientOf(e.ID)
	}
	return out
}

// blocks joins consecutive table rows into one block.
func (c *Pages) blocks(lines []message.Line, to message.Reader) []blockView {
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
