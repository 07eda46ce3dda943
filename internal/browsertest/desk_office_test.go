package browsertest

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/xuri/excelize/v2"
)

// office is a browser at the desk that counts what it is clicked.
type office struct {
	*phone
	clicks int
}

func (o *office) click(selector string) {
	o.t.Helper()
	o.clicks++
	o.do(chromedp.Click(chromedp.CSS(selector)))
}

// workbook is a boat as an office keeps it: a title, its own headers, days, times and
// shares as numbers with a format, as spreadsheet programs store them (ECMA-376).
func workbook(t *testing.T, day time.Time) string {
	t.Helper()
	b := excelize.NewFile()
	defer b.Close()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for cell, v := range map[string]any{"A1": "Boats of the week",
		"A3": "Trip name", "B3": "Date", "C3": "Time", "D3": "Time zone", "E3": "Dive site", "F3": "Depth", "G3": "Minutes",
		"H3": "Name", "I3": "Role", "J3": "Card", "K3": "Blend",
		"A4": "Spring boat", "B4": day, "C4": 8.5 / 24, "D4": "Atlantic/Azores", "E4": "Anvil Ledge", "F4": "30 m", "G4": 22,
		"H4": "Inês", "I4": "Guide", "J4": "yes", "K4": 0.32,
		"H5": "Tomasz", "J5": "yes", "K5": 0.32, "H6": "Lucía", "J6": "no", "K6": "air"} {
		must(b.SetCellValue("Sheet1", cell, v))
	}
	for cell, format := range map[string]int{"B4": 14, "C4": 20, "K4": 9, "K5": 9} {
		style, err := b.NewStyle(&excelize.Style{NumFmt: format})
		must(err)
		must(b.SetCellStyle("Sheet1", cell, cell, style))
	}
	path := filepath.Join(t.TempDir(), "boats.xlsx")
	must(b.SaveAs(path))
	return path
}

// mostClicks is from signing in to printed invites and fill list.
const mostClicks = 15

func TestAnOfficeBooksAFile(t *testing.T) {
	s := newService(t)
	o := &office{phone: s.phone("Tomasz", 1280, 900)}
	begun := time.Now()
	o.opens("/desk/in")
	o.do(chromedp.SendKeys(chromedp.CSS("#key"), s.key))
	o.click("button.main")
	o.click(`a[href="/desk/trips/new"]`)
	o.click(".drop summary")
	o.clicks++ // on the field, to choose the file
	o.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{workbook(t,
		time.Now().UTC().AddDate(0, 0, 20).Truncate(24*time.Hour))}))
	o.click("#drop button")
	o.sees("This would be stored")
	o.sees("Lucía")
	o.shot("desk-preview-1280")
	o.click(`button[value="store"]`)
	o.sees("Stored.")
	invites := value[string](o.phone, `document.querySelector('.papers a[href$="invites.pdf"]').href`)
	o.clicks += 2 // on the link, and back
	if kind := value[string](o.phone, `fetch("`+invites+
		`").then(r => r.blob()).then(b => b.type + (b.size > 1000))`); kind != "application/pdftrue" {
		t.Errorf("the invites are %s", kind)
	}
	o.click(`.papers a[href^="/desk/fills"]`)
	o.sees("Spring boat")
	o.click(`a[href^="/desk/fills/print"]`)
	o.sees("Spring boat")
	value[bool](o.phone, `Boolean(window.print = () => document.body.setAttribute("data-printed", ""))`)
	o.click("[data-print]")
	o.waits(`document.body.hasAttribute("data-printed")`)
	if o.clicks > mostClicks {
		t.Errorf("%d clicks, want at most %d", o.clicks, mostClicks)
	}
	t.Logf("%d clicks, in %v", o.clicks, time.Since(begun).Round(time.Second))
	o.clean()
}

// chooses sets a field as its user leaves it.
func (o *office) chooses(id, v string) {
	o.t.Helper()
	value[bool](o.phone, `(document.getElementById("`+id+`").value = "`+v+`") !== null`)
}

// Whatever was typed wrong is put right at the desk before the first reading, and the
// shop's own analysis is taken back.
func TestAnOfficePutsRightWhatWasTypedWrong(t *testing.T) {
	s := newService(t)
	o := &office{phone: s.phone("Tomasz", 1280, 900)}
	o.signsIn()
	trip := value[string](o.phone, `document.querySelector(".boat a").getAttribute("href")`)
	o.opens(trip + "/plan")
	for id, v := range map[string]string{"name": "Sunday boat", "time_zone": "Europe/Lisbon", "units": "ft",
		"analysers": "C, D", "d0.depth": "90", "d0.bottom": "none",
		"d0.minutes": "14"} {
		o.chooses(id, v)
	}
	o.click("main form button.main")
	o.sees("Everybody whom it concerns is told")
	for _, text := range []string{"Sunday boat", "90 ft", "14 min"} {
		o.sees(text)
	}
	o.opens(trip + "/plan")
	if got := value[string](o.phone,
		`["time_zone", "units", "analysers"].map(id => document.getElementById(id).value).join("|")`); got != "Europe/Lisbon|ft|C, D" {
		t.Errorf("the plan says %s", got)
	}

	leader := value[string](o.phone, `fetch("`+trip+
		`").then(r => r.text()).then(t => new DOMParser().parseFromString(t, "text/html").querySelector("tbody a").getAttribute("href"))`)
	o.opens(leader)
	o.chooses("name", "Inês Moura")
	o.click(`button[value="store"]`)
	o.sees("Inês Moura")
	o.opens(trip + "/people/p2")
	o.chooses("role", "leader")
	o.click(`button[value="store"]`)
	o.sees("Stored.")
	if n := value[int](o.phone,
		`[...document.querySelectorAll("tbody tr")].filter(r => r.cells[1].innerText === "leader").length`); n != 2 {
		t.Errorf("%d leaders, want 2", n)
	}

	o.click(`.papers a[href^="/desk/fills"]`)
	o.waits(`document.querySelector("input.percent") !== null`)
	value[bool](o.phone, `(document.querySelector('input.percent[aria-label*="T1"]').value = "39.2") !== ""`)
	o.click(`button[value="tick"]`)
	o.sees("39.2 %")
	o.opens(trip + "/people/p2")
	o.sees("39.2 %")
	o.click(`button[value="undo"]`)
	o.sees("Stored.")
	o.gone("39.2 %")
	o.clean()
}

// A file that can't be: every fault stands at its cell, in the reader's language, and
// nothing is stored.
func TestAnOfficeSeesWhatIsWrongWithAFile(t *testing.T) {
	checker := axe(t)
	s := newService(t)
	o := &office{phone: s.phone("Tomasz", 360, 800)}
	o.signsIn()
	path := filepath.Join(t.TempDir(), "boat.csv")
	text := "trip;time_zone;departs_at;dive1_site;dive1_depth;dive1_minutes;diver;role;asked\n" +
		"Sunday;Nowhere;2027-05-15 08:30;Anvil Ledge;deep;22;Inês;leader;lots\n"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	o.opens("/desk/trips/new?lang=de")
	o.click(".drop summary")
	o.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{path}))
	o.click("#drop button")
	o.sees("Nichts wurde gespeichert")
	o.sees(`ist "deep": erwartet wird eine Zahl`)
	o.sees(`ist "lots": erwartet wird ein Prozentwert`)
	o.accessible("desk file with faults", checker)
	o.shot("desk-file-faults-360")
	if n := value[int](o.phone, sideways); n > 0 {
		t.Errorf("%d px too wide", n)
	}
	o.opens("/desk?lang=en")
	o.gone("Sunday")
}
