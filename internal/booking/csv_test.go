package booking

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/charmap"

	"gasmuster/internal/roster"
)

var bookedAt = time.Date(2027, 5, 13, 12, 0, 0, 0, time.UTC)

func example(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile("../../testdata/trips/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// read wants a trip without faults.
func read(t *testing.T, text, contentType string) (*roster.Trip, *Imported) {
	t.Helper()
	draft, how, err := ReadTrip([]byte(text), contentType, nil, bookedAt)
	if err != nil {
		var no *Refusal
		errors.As(err, &no)
		t.Fatalf("%v\n%+v", err, no)
	}
	return draft.Done(), how
}

// asJSON is what is stored of a trip.
func asJSON(t *testing.T, trip *roster.Trip) string {
	t.Helper()
	b, err := json.MarshalIndent(trip, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestTheExamplesAreOneTrip(t *testing.T) {
	// 08:30 in the Azores is 08:30 UTC in May: UTC-1 with an hour of summer
	// time (IANA time zone database).
	fromJSON, _ := read(t, example(t, "saturday.json"), "application/json")
	want := asJSON(t, fromJSON)
	plain := example(t, "saturday.csv")
	// As a spreadsheet with decimal commas writes it.
	semicolons := strings.NewReplacer(`"27,5"`, "27,5", ",", ";").Replace(plain)
	latin, err := charmap.Windows1252.NewEncoder().String(semicolons)
	if err != nil {
		t.Fatal(err)
	}
	repeated := strings.Replace(plain, "\n,,,,,,,,,,,,,,,Lucía", "\nSaturday two-tank,,,m,,,37,,,,,,,,,Lucía", 1)
	for name, c := range map[string]struct {
		text, contentType, encoding, separator string
	}{
		"as it is":               {plain, "text/csv", "utf-8", ","},
		"RFC 4180 line ends":     {strings.ReplaceAll(plain, "\n", "\r\n"), "text/csv; header=present", "utf-8", ","},
		"CR alone":               {strings.ReplaceAll(plain, "\n", "\r"), "text/csv", "utf-8", ","},
		"byte-order mark":        {"\ufeff" + plain, "text/csv; charset=utf-8", "utf-8", ","},
		"semicolons and commas":  {semicolons, "text/csv", "utf-8", ";"},
		"Windows-1252":           {latin, "text/csv", "windows-1252", ";"},
		"Windows-1252, as said":  {latin, "text/csv; charset=windows-1252", "windows-1252", ";"},
		"empty rows between":     {strings.ReplaceAll(plain, "\n,,,", "\n\n,,,,,\n,,,"), "text/csv", "utf-8", ","},
		"no line end at the end": {strings.TrimSpace(plain), "text/csv", "utf-8", ","},
		"trip said again":        {repeated, "text/csv", "utf-8", ","},
		"header in capitals":     {strings.Replace(plain, "dive1_site", "Dive1 Site", 1), "text/csv", "utf-8", ","},
		"blends by their name": {strings.NewReplacer(",17,34,", ",17,EAN34,", ",28,1,", ",28 %,1,").Replace(plain),
			"text/csv", "utf-8", ","},
	} {
		t.Run(name, func(t *testing.T) {
			trip, how := read(t, c.text, c.contentType)
			if diff := cmp.Diff(want, asJSON(t, trip)); diff != "" {
				t.Errorf("differs from saturday.json (-want +got):\n%s", diff)
			}
			if how.Encoding != c.encoding || how.Separator != c.separator || how.Rows != 12 {
				t.Errorf("read as %+v, want %s, %s, 12 rows", how, c.encoding, c.separator)
			}
			if said := len(how.Notes) > 0; said != (c.encoding == "windows-1252") {
				t.Errorf("notes: %q", how.Notes)
			}
		})
	}
}

const head = "trip;time_zone;departs_at;dive1_site;dive1_depth;dive1_minutes;diver;role;asked;units\n"

// lines are a whole file with one leader, and rows after it.
func lines(rows ...string) string {
	return head + "Two-tank;Atlantic/Azores;2027-05-15 08:30;Anvil Ledge;30;20;Inês;leader;31;m\n" +
		strings.Join(rows, "\n")
}

// at are the cells that a refusal names, as "row column", with what it says.
func cellsOf(t *testing.T, text, contentType string) map[string]string {
	t.Helper()
	_, _, err := ReadTrip([]byte(text), contentType, nil, bookedAt)
	var no *Refusal
	if !errors.As(err, &no) {
		t.Fatalf("got %v, want a refusal", err)
	}
	got := map[string]string{}
	for _, f := range no.Faults {
		at := strings.TrimSpace(fmt.Sprintf("%d %s", f.Row, f.Column))
		if _, twice := got[at]; twice && f.Column != "" {
			t.Errorf("%s is named twice", at)
		}
		if got[at] = f.Detail; f.Line.Key == "" {
			t.Errorf("%s: %q is said in English alone", at, f.Detail)
		}
	}
	return got
}

func TestFaultsOfACSVFileNameTheirCells(t *testing.T) {
	cases := map[string]struct {
		text string
		want map[string]string // cell -> part of what is said
	}{
		"no header": {"", map[string]string{"1": "neither a comma, a semicolon nor a tab"}},
		"an unknown column and one twice": {"trip;captain;trip\nA;b;c\n",
			map[string]string{"1 captain": "nearest is", "2 units": "never guessed",
				"1 trip": "twice", "2 time_zone": "is missing", "2 departs_at": "is missing", "2 dive1_site": "1 to 5",
				"2 role": "1 to 4"}},
		"several rows": {lines("Tomasz", ";;;;;;Tomasz;;fifty", ";;;;;;Marit;captain;50", ";;;;;;;;32", ";;;;;;Yusuf;;1,000",
			";;;;;;Aoife;;"),
			map[string]string{"3 trip": "below it is empty", "4 asked": "percentage such as 32",
				"5 role":  "accepted are diver, leader",
				"5 asked": "40", "6 dive": "which dive", "7 asked": "thousand"}},
		"the role after the first row": {lines(";;;;;;Tomasz;;32", ";;;;;;Tomasz;leader;32"),
			map[string]string{"4 role": "first row, 3", "4 dive": "row 3"}},
		"two spellings": {lines(";;;;;;Tomasz;;32", ";;;;;;tomasz;;32"),
			map[string]string{"4 diver": "for this diver", "4 dive": "row 3"}},
		"more cells than columns": {lines(";;;;;;Tomasz;;32;;shop"), map[string]string{"3": "double quotes"}},
		"a torn quote":            {lines(`;;;;;;"Tomasz;;32`), map[string]string{"3": "out of place"}},
		"rows after a cell of two lines": {lines(";;;;;;\"Tom\nasz\";;32", ";;;;;;Marit;;x"),
			map[string]string{"4 asked": "percentage"}},
		"no people": {head + "Two-tank;Atlantic/Azores;2027-05-15 08:30;Anvil Ledge;30;20;;;;m\n",
			map[string]string{"2 role": "1 to 4"}},
		"a cylinder without a request": {strings.Replace(head, "asked", "asked;size", 1) +
			"Two-tank;Atlantic/Azores;2027-05-15 08:30;Anvil Ledge;30;20;Inês;leader;;12 l;m\n",
			map[string]string{"2 asked": "is missing"}},
		"clocks that go forward": {strings.Replace(lines(), "2027-05-15 08:30", "2028-03-26 00:30", 1),
			map[string]string{"2 departs_at": "skip"}},
		"clocks that go back": {strings.Replace(lines(), "2027-05-15 08:30", "2028-10-29 00:30", 1),
			map[string]string{"2 departs_at": "twice"}},
		"another date": {strings.Replace(lines(), "2027-05-15 08:30", "15.5.2027", 1),
			map[string]string{"2 departs_at": "2027-05-15 08:30"}},
		"an unknown zone": {strings.Replace(lines(), "Atlantic/Azores", "Azores", 1),
			map[string]string{"2 time_zone": "Atlantic/Azores", "2 departs_at": "no time zone"}},
		"a dive left out": {strings.Replace(strings.Replace(lines(), ";diver;",
			";dive3_site;dive3_depth;dive3_minutes;diver;", 1), ";Inês;", ";Wall;18;40;Inês;", 1),
			map[string]string{"2 dive2_site": "is missing", "2 dive2_depth": "is missing", "2 dive2_minutes": "is missing"}},
		"no minutes": {strings.Replace(lines(), ";20;", ";;", 1), map[string]string{"2 dive1_minutes": "is missing"}},
		"a depth in letters": {strings.Replace(lines(), ";30;", ";thirty;", 1),
			map[string]string{"2 dive1_depth": "without its unit"}},
		"two units": {strings.Replace(lines(), ";30;", ";90 ft;", 1),
			map[string]string{"2": "one unit is accepted", "2 dive1_depth": "deeper than"}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			got := cellsOf(t, c.text, "text/csv")
			for at, part := range c.want {
				said, ok := got[at]
				if ok && strings.Contains(said, part) {
					continue
				}
				t.Errorf("at %q: got %q, want something about %q; all: %v", at, said, part, got)
			}
			for at := range got {
				if _, ok := c.want[at]; !ok {
					t.Errorf("%q is named for no reason: %s", at, got[at])
				}
			}
		})
	}
}

func TestFilesThatAreNoText(t *testing.T) {
	for name, c := range map[string]struct{ text, contentType, want string }{
		"a picture":         {"\x89PNG\r\n\x1a\n\x00\x00", "text/csv", "no text"},
		"not the said UTF8": {lines(";;;;;;Luc\xeda;;32"), "text/csv; charset=utf-8", "no text that can be read"},
		"another charset":   {lines(), "text/csv; charset=koi8-r", "accepted"},
		"neither":           {lines(";;;;;;Luc\x81a;;32"), "text/csv", "no text that can be read"},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := ReadTrip([]byte(c.text), c.contentType, nil, bookedAt)
			var no *Refusal
			if !errors.As(err, &no) || len(no.Faults) != 1 || !strings.Contains(no.Faults[0].Detail, c.want) {
				t.Errorf("got %+v, want one fault about %q", no, c.want)
			}
		})
	}
}

// FuzzReadCSV: no file makes the reader panic, every fault has a row within the
// file, and what is accepted is a trip that the roster accepts and that says
// the same when its document is read as JSON.
func FuzzReadCSV(f *testing.F) {
	f.Add([]byte(lines(";;;;;;Tomasz;;36", ";;;;;;\"To\"\"m\";;air")), "text/csv")
	f.Add([]byte("\ufefftrip,asked\r\n\"a,b\",\"30,5\"\r\n"), "text/csv; charset=utf-8")
	f.Add([]byte("diver;Luc\xeda\n\xff"), "text/csv; charset=windows-1252")
	f.Add([]byte("a;b\n\"x\ny\";1\n;;;\n"), "text/csv")
	if b, err := os.ReadFile("../../testdata/trips/saturday.csv"); err == nil {
		f.Add(b, "text/csv")
	}
	f.Fuzz(func(t *testing.T, body []byte, contentType string) {
		trip, how, err := readFileTrip(body, contentType, nil, bookedAt)
		var no *Refusal
		switch {
		case err == nil:
			if found := trip.Validate(); len(found) > 0 {
				t.Errorf("accepted in spite of %v", found)
			}
			if how.Rows == 0 {
				t.Error("a trip out of no rows")
			}
		case !errors.As(err, &no) || len(no.Faults) == 0:
			t.Errorf("refused without a fault: %v", err)
		default:
			most := strings.Count(string(body), "\n") + strings.Count(string(body), "\r") + 2
			for _, one := range no.Faults {
				if one.Row > most || one.Row < 0 || one.Detail == "" {
					t.Errorf("%+v, of at most %d rows", one, most)
				}
			}
		}
	})
}
