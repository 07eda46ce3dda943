package webchat

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"time"

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
	Stored  string // of own entries: what became of it
	Due     bool   // the first of what came last: the page opens at it
	Fresh   bool   // after the person's last own entry: its buttons are at hand
}

// blockView is a line, or several of a table. One that begins with a verdict's
// sign is a verdict, and the first of its message is the largest thing in it.
type blockView struct {
	Style   message.Style
	Text    string
	Verdict string // "go", "limits", "no-go", "not-cleared", "outside" or "out"
	First   bool
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
	day, due := "", dueFrom(entries)
	for i, e := range entries {
		one := c.entry(v, e)
		one.Fresh, one.Due = i >= fresh, i == due
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

// breath is how far apart the parts of one answer may be.
const breath = 2 * time.Minute

// dueFrom is where what came last begins: the entries of the same breath, with
// what the person said before them. That is what is due now.
func dueFrom(entries []roster.Entry) int {
	i := len(entries) - 1
	for i > 0 && !entries[i].Own && entries[i].At.Sub(entries[i-1].At) < breath {
		i--
	}
	return i
}

// entry makes sentences of one entry.
func (c *Pages) entry(v view, e roster.Entry) entryView {
	v.Entries = nil
	out := entryView{view: v, ID: e.ID, Own: e.Own, Text: e.Text, Millis: e.At.UnixMilli(),
		At:  c.Renderer.Shown(message.Say("page.at", message.Args{"at": message.Clock(e.At, v.to.Zone)}), v.to),
		Day: c.Renderer.Shown(message.Say("page.day", message.Args{"day": message.Day(e.At, v.to.Zone)}), v.to)}
	if e.Own {
		out.Stored = v.T("page.received")
		if v.taken[e.ID] {
			out.Stored = v.T("page.stored")
		}
		return out
	}
	var m message.Message
	if err := json.Unmarshal(e.Payload, &m); err != nil {
		c.Log.Error("web: entry not readable", "entry", e.ID, "err", err)
		out.Blocks = []blockView{{Style: message.Strong, Text: v.T("page.unreadable")}}
		return out
	}
	m = c.Links.Fill(v.trip, m)
	out.Blocks = c.blocks(m.Lines, v.to)
	if m.Picture != nil {
		out.Chart = c.chartOf(*m.Picture, v.to)
	}
	out.Buttons = c.buttons(m.Buttons, v.to)
	if m.Code.Kind == message.KindCode && m.Code.S != "" {
		out.Buttons = append(out.Buttons, []buttonView{{Label: v.T("step.qr"), URL: m.Code.S + "/qr"}})
	}
	return out
}

// Asks tells whether the buttons wait for an answer: one that takes back what
// was said, or shows more of it, does not.
func (e entryView) Asks() bool {
	for _, row := range e.Buttons {
		for _, b := range row {
			verb, _, _ := strings.Cut(b.Do, " ")
			if b.URL == "" && !slices.Contains(noAnswers, verb) {
				return true
			}
		}
	}
	return false
}

// noAnswers are the verbs of buttons that answer no question.
var noAnswers = []string{"undo", "lundo", "more", "board"}

func (c *Pages) buttons(rows [][]message.Button, to message.Reader) (out [][]buttonView) {
	for _, row := range rows {
		var buttons []buttonView
		for _, b := range row {
			buttons = append(buttons, buttonView{c.Renderer.Shown(b.Label, to), b.Do, b.URL})
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
	said := false
	for _, l := range lines {
		one := blockView{Style: l.Style, Text: c.Renderer.Shown(l, to)}
		switch n := len(out); {
		case l.Style == message.Table && n > 0 && out[n-1].Style == message.Table:
			out[n-1].Text += "\n" + one.Text
			continue
		case l.Style == message.Gap:
			if n > 0 && out[n-1].Style != message.Gap {
				out = append(out, blockView{Style: message.Gap})
			}
			continue
		case l.Style == message.Strong:
			one.Verdict, one.Text = signed(one.Text)
			one.First, said = one.Verdict != "" && !said, said || one.Verdict != ""
		}
		out = append(out, one)
	}
	return out
}

// signs are the signs that verdicts begin with in every language.
var signs = []struct{ sign, verdict string }{{"✅", "go"}, {"⚠️", "limits"}, {"⚠", "limits"}, {"⛔", "no-go"},
	{"❓", "not-cleared"},
	{"▢", "outside"}, {"▫", "out"}}

// signed takes a verdict's sign off its words: the page draws it itself, since
// not every phone has it in its fonts.
func signed(text string) (verdict, words string) {
	for _, s := range signs {
		if rest, ok := strings.CutPrefix(text, s.sign); ok {
			return s.verdict, strings.TrimSpace(rest)
		}
	}
	return "", text
}
