package papers_test

import (
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
)

// The sheet has a row of empty boxes for each cylinder, nobody's depth greater than
// their own, and the MOD of each percentage: 1.4 atm at 32 % is 33 m (NOAA: (1.4 /
// 0.32 - 1) x 10 = 33.75), never more than the policy's deepest.
func TestMuster(t *testing.T) {
	now := time.Date(2027, 5, 14, 18, 0, 0, 0, time.UTC)
	d := roster.Change(roster.NewTrip("aaaaaaaaaa", "one"))
	*d.EditPlan() = roster.Plan{Name: "Saturday <two>-tank", Zone: "UTC", Departs: now.Add(14 * time.Hour),
		Units: gas.Metres, Policy: gas.DefaultPolicy(gas.Metres),
		Dives: []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20},
			{Site: "Lime Kiln", Depth: gas.M(18), Minutes: 40, Interval: 60}}}
	d.AddPerson(&roster.Person{ID: "p1", Name: "Inês", Leader: true}, "", now)
	d.AddPerson(&roster.Person{ID: "p2", Name: "Tomasz <b>", DepthLimit: gas.M(18),
		Cylinders: []*roster.Cylinder{{ID: "c3", Label: "17", Asked: 32, Dive: 1}, {ID: "c4", Asked: 36, Dive: 2}}}, "", now)
	d.AddPerson(&roster.Person{ID: "p5", Name: "Gone", Cylinders: []*roster.Cylinder{{ID: "c6", Asked: 32, Dive: 1}}}, "",
		now)
	d.Leave("p5", "p5", "", now)
	sheet, err := papers.Press{Words: message.New(), Now: now}.Muster(d.Trip, "en")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(string(sheet), "\u00a0", " ")
	for _, want := range []string{"Saturday &lt;two&gt;-tank", "2027", "<td>Tomasz &lt;b&gt;</td><td>17</td>",
		"<b>32 %</b> 33 m", "<b>40 %</b> 25 m", "<b>22 %</b> 40 m", "<b>20–21 %</b> air<"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if strings.Contains(text, "Gone") || strings.Contains(text, "<b>Tomasz") {
		t.Error("somebody who is not diving, or a name that is not text")
	}
	rows := regexp.MustCompile(`<td>Tomasz.*?</tr>`).FindAllString(text, -1)
	if len(rows) != 2 || strings.Count(rows[0], `class="box"`) != 5 || !strings.Contains(rows[0], "18 m") ||
		strings.Contains(rows[0], "40 m") {
		t.Errorf("rows: %q", rows)
	}
	if regexp.MustCompile(`(src|href)=`).MatchString(text) {
		t.Error("the sheet needs something beside itself")
	}
}

// The record keeps that a trip was called off, by whom and why.
func TestRecordOfATripThatWasCalledOff(t *testing.T) {
	now := time.Date(2027, 5, 14, 18, 0, 0, 0, time.UTC)
	d := roster.Change(roster.NewTrip("aaaaaaaaaa", "one"))
	*d.EditPlan() = roster.Plan{Name: "Saturday", Zone: "UTC", Departs: now.Add(14 * time.Hour), Units: gas.Metres,
		Policy: gas.DefaultPolicy(gas.Metres),
		Dives:  []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20}}}
	d.AddPerson(&roster.Person{ID: "p1", Name: "Inês", Leader: true}, "", now)
	d.CallOff("p1", "wind <north>", now)
	r := papers.Press{Words: message.New(), Now: now}.Record(d.Trip, "en")
	page, err := r.HTML()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(r.Off, "Inês") || !strings.Contains(string(page), "wind &lt;north&gt;") {
		t.Errorf("%q\n%s", r.Off, page)
	}
}

// The PDF holds the same in a page that an office prints; one of sixty divers goes over
// several pages, each with the head of the table.
func TestMusterPDF(t *testing.T) {
	now := time.Date(2027, 5, 14, 18, 0, 0, 0, time.UTC)
	d := roster.Change(roster.NewTrip("aaaaaaaaaa", "one"))
	*d.EditPlan() = roster.Plan{Name: "Saturday", Zone: "UTC", Departs: now.Add(14 * time.Hour), Units: gas.Metres,
		Policy: gas.DefaultPolicy(gas.Metres),
		Dives:  []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(30), Minutes: 20}}}
	press := papers.Press{Words: message.New(), Now: now}
	pages := func(paper papers.Paper) int {
		sheet, err := press.MusterPDF(d.Trip, "ja", paper)
		if err != nil || !strings.HasPrefix(string(sheet), "%PDF-") {
			t.Fatalf("no PDF: %v", err)
		}
		return len(regexp.MustCompile(`/Type /Page\b`).FindAll(sheet, -1))
	}
	if n := pages(papers.A4); n != 1 {
		t.Errorf("without divers %d pages, want 1", n)
	}
	for i := range 60 {
		id := roster.PersonID("p" + strconv.Itoa(2*i+1))
		d.AddPerson(&roster.Person{ID: id, Name: "Diver " + strconv.Itoa(i),
			Cylinders: []*roster.Cylinder{{ID: roster.CylinderID("c" + strconv.Itoa(2*i+2)), Asked: 32, Dive: 1}}}, "", now)
	}
	if n := pages(papers.Letter); n < 3 { // rows of 9 mm: 25 on a sheet of 279 mm
		t.Errorf("sixty divers on %d pages", n)
	}
	if dir := os.Getenv("SHOTS"); dir != "" {
		sheet, _ := press.MusterPDF(d.Trip, "en", papers.A4)
		_ = os.WriteFile(dir+"/muster.pdf", sheet, 0o600)
	}
}
