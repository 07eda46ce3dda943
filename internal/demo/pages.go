package demo

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"sync"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/web"
)

//go:embed assets/index.html
var indexHTML string

//go:embed assets/demo.js
var demoJS string

//go:embed assets/demo.css
var demoCSS string

// moment is one button of the clock.
type moment struct {
	Name, Label string
	at          time.Time
	Past        bool
}

func moments() []moment {
	return []moment{{Name: "announced", at: announced}, {Name: "dock", at: dock}, {Name: "departs", at: departs},
		{Name: "boat", at: boat}, {Name: "after-one", at: afterOne}}
}

// site is the demo's pages around the service's own.
type site struct {
	s     *service
	mu    sync.Mutex // one of the demo's own pages at a time: they move the clock and start over
	pages *template.Template
}

// pages is the demo's HTTP surface: its own pages, and the service's under
// /c/ and /v1/.
func pages(s *service) http.Handler {
	w := &site{s: s, pages: template.Must(template.New("index").Parse(indexHTML))}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", w.index)
	mux.HandleFunc("GET /clock", w.clock)
	mux.HandleFunc("POST /clock", w.moveClock)
	mux.HandleFunc("GET /demo.js", giveScript)
	mux.HandleFunc("POST /again", w.again)
	mux.HandleFunc("GET /shop", w.shop)
	guard := web.Guard{Style: demoCSS, Script: true, More: "frame-src 'self'; ", Framed: true, Referrer: true}
	own := guard.Around(w.alone(mux))
	all := http.NewServeMux()
	all.Handle("/", own)
	all.Handle("/c/", s.Handler)
	all.Handle("/page/", s.Handler)
	all.Handle("/v1/", s.Handler)
	all.Handle("/desk", s.Handler)
	all.Handle("/desk/", s.Handler)
	all.Handle("/j/", s.Handler)
	all.Handle("/h/", s.Handler)
	return all
}

// alone lets one request in after the other: they move the clock and start over.
func (p *site) alone(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p.mu.Lock()
		defer p.mu.Unlock()
		next.ServeHTTP(w, r)
	})
}

// frame is what every page of the demo has.
type frame struct {
	r   *message.Renderer
	CSS template.CSS
}

func (p *site) frame() frame { return frame{p.s.Renderer, template.CSS(demoCSS)} } // #nosec G203 -- built into the program

// T is a text of the catalogue.
func (f frame) T(key string) string { return f.line(key, nil) }

func (f frame) line(key string, a message.Args) string {
	return f.r.Line(message.Say(key, a), message.Reader{Zone: zone, Units: "m"})
}

type indexView struct {
	frame
	Now     string
	Moments []moment
	Phones  []phoneView
	Board   string // the leader's
	Host    string // where a trip is started
}

type phoneView struct {
	guest
	Note string
}

func (p *site) index(w http.ResponseWriter, _ *http.Request) {
	now := p.s.clock.Now()
	v := indexView{frame: p.frame(), Moments: moments(), Host: "/h/" + p.s.host.Code}
	v.Now = v.line("demo.now", message.Args{"day": message.Day(now, zone), "at": message.Clock(now, zone)})
	for i := range v.Moments {
		m := &v.Moments[i]
		m.Label = v.line("demo.clock."+m.Name, message.Args{"at": message.Clock(m.at, zone)})
		m.Past = !m.at.After(now)
	}
	for _, g := range p.s.people {
		p.s.opens(g)
		if g.Leader && v.Board == "" {
			v.Board = g.Page + "/board"
		}
		v.Phones = append(v.Phones, phoneView{g, v.T("demo.note." + plainName(g.Name))})
	}
	p.show(w, "index", v)
}

// plainName is a name as part of a catalogue key.
func plainName(s string) string {
	return strings.ToLower(strings.NewReplacer("ê", "e", "í", "i").Replace(s))
}

func (p *site) show(w http.ResponseWriter, name string, v any) {
	_ = web.Show(w, p.pages, http.StatusOK, name, v)
}

// moveClock moves the clock forward, to a moment of the day or by minutes.
func (p *site) moveClock(w http.ResponseWriter, r *http.Request) {
	to := p.s.clock.Now().Add(5 * time.Minute)
	switch name := r.FormValue("to"); name {
	case "5":
	case "30":
		to = p.s.clock.Now().Add(30 * time.Minute)
	default:
		found := false
		for _, m := range moments() {
			if m.Name == name {
				to, found = m.at, true
			}
		}
		if !found {
			http.Error(w, fmt.Sprintf("%q is no moment of the day", name), http.StatusBadRequest)
			return
		}
	}
	if err := p.s.moveTo(r.Context(), to); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	if r.Header.Get("Accept") == "application/json" {
		p.clock(w, r)
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// clock tells the page's script what the clock shows and which moments are past.
func (p *site) clock(w http.ResponseWriter, _ *http.Request) {
	now := p.s.clock.Now()
	out := struct {
		Now  string   `json:"now"`
		Past []string `json:"past"`
	}{p.frame().line("demo.now", message.Args{"day": message.Day(now, zone), "at": message.Clock(now, zone)}), []string{}}
	for _, m := range moments() {
		if !m.at.After(now) {
			out.Past = append(out.Past, m.Name)
		}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(out)
}

func giveScript(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	_, _ = w.Write([]byte(demoJS))
}

func (p *site) again(w http.ResponseWriter, r *http.Request) {
	if err := p.s.startOver(r.Context()); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
