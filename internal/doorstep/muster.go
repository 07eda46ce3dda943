package doorstep

import (
	"net/http"

	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/web"
)

// muster is the muster sheet, behind the link of leader or crew: a file without
// anything around it, to print or to keep before the signal goes.
func (p *Pages) muster(w http.ResponseWriter, r *http.Request) {
	t, who, err := p.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		p.closed(w, r, err)
		return
	}
	if !who.Leader && !who.Crew {
		v := p.view(r)
		v.Problems = []string{v.T("muster.leaders")}
		p.render(w, http.StatusForbidden, "closed", v)
		return
	}
	language := who.Language
	if language == "" {
		language = message.MatchHeader(r.Header.Get("Accept-Language"))
	}
	sheet, err := papers.Press{Words: p.Renderer, Now: p.Now()}.Muster(t, language)
	if err != nil {
		p.closed(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	web.Paper(w)
	w.Header().Set("Content-Disposition", `inline; filename="muster.html"`)
	_, _ = w.Write(sheet) // #nosec G705 -- html/template made it
}
