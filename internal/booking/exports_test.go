package booking

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Each kind of file that spreadsheet programs save, of the same trip: with a title
// above the header, headers and words of everyday, a day and a time of their own,
// and the trip on the first row alone.
func TestWhatSpreadsheetsSave(t *testing.T) {
	files, err := filepath.Glob("../../testdata/trips/exports/*.csv")
	if err != nil || len(files) < 7 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			body, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			wantSaturday(t, ReadFile(body, TypeOfFile(path, body), nil, bookedAt))
		})
	}
}

func wantSaturday(t *testing.T, f File) {
	t.Helper()
	if len(f.Faults) > 0 {
		t.Fatalf("refused: %+v", f.Faults)
	}
	trip := f.Trip.Done()
	// 08:30 in the Azores is 08:30 UTC in May (IANA time zone database).
	if want := time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC); !trip.Departs.Equal(want) {
		t.Errorf("departs %v, want %v", trip.Departs, want)
	}
	if d := trip.Dives[0]; d.Site != "Anvil Ledge" || d.Depth != gas.M(30) || d.Bottom != gas.M(34) || d.Minutes != 22 {
		t.Errorf("dive: %+v", d)
	}
	type booked struct {
		name   string
		leader bool
		card   gas.Card
		asked  gas.Percent
		label  string
	}
	want := []booked{{"Inês", true, gas.CardSeen, 32, ""}, {"Tomasz", false, gas.CardSeen, 32, "17"},
		{"Lucía", false, gas.CardNone, 21, ""}}
	for i, w := range want {
		p := trip.People[i]
		got := booked{p.Name, p.Leader, p.Card, p.Cylinders[0].Asked, p.Cylinders[0].Label}
		if got != w {
			t.Errorf("got %+v, want %+v", got, w)
		}
	}
	said := ""
	for _, note := range f.Notes() {
		said += message.New().Line(note, message.Reader{})
	}
	for _, g := range f.Imported.Guesses {
		said += " " + g.Detail
	}
	for _, part := range []string{"Depths are in m", `"yes" is read as seen`, `read as leader`} {
		if !strings.Contains(said, part) {
			t.Errorf("nothing is said of %q: %s", part, said)
		}
	}
}

// saturdayBook is the same trip as a workbook, with days and shares stored as
// numbers, a formula, and a name over two merged rows.
func saturdayBook(t *testing.T) []byte {
	t.Helper()
	b := excelize.NewFile()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	day, err := b.NewStyle(&excelize.Style{NumFmt: 14})
	must(err)
	clock, err := b.NewStyle(&excelize.Style{NumFmt: 20})
	must(err)
	share, err := b.NewStyle(&excelize.Style{NumFmt: 9})
	must(err)
	for cell, v := range map[string]any{"A1": "Boats in May", "A3": "Trip name", "B3": "Date", "C3": "Time",
		"D3": "Time zone", "E3": "Dive site", "F3": "Depth",
		"G3": "Bottom", "H3": "Minutes", "I3": "Name", "J3": "Role", "K3": "Card", "L3": "Blend", "M3": "Tank no",
		"N3": "Dive no",
		"A4": "Saturday two-tank", "B4": 46522.0, "C4": 8.5 / 24, "D4": "Atlantic/Azores", "E4": "Anvil Ledge", "F4": "30 m",
		"G4": "34 m", "H4": 22,
		"I4": "Inês", "J4": "Guide", "K4": "yes", "L4": 0.32, "N4": 1,
		"I5": "Tomasz", "K5": "yes", "L5": 32, "M5": 17, "N5": 1, "I6": "Lucía", "K6": "no", "L6": "air", "N6": 1} {
		must(b.SetCellValue("Sheet1", cell, v))
	}
	must(b.SetCellStyle("Sheet1", "B4", "B4", day))
	must(b.SetCellStyle("Sheet1", "C4", "C4", clock))
	must(b.SetCellStyle("Sheet1", "L4", "L4", share))
	out, err := b.WriteToBuffer()
	must(err)
	return out.Bytes()
}

// 46522 is 15 May 2027 as workbooks count days from 1900 (ECMA-376, 18.17.4.1).
func TestWorkbook(t *testing.T) {
	body := saturdayBook(t)
	wantSaturday(t, ReadFile(body, TypeOfFile("boats.xlsx", body), nil, bookedAt))
}

