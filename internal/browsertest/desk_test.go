package browsertest

import (
	"os"
	"path/filepath"
	"strings"
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
		person := value[string](p, `fetch("`+trip+`").then(r => r.text()).then(t => new DOMParser().parseFromString(t, "text/html").querySelector("tbody a").getAttribute("href"))`)
		day := time.Now().Add(3 * time.Hour).In(azores(t)).Format(time.DateOnly)
		for _, c := range []struct{ name, path, before string }{
			{"days", "/desk", ""}, {"trip", trip, ""}, {"plan", trip + "/plan", `document.querySelector("details summary").click() ?? true`},
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

// From signing in to the printed fill list with a file that a spreadsheet program
// saved: in under fifteen clicks, without script.
func TestAnOfficeBooksAFile(t *testing.T) {
	s := newService(t)
	p := s.phone("Tomasz", 1280, 900)
	p.signsIn()
	file, err := filepath.Abs("../../testdata/trips/exports/windows1252-semicolon.csv")
	if err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	next := time.Now().AddDate(0, 0, 20)
	for next.Day() < 13 { // so that the file says which number is the day
		next = next.AddDate(0, 0, 1)
	}
	file = filepath.Join(t.TempDir(), "boat.csv")
	if err := os.WriteFile(file, []byte(strings.Replace(string(body), "15/05/2027", next.Format("02/01/2006"), 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.Click(chromedp.CSS(`a[href="/desk/trips/new"]`)), chromedp.Click(chromedp.CSS(".drop summary")),
		chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}), chromedp.Click(chromedp.CSS("#drop button")))
	p.sees("This would be stored")
	p.sees("Lucía")
	p.do(chromedp.Click(chromedp.CSS(`button[value="store"]`)))
	p.sees("Stored.")
	p.do(chromedp.Click(chromedp.CSS(`.papers a[href="/desk/fills"]`)))
	p.sees("Fill")
	p.clean()
}
