package browsertest

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// signsIn signs the office in with the shop's key.
func (p *phone) signsIn() {
	p.t.Helper()
	p.opens("/desk")
	p.do(chromedp.SendKeys(chromedp.CSS("#key"), p.s.key), chromedp.Click(chromedp.CSS("button.main")))
	p.sees("Saturday two-tank")
}

// Every page of the desk at 360 and 1280 px, with letters twice as large, in light
// and in dark, against axe-core's rules for WCAG 2.2 A and AA.
func TestEveryPageOfTheDeskIsAccessible(t *testing.T) {
	checker := axe(t)
	s := newService(t)
	for _, width := range []int64{360, 1280} {
		p := s.phone("Tomasz", width, 900)
		p.opens("/desk/in")
		p.lookedAt("sign-in", width, checker)
		p.signsIn()
		trip := value[string](p, `document.querySelector(".boat a").getAttribute("href")`)
		person := value[string](p, `fetch("`+trip+
			`").then(r => r.text()).then(t => new DOMParser().parseFromString(t, "text/html").querySelector("tbody a").getAttribute("href"))`)
		day := time.Now().Add(3 * time.Hour).In(azores(t)).Format(time.DateOnly)
		for _, c := range []struct{ name, path, before string }{
			{"days", "/desk", ""}, {"trip", trip, ""},
			{"plan", trip + "/plan", `document.querySelector("details summary").click() ?? true`},
			{"copy", trip + "/copy", ""}, {"person", person, ""}, {"new-person", trip + "/people/new", ""},
			{"new", "/desk/trips/new", `document.querySelector("details summary").click() ?? true`},
			{"fills", "/desk/fills?day=" + day, ""}, {"fills-print", "/desk/fills/print?day=" + day, ""},
			{"blends", "/desk/blends", ""}, {"settings", "/desk/settings", ""}, {"nothing", "/desk/nowhere", ""},
		} {
			p.opens(c.path)
			p.waits(`document.readyState === "complete"`)
			if c.before != "" {
				value[bool](p, c.before)
			}
			p.lookedAt(c.name, width, checker)
		}
		p.opens(trip) // with an open invite, and all that is folded away
		p.do(chromedp.Click(chromedp.CSS(`button[value="gate-open"]`)))
		p.waits(`location.search.includes("done") && document.querySelector('img[src$="open-code"]').complete`)
		value[bool](p, `document.querySelectorAll("details").forEach(d => d.open = true) ?? true`)
		p.lookedAt("trip-open", width, checker)
		p.do(chromedp.SendKeys(chromedp.CSS("#reason"), "No wind"), chromedp.Click(chromedp.CSS(`button[value="calloff"]`)))
		p.sees("takes place after all")
		value[bool](p, `document.querySelectorAll("details").forEach(d => d.open = true) ?? true`)
		p.lookedAt("trip-off", width, checker)
		p.do(chromedp.Click(chromedp.CSS(`button[value="puton"]`)))
		p.gone("takes place after all")
	}
}

func azores(t *testing.T) *time.Location {
	t.Helper()
	z, err := time.LoadLocation("Atlantic/Azores")
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func (p *phone) lookedAt(name string, width int64, checker string) {
	p.t.Helper()
	for _, scheme := range []string{"light", "dark"} {
		p.colours(scheme)
		p.accessible("desk "+name+" "+scheme, checker)
		p.shot("desk-" + name + "-" + scheme + "-" + itoa(width))
	}
	p.colours("light")
	if n := value[int](p, sideways); n > 0 {
		p.t.Errorf("desk %s at %d px is %d px too wide", name, width, n)
	}
	if width < 400 {
		p.fits("desk-" + name)
	}
}

func itoa(n int64) string {
	if n == 360 {
		return "360"
	}
	return "1280"
}