func TestMergedNamesAndBlendsSideBySide(t *testing.T) {
	head := "trip;time_zone;departs_at;units;dive1_site;dive1_depth;dive1_minutes;" +
		"dive2_site;dive2_depth;dive2_minutes;dive2_interval;"
	trip := "T;Atlantic/Azores;2027-05-15 08:30;m;A;30;20;B;18;30;60;"
	merged := head + "diver;role;asked;dive\n" + trip + "Inês;leader;32;1\n;;;;;;;;;;;;;36;2\n"
	wide := head + "diver;role;gas 1;gas 2\n" + trip + "Inês;leader;32;36\n"
	for name, text := range map[string]string{"merged": merged, "wide": wide} {
		t.Run(name, func(t *testing.T) {
			f := ReadFile([]byte(text), TypeCSV, nil, bookedAt)
			if len(f.Faults) > 0 {
				t.Fatalf("refused: %+v", f.Faults)
			}
			list := f.Trip.People[0].Cylinders
			if len(list) != 2 || list[0].Asked != 32 || list[0].Dive != 1 || list[1].Asked != 36 || list[1].Dive != 2 {
				t.Errorf("got %+v and %+v", list[0], list[len(list)-1])
			}
		})
	}
}

func TestWhatIsAskedRatherThanAssumed(t *testing.T) {
	for name, c := range map[string]struct{ text, at, want string }{
		"two people of one name": {lines(";;;;;;Kim;;32", ";;;;;;Marit;;32", ";;;;;;Kim;;30"), "5 diver",
			"names that tell them apart"},
		"a second cylinder on one dive": {lines(";;;;;;Kim;;32", ";;;;;;Kim;;30"), "4 dive", "which dive"},
		"units left out":                {strings.ReplaceAll(lines(), ";m\n", ";\n"), "2 units", "never guessed"},
		"day or month": {strings.Replace(lines(), "2027-05-15 08:30", "05/06/2027 08:30", 1),
			"2 departs_at", "day or the month"},
	} {
		t.Run(name, func(t *testing.T) {
			if got := cellsOf(t, c.text, TypeCSV)[c.at]; !strings.Contains(got, c.want) {
				t.Errorf("at %s: got %q, want something about %q; all: %v", c.at, got, c.want, cellsOf(t, c.text, TypeCSV))
			}
		})
	}
}

// A fault names the column as the file does.
func TestFaultsNameTheFilesOwnHeaders(t *testing.T) {
	text := "Trip name,Time zone,Departure,Units,Dive " +
		"site,Depth,Minutes,Name,Role,Blend\nT,Atlantic/Azores,2027-05-15 08:30,m,A,30,20,Inês,leader,lots\n"
	if got := cellsOf(t, text, TypeCSV); !strings.Contains(got["2 Blend"], "percentage") {
		t.Errorf("got %v", got)
	}
}

// Every header and word means one thing in its place, in all ten languages.
func TestHeadersOfTheLanguages(t *testing.T) {
	for text, want := range map[string]string{"Tiefe [m]": "dive1_depth", "Profondeur 2 (ft)": "dive2_depth",
		"深度 (米)": "dive1_depth", "Nombre": "diver",
		"العمق": "dive1_depth", "Tauchplatz 2": "dive2_site", "Surface interval (min)": "dive2_interval", "Gas 2": "asked2",
		"O2 %": "asked",
		"潜水員":  "", "Dive 1 site": "dive1_site", "Mezcla": "asked", "Flaschennummer": "label"} {
		if got := understand(text); got.column != want {
			t.Errorf("%s is understood as %q, want %q", text, got.column, want)
		}
	}
}

// A small file that unpacks into a large one is refused before it is unpacked.
func TestZipBomb(t *testing.T) {
	b := excelize.NewFile()
	for i := range 40 {
		for j := range 40 {
			cell, _ := excelize.CoordinatesToCellName(j+1, i+1)
			if err := b.SetCellStr("Sheet1", cell, strings.Repeat("0", 32000)+cell); err != nil {
				t.Fatal(err)
			}
		}
	}
	out, err := b.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	if out.Len() > MaxFile/4 {
		t.Fatalf("%d bytes: no bomb", out.Len())
	}
	f := ReadFile(out.Bytes(), TypeXLSX, nil, bookedAt)
	if len(f.Faults) != 1 || !strings.Contains(f.Faults[0].Detail, "48 MB") {
		t.Errorf("got %+v", f.Faults)
	}
}

