package webchat

import (
	"encoding/json"
	"net/http"

	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A board without network: the phone keeps the tables of all dives, records readings
// and judges them only as far as the table goes. When the network is back each is
// sent with the id that it had from the start, and how old it is, so that it is
// recorded once and as of when it was typed.

// keptRow is a row of the table as the script reads it.
type keptRow struct {
	Cylinder string     `json:"c"`
	Dive     int        `json:"dive"`
	Who      string     `json:"who"`
	Name     string     `json:"name"`
	Bands    []keptBand `json:"bands"`
	Leanest  int        `json:"lean,omitempty"`
	Time     string     `json:"time,omitempty"`
	Else     bool       `json:"else,omitempty"`
}

type keptBand struct {
	From   int    `json:"from"`
	Status string `json:"status"`
	Text   string `json:"text"`
}

// showKept is the table to keep, as data for the script.
func (c *Pages) showKept(w http.ResponseWriter, r *http.Request) {
	t, p := c.onBoard(w, r)
	if p == nil {
		return
	}
	v := c.viewOf(r, t, p)
	table := struct {
		Analysers []string  `json:"analysers"`
		Rows      []keptRow `json:"rows"`
	}{Analysers: []string{}, Rows: []keptRow{}}
	for _, a := range t.Analysers {
		table.Analysers = append(table.Analysers, a.Name)
	}
	for _, row := range conversation.Kept(t, c.Now()) {
		table.Rows = append(table.Rows, v.kept(row))
	}
	body, err := json.Marshal(table)
	if err != nil {
		panic(err) // our own types
	}
	give(w, "application/json", body)
}

func (v view) kept(row conversation.KeptRow) keptRow {
	out := keptRow{Cylinder: string(row.Cylinder), Dive: row.Dive, Who: v.say("page.who", message.Args{"name": row.Who}),
		Name: v.line(row.Name), Leanest: row.Leanest, Else: row.Else}
	if row.Time.Key != "" {
		out.Time = v.line(row.Time)
	}
	for _, b := range row.Bands {
		out.Bands = append(out.Bands, keptBand{b.From, b.Status.String(), v.line(b.Verdict)})
	}
	return out
}

// takeKept records one reading that the phone kept, and answers with what came of it.
func (c *Pages) takeKept(w http.ResponseWriter, r *http.Request, t *roster.Trip, p *roster.Person, in posted) {
	v := boardView{view: c.viewOf(r, t, p)}
	switch {
	case !staff(p):
		tell(w, http.StatusForbidden, result{Why: v.T("page.board.leaders-only")})
	case in.text == "":
		tell(w, http.StatusUnprocessableEntity, result{Why: v.T("page.board.nothing")})
	case !c.within(w, r, t, p, "post", postsAMinute):
		tell(w, http.StatusTooManyRequests, result{})
	default:
		own, err := c.say(r, t, p, in)
		if err != nil {
			c.Log.Error("web: kept reading not recorded", "trip", t.ID, "person", p.ID, "err", err)
			w.Header().Set("Retry-After", "5")
			tell(w, http.StatusServiceUnavailable, result{})
			return
		}
		c.await(r.Context(), t.ID, p.ID, own.At)
		r.Form.Set("said", in.id)
		tell(w, http.StatusOK, result{Stored: true, Answer: c.fragment("board-answer", c.withAnswer(r, v, t, p))})
	}
}
