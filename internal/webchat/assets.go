package webchat

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"
	texttemplate "text/template"

	"gasmuster/internal/message"
)

//go:embed assets/page.css
var pageCSS string

//go:embed assets
var embedded embed.FS

func templates() *template.Template {
	return template.Must(template.New("pages").ParseFS(embedded, "assets/*.html"))
}

// assets are the files under /page/: the script, the icons, and the worker
// that keeps them on the phone. Their addresses carry what they hold, so that
// a phone may keep them and never has an old one.
type assets struct {
	files  map[string]file
	script string // address
	worker []byte
}

type file struct {
	kind string
	body []byte
}

var kinds = map[string]string{".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png"}

func newAssets() assets {
	a := assets{files: map[string]file{}}
	for _, name := range []string{"icon.svg", "icon-192.png", "icon-512.png"} {
		a.files[name] = file{kinds[path.Ext(name)], part("assets/" + name)}
	}
	a.files["page.js"] = file{kinds[".js"], script()}
	a.script = "/page/page.js?v=" + version(a.files["page.js"].body)
	a.worker = a.makeWorker()
	return a
}

// part is one embedded file.
func part(name string) []byte {
	body, err := embedded.ReadFile(name)
	if err != nil {
		panic(err) // part of the program
	}
	return body
}

// script is the parts of the script in the order of their names, as one
// function that nothing outside of it sees.
func script() []byte {
	names, err := fs.Glob(embedded, "assets/script/*.js")
	if err != nil {
		panic(err) // part of the program
	}
	parts := [][]byte{[]byte("\"use strict\";\n(function () {\n")}
	for _, name := range names {
		parts = append(parts, part(name))
	}
	return bytes.Join(append(parts, []byte("})();\n")), nil)
}

func version(parts ...[]byte) string {
	sum := sha256.Sum256(bytes.Join(parts, nil))
	return hex.EncodeToString(sum[:6])
}

// makeWorker names the shell's files in the worker. A change of any of them
// makes another worker, which throws the old shell away.
func (a assets) makeWorker() []byte {
	var out bytes.Buffer
	t := texttemplate.Must(texttemplate.New("worker").Parse(string(part("assets/worker.js"))))
	if err := t.Execute(&out, map[string]any{"Version": version(a.files["page.js"].body, []byte(pageCSS),
		part("assets/offline.html")),
		"Parts": []string{a.script, "/page/icon.svg"}}); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// asset is one file of the shell.
func (c *Pages) asset(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	switch f, ok := c.files.files[name]; {
	case name == "offline":
		c.offline(w, r)
	case name == "worker.js":
		w.Header().Set("Service-Worker-Allowed", "/c/")
		w.Header().Set("Cache-Control", "no-cache")
		give(w, kinds[".js"], c.files.worker)
	case ok:
		w.Header().Set("Cache-Control", "no-cache")
		if strings.HasSuffix(c.files.script, name+"?"+r.URL.RawQuery) {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		give(w, f.kind, f.body)
	default:
		http.NotFound(w, r)
	}
}

func give(w http.ResponseWriter, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(body)
}

// offline is the page for when there is no network. It holds nothing of
// anybody: what it shows, the phone has seen itself.
func (c *Pages) offline(w http.ResponseWriter, r *http.Request) {
	to := message.Reader{Language: r.FormValue("lang")}
	c.serve(w, http.StatusOK, "offline", c.empty(r, to))
}

// manifest makes a page installable: its icon opens this person's page.
func (c *Pages) manifest(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.refuseStream(w, err)
		return
	}
	v := c.viewOf(r, t, p)
	type icon struct {
		Src     string `json:"src"`
		Sizes   string `json:"sizes"`
		Type    string `json:"type"`
		Purpose string `json:"purpose"`
	}
	body, err := json.Marshal(map[string]any{
		"name": v.Trip, "short_name": v.T("page.title"), "id": v.Base, "start_url": v.Base, "scope": v.Base,
		"display": "standalone",
		"lang":    v.Lang, "dir": v.Dir, "background_color": "#f4f1ea", "theme_color": "#0b5c73",
		"icons": []icon{{"/page/icon-192.png", "192x192", "image/png", "any maskable"},
			{"/page/icon-512.png", "512x512", "image/png", "any maskable"},
			{"/page/icon.svg", "any", "image/svg+xml", "any"}}})
	if err != nil {
		c.Log.Error("web: manifest", "err", err)
		http.Error(w, "internal error", http.StatusInternalServerError)
		return
	}
	give(w, "application/manifest+json", body)
}
