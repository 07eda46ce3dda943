package browsertest

import (
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// small are the visible things to tap that are smaller than a thumb needs:
// 44 px, more than the 24 px of WCAG 2.2, 2.5.8.
const small = `JSON.stringify([...document.querySelectorAll("a, button, input:not([type=hidden]), select, summary")]
  .filter(e => e.getAttribute("aria-hidden") !== "true" && e.checkVisibility() && e.getClientRects().length && (e.getBoundingClientRect().height < 43.5 || e.getBoundingClientRect().width < 43.5))
  .map(e => e.outerHTML.slice(0, 120)))`

// sideways is by how much the page is wider than the window.
const sideways = `document.documentElement.scrollWidth - document.documentElement.clientWidth`

// fits fails when the page has to be scrolled sideways, as it is and with
// letters twice as large, or when something is too small to tap.
func (p *phone) fits(name string) {
	p.t.Helper()
	if found := value[string](p, small); found != "[]" {
		p.t.Errorf("%s: too small to tap: %s", name, found)
	}
	for _, size := range []string{"100%", "200%"} {
		value[string](p, `document.documentElement.style.fontSize = "`+size+`"`)
		if n := value[int](p, sideways); n > 0 {
			p.t.Errorf("%s at %s is %d px too wide", name, size, n)
		}
		p.shot("small-" + name + "-" + size[:3])
	}
	value[string](p, `document.documentElement.style.fontSize = ""`)
}

// Every page at 320 px, with letters twice as large, in light and in dark, and
// held against axe-core's rules for WCAG 2.2 A and AA.
func TestEveryPageIsAccessible(t *testing.T) {
	checker := axe(t)
	s := newService(t)
	p := s.phone("Tomasz", 320, 640)
	leader := s.pages["Inês"]
	p.opens(p.page)
	p.types("36.4")
	p.sees("STOP, NO-GO")
	p.opens(leader)
	p.types("/board") // the chart
	p.waits(`document.querySelector("#talk figure svg") !== null`)
	for _, c := range []struct{ name, path, before string }{
		{"chat", p.page, ""},
		{"chat-open", p.page,
			`document.querySelector("details.menu summary").click() ?? document.getElementById("pad-switch").click() ?? true`},
		{"leader", leader, ""},
		{"board", leader + "/board", ""},
		{"board-all", leader + "/board?show=all", ""},
		{"board-person", leader + "/board/p2", ""},
		{"board-for", leader + "/board/p2/for", ""},
		{"board-limit", leader + "/board/p2/limit", ""},
		{"board-site", leader + "/board/site", ""},
		{"enter", s.pages["Marit"], ""},
		{"not-yours", p.page + "/board", ""},
		{"wrong", "/c/nothing", ""},
		{"offline", "/page/offline?lang=en", ""},
	} {
		p.do(chromedp.Navigate(s.server.URL + c.path))
		p.waits(`document.readyState === "complete"`)
		if c.before != "" {
			value[bool](p, c.before)
		}
		for _, scheme := range []string{"light", "dark"} {
			p.colours(scheme)
			p.accessible(c.name+" "+scheme, checker)
		}
		p.shot("small-" + c.name + "-dark")
		p.colours("light")
		p.fits(c.name)
	}
}

// The pages that matter most in four languages, one of them from right to
// left, at 320 px, in light and dark.
func TestFourLanguagesAreAccessible(t *testing.T) {
	checker := axe(t)
	s := newService(t)
	languages := []string{"de", "ja", "ar", "es"}
	var leaders, divers []string
	for _, lang := range languages {
		leaders = append(leaders, `{"name":"L-`+lang+`","card":"seen","language":"`+lang+`"}`)
		divers = append(divers, `{"name":"D-`+lang+`","card":"seen","language":"`+lang+`","cylinders":[{"label":"`+lang+
			`1","asked":32},{"label":"`+lang+`2","asked":30}]}`)
	}
	s.bookTrip(`"dives":[{"site":"Anvil Ledge","depth":30,"bottom":34,"minutes":12}],"leaders":[` +
		strings.Join(leaders, ",") + `],"divers":[` + strings.Join(divers, ",") + `]`)
	for _, lang := range languages {
		p := s.phone("D-"+lang, 320, 640)
		p.opens(p.page)
		p.presses(`button[name="put"][value="` + lang + `1"]`)
		p.types("36.4")
		p.waits(`document.querySelector(".says.no-go.loud") !== null`)
		leader := s.pages["L-"+lang]
		p.opens(leader)
		for _, c := range []struct{ name, path string }{{"chat", p.page}, {"board", leader + "/board?show=all"},
			{"person", leader + "/board/p5"}} {
			p.do(chromedp.Navigate(s.server.URL + c.path))
			p.waits(`document.readyState === "complete"`)
			if dir := value[string](p, `document.documentElement.dir`); (dir == "rtl") != (lang == "ar") {
				t.Errorf("%s runs %s", lang, dir)
			}
			for _, scheme := range []string{"light", "dark"} {
				p.colours(scheme)
				p.accessible(lang+" "+c.name+" "+scheme, checker)
			}
			p.colours("light")
			p.fits(lang + "-" + c.name)
		}
	}
}

func (p *phone) colours(scheme string) {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	if err != nil {
		p.t.Fatal(err)
	}
}

// Without script the page is a plain form, and the board's forms are too.
func TestWithoutScript(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 390, 800)
	if _, err := chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	p.opens(p.page)
	p.sees("Tap Refresh")
	p.types("31.8")
	p.sees("Label: 31.8 %")
	p.shot("plain-chat")
	p.opens(s.pages["Inês"] + "/board")
	p.do(chromedp.Click(chromedp.CSS(`a[href*="show=all"]`)))
	p.sees("T1 · 31.8 %")
	p.sitsOut("Marit", "no gas that fits")
	p.sees("SITS OUT")
	p.shot("plain-board")
}

// With the keyboard alone: to the field, send, to Undo, press.
func TestKeyboardAlone(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 800, 800)
	p.opens(p.page)
	p.sees("Connected")
	p.tabTo(`document.activeElement.id === "text"`)
	p.do(chromedp.KeyEvent("31.8"), chromedp.KeyEvent(kb.Enter))
	p.sees("Label: 31.8 %")
	p.tabTo(`document.activeElement.textContent === "Undo"`)
	if width := value[string](p, `getComputedStyle(document.activeElement).outlineWidth`); width != "3px" {
		t.Errorf("where the keyboard is can't be seen: outline %s", width)
	}
	p.do(chromedp.KeyEvent(kb.Enter))
	p.waits(`[...document.querySelectorAll("li.own")].some(l => l.innerText.startsWith("Undo"))`)
	p.clean()
}

// tabTo presses Tab until an expression is true.
func (p *phone) tabTo(expression string) {
	p.t.Helper()
	const most = 40
	for range most {
		if value[bool](p, expression) {
			return
		}
		p.do(chromedp.KeyEvent(kb.Tab))
	}
	p.t.Fatalf("%s presses of Tab did not get there: %s", strconv.Itoa(most), expression)
}