// What a formula showed last counts; nothing is worked out.
func TestFormulasAreNotWorkedOut(t *testing.T) {
	b, err := excelize.OpenReader(bytes.NewReader(saturdayBook(t)))
	if err != nil {
		t.Fatal(err)
	}
	if err := b.SetCellFormula("Sheet1", "L5", "=16*2"); err != nil {
		t.Fatal(err)
	}
	out, err := b.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	if f := ReadFile(out.Bytes(), TypeXLSX, nil, bookedAt); len(f.Faults) > 0 ||
		f.Trip.People[1].Cylinders[0].Asked != 32 {
		t.Errorf("what the formula showed last is lost: %+v", f.Faults)
	}
	if err := b.SetCellValue("Sheet1", "L5", nil); err != nil {
		t.Fatal(err)
	}
	if err := b.SetCellFormula("Sheet1", "L5", "=16*2"); err != nil {
		t.Fatal(err)
	}
	if out, err = b.WriteToBuffer(); err != nil {
		t.Fatal(err)
	}
	if f := ReadFile(out.Bytes(), TypeXLSX, nil, bookedAt); len(f.Faults) == 0 {
		t.Errorf("a formula that showed nothing was worked out: %+v", f.Trip.People[1].Cylinders[0])
	}
}

// A workbook with macros is read for its cells, and nothing else of it is looked at.
func TestMacrosAreNotLookedAt(t *testing.T) {
	book := saturdayBook(t)
	plain, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range plain.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		part, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name == "[Content_Types].xml" { // as a workbook with macros says it is one
			part = bytes.Replace(part, []byte("spreadsheetml.sheet.main+xml"), []byte("x"), 1)
			part = bytes.Replace(part, []byte("application/vnd.openxmlformats-officedocument.x"),
				[]byte("application/vnd.ms-excel.sheet.macroEnabled.main+xml"), 1)
			if !bytes.Contains(part, []byte("macroEnabled")) {
				t.Fatalf("not made one with macros: %s", part)
			}
		}
		w, err := out.Create(f.Name)
		if err == nil {
			_, err = w.Write(part)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	w, err := out.Create("xl/vbaProject.bin")
	if err == nil {
		_, err = w.Write(bytes.Repeat([]byte("no project at all"), 1000))
	}
	if err == nil {
		err = out.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	wantSaturday(t, ReadFile(b.Bytes(), TypeOfFile("boats.xlsm", b.Bytes()), nil, bookedAt))
}

func TestTemplatesAreTrips(t *testing.T) {
	now := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, units := range []string{"m", "ft"} {
		workbook, err := TemplateXLSX(units)
		if err != nil {
			t.Fatal(err)
		}
		for kind, body := range map[string][]byte{TypeCSV: TemplateCSV(units), TypeXLSX: workbook} {
			f := ReadFile(body, kind, nil, now)
			if len(f.Faults) > 0 || f.Trip.Units.String() != units || len(f.Trip.People) != 2 {
				t.Errorf("%s in %s: %+v", kind, units, f.Faults)
			}
		}
	}
}

func TestCopyIsTheSameTripOnAnotherDay(t *testing.T) {
	var trip *roster.Trip
	trip, _ = read(t, example(t, "saturday.json"), "application/json")
	again, _, err := ReadTrip(Copy(trip, "2027-05-22T08:30:00Z", true), "application/json", nil, bookedAt)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := len(again.People), len(trip.People); got != want {
		t.Errorf("%d people, want %d", got, want)
	}
	if got := again.People[1].Cylinders[0]; got.Asked != trip.People[1].Cylinders[0].Asked || got.Label != "" {
		t.Errorf("cylinder: %+v", got)
	}
	alone, _, err := ReadTrip(Copy(trip, "2027-05-22T08:30:00Z", false), "application/json", nil, bookedAt)
	if err != nil || len(alone.People) != 1 || len(alone.People[0].Cylinders) != 0 {
		t.Errorf("without people: %v, %v", alone, err)
	}
}
