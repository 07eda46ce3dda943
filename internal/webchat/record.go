package webchat

import (
	"net/http"

	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/web"
)

// showRecord is the record of a leader's trip as a document, to keep and to print:
// what the chat's "/record" leads to.
func (c *Pages) showRecord(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, "")
		return
	}
	if !c.within(w, r, t, p, "look", looksAMinute) {
		c.tooMany(w, c.viewOf(r, t, p))
		return
	}
	if !p.Leader {
		v := c.viewOf(r, t, p)
		v.Gone = v.T("page.board.leaders-only")
		c.render(w, http.StatusForbidden, v)
		return
	}
	page, err := papers.Press{Words: c.Renderer, Now: c.Now()}.Record(t, message.Match(p.Language)).HTML()
	if err != nil {
		c.Log.Error("record not made", "trip", t.ID, "error", err)
		http.Error(w, "internal error", http.StatusInternalServerError)
		return
	}
	web.Paper(w)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(page) // #nosec G705 -- html/template made it
}
