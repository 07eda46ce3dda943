package e2e

import (
	"fmt"
	"html"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"
)

// surfer is a browser without a script: it opens pages and sends forms, and writes down
// what is sent and what the pages say.
type surfer struct {
	t    *testing.T
	b    *bot
	sent int
	out  strings.Builder
	seen map[string]bool // what was written down, by page and id
}

func (s *surfer) get(path string) (page, at string) {
	s.t.Helper()
	return s.read(http.Get(s.b.url + path))
}

func (s *surfer) post(path string, form url.Values) (page, at string) {
	s.t.Helper()
	s.sent++
	return s.read(http.PostForm(s.b.url+path, form))
}

func (s *surfer) read(resp *http.Response, err error) (page, at string) {
	s.t.Helper()
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		s.t.Fatalf("%s: %s, %v\n%s", resp.Request.URL.Path, resp.Status, err, body)
	}
	return string(body), resp.Request.URL.Path
}

// types sends a message on somebody's chat page and waits for the answer on it.
func (s *surfer) types(name, page string, form url.Values, answer string) string {
	s.t.Helper()
	s.post(page+"/messages", form)
	shown := s.waits(page, answer)
	s.writesDown(name, page, shown)
	return shown
}

var (
	entry = regexp.MustCompile(`(?s)<li class="(own|bot)" data-id="([^"]+)".*?>(.*?)</li>`)
	quiet = regexp.MustCompile(`(?s)<p class="at">.*?</p>|<svg.*?</svg>|<summary>.*?</summary>`)
	ends  = regexp.MustCompile(`</p>|</button>|</pre>|<hr[^>]*>`)
	tags  = regexp.MustCompile(`<button[^>]*>|<[^>]*>`)
)

// writesDown notes what a page has new, in its order.
func (s *surfer) writesDown(name, page, shown string) {
	for _, m := range entry.FindAllStringSubmatch(shown, -1) {
		if s.seen[page+m[2]] {
			continue
		}
		s.seen[page+m[2]] = true
		body := ends.ReplaceAllString(quiet.ReplaceAllString(m[3], ""), "\n")
		body = tags.ReplaceAllStringFunc(body, func(tag string) string {
			if strings.HasPrefix(tag, "<button") {
				return "* "
			}
			return ""
		})
		var lines []string
		for _, line := range strings.Split(html.UnescapeString(body), "\n") {
			if line = strings.Join(strings.Fields(line), " "); line != "" {
				lines = append(lines, line)
			}
		}
		if m[1] == "own" {
			fmt.Fprintf(&s.out, "%s: %s\n", name, strings.Join(lines, " "))
			continue
		}
		fmt.Fprintf(&s.out, "  -> %s\n     %s\n", name, strings.Join(lines, "\n     "))
	}
}

// sends notes a form that is no chat message.
func (s *surfer) sends(what, path string, form url.Values) (at string) {
	s.t.Helper()
	fmt.Fprintf(&s.out, "%s\n", what)
	_, at = s.post(path, form)
	return at
}

func (s *surfer) waits(page, answer string) string {
	s.t.Helper()
	shown := ""
	until(s.t, answer, func() bool {
		shown, _ = s.get(page)
		return strings.Contains(shown, answer)
	})
	return shown
}

// press is the form of a page's button that begins so.
func press(t *testing.T, page, label string) url.Values {
	t.Helper()
	m := regexp.MustCompile(`name="?do"? value="([^"]*)"[^>]*>`+regexp.QuoteMeta(label)).FindAllStringSubmatchIndex(page,
		-1)
	if m == nil {
		t.Fatalf("no button [%s] on %s", label, page)
	}
	last := m[len(m)-1]
	of := regexp.MustCompile(`name="of" value="([^"]*)"`).FindAllStringSubmatch(page[:last[0]], -1)
	if of == nil {
		t.Fatalf("the button [%s] is of no message", label)
	}
	return url.Values{"do": {page[last[2]:last[3]]}, "of": {of[len(of)-1][1]}}
}

// The same on pages, without any chat app.
func TestFromAPhoneOnPages(t *testing.T) {
	r := startRedis(t)
	code := addHost(t, r)
	b := startBot(t, r, nil)
	s := &surfer{t: t, b: b, seen: map[string]bool{}}
	at := time.Now().UTC().Add(200 * time.Minute)
	leader := s.sends("Inês fills in her host's form: Anvil Ledge, 33 m, bottom 34 m, 15 min", "/h/"+code, url.Values{
		"day": {at.Format("2006-01-02")}, "clock": {at.Format("15:04")}, "zone": {"UTC"}, "units": {"m"},
		"site1": {"Anvil Ledge"}, "depth1": {"33"}, "bottom1": {"34"}, "minutes1": {"15"}})
	s.sends("Inês opens her page", leader+"/join", nil)
	page := s.waits(leader, "The open invite")
	s.writesDown("Inês", leader, page)
	open := regexp.MustCompile(`/j/open-[\w-]+`).FindString(page)
	if open == "" {
		t.Fatalf("no link on %s", page)
	}
	s.get(open + "/qr")
	names := []string{"Tomasz", "Marit", "Aoife"}
	var waiting []string
	for _, name := range names {
		waiting = append(waiting, s.sends(name+" opens the invite and fills in: card, to 40 m, label 5"+name[:1], open,
			url.Values{"name": {name}, "card": {"card 40"}, "label": {"5" + name[:1]}}))
	}
	page = s.waits(leader, "Aoife wants to come along")
	s.types("Inês", leader, press(t, page, "Let in all 3"), "On the trip now")
	for i, w := range waiting {
		own := regexp.MustCompile(`/c/[\w-]+`).FindString(s.waits(w, "You are in"))
		s.sends(names[i]+" opens the page that waiting led to", own+"/join", nil)
		s.types(names[i], own, url.Values{"text": {fmt.Sprintf("31.%d", i+1)}}, fmt.Sprintf("31.%d", i+1))
	}
	s.types("Inês", leader, url.Values{"command": {"/boat"}}, "Boat check of dive 1")
	page = s.types("Inês", leader, url.Values{"command": {"/signoff"}}, "Sign dive 1")
	s.types("Inês", leader, press(t, page, "Sign dive 1"), "Signed: dive 1")
	if s.sent >= mostMessages {
		t.Errorf("%d posts, want fewer than %d", s.sent, mostMessages)
	}
	written(t, "on-pages.txt", fmt.Sprintf("# %d forms from an empty store to a signed dive.\n%s", s.sent, s.out.String()))
}
