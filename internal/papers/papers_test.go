package papers

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"gasmuster/internal/gas"
	"gasmuster/internal/lettering"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

func TestRecordTellsTheDay(t *testing.T) {
	trip := charter(t)
	r := press().Record(trip, "en")
	if r.Signed {
		t.Error("dive 2 is not signed off, but the record says that all is")
	}
	first := r.Dives[0]
	if len(first.Versions) != 2 || first.Versions[0].State != "broken" || first.Versions[1].State != "signed" {
		t.Fatalf("versions of dive 1: got %+v, want one broken and one signed", states(first.Versions))
	}
	if v := first.Versions[0]; v.Differs == "" || v.BrokenAt.IsZero() || first.Versions[1].Differs != "" {
		t.Errorf("what broke it: got %q at %v", v.Differs, v.BrokenAt)
	}
	of := func(v Version, id roster.PersonID) gas.Percent {
		for _, d := range v.Divers {
			if d.ID == id {
				return d.Cylinders[0].Percent
			}
		}
		return 0
	}
	tomasz := trip.People[1].ID
	if before, after := of(first.Versions[0], tomasz), of(first.Versions[1], tomasz); before != 31.4 || after != 31.3 {
		t.Errorf("Tomasz's reading under the two signatures: got %v and %v, want 31.4 and 31.3", before, after)
	}
	if len(r.Dives[1].Versions) != 1 || r.Dives[1].Versions[0].State != "unsigned" {
		t.Errorf("versions of dive 2: got %v", states(r.Dives[1].Versions))
	}
	for _, d := range r.Dives { // a label ends with the number of its dive
		for _, v := range d.Versions {
			for _, line := range v.Divers {
				if len(line.Cylinders) != 1 || !strings.HasSuffix(line.Cylinders[0].Label, strconv.Itoa(d.Number)) {
					t.Errorf("dive %d, %s: cylinders %+v, want the one for it", d.Number, line.Name, line.Cylinders)
				}
			}
		}
	}
	var readings []string
	for _, g := range r.Readings {
		readings = append(readings, g.State)
	}
	if n := count(readings, "slip"); n != 1 {
		t.Errorf("readings put right: got %d, want 1", n)
	}
	if n := count(readings, "void"); n != 1 {
		t.Errorf("void readings: got %d, want 1", n)
	}
	if out := first.Versions[1].Out; len(out) != 1 || out[0].Reason == "" || out[0].By != "Inês" ||
		strings.Contains(out[0].Text, "ear") {
		t.Errorf("sit-outs: got %+v", out)
	}
	if len(r.Policy) != 1 || r.Policy[0].Field != "ppo2" || r.Policy[0].Value != 1.35 || r.Policy[0].Default != 1.4 {
		t.Errorf("policy: got %+v", r.Policy)
	}
	if len(r.Limits) != 1 || r.Limits[0].Depth != 25 {
		t.Errorf("limits set: got %+v", r.Limits)
	}
	if len(r.Cautions) == 0 || !strings.Contains(strings.Join(r.Cautions, " "), "Training, the diver's own computer") {
		t.Errorf("cautions: got %v", r.Cautions)
	}
	if b, err := json.Marshal(r); err != nil || strings.Contains(string(b), "⟦") {
		t.Errorf("a word is missing: %v %s", err, b)
	}
}

func states(versions []Version) []string {
	var s []string
	for _, v := range versions {
		s = append(s, v.State)
	}
	return s
}

func count(list []string, s string) int {
	n := 0
	for _, x := range list {
		if x == s {
			n++
		}
	}
	return n
}

// MOD as written on a label: NOAA's MOD = 10 (1.35 / FO2 - 1) m by the trade's
// 10 m to an atmosphere: 31.2 % at 1.35 atm: 33.27 m, so 33 m.
func TestMODIsThatOfTheLabel(t *testing.T) {
	r := press().Record(charter(t), "en")
	for _, d := range r.Dives[0].Versions[1].Divers {
		if d.Name == "Inês" && (d.Cylinders[0].Percent != 31.2 || d.Cylinders[0].MOD != 33) {
			t.Errorf("got %+v, want 31.2 %% and 33 m", d.Cylinders[0])
		}
	}
}

func TestRecordCSV(t *testing.T) {
	r := press().Record(charter(t), "en")
	for name, make := range map[string]func() ([]byte, error){"record": r.CSV, "readings": r.ReadingsCSV} {
		b, err := make()
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll() // refuses rows of unequal length
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !strings.Contains(string(b), "健二") || !strings.Contains(string(b), "\r\n") {
			t.Errorf("%s: names or line ends are lost", name)
		}
		if name == "record" && (len(rows) != 1+7+7+7 || count(column1(rows, "state"), "broken") != 7) {
			t.Errorf("record: got %d rows, states %v", len(rows), column1(rows, "state"))
		}
		if name == "readings" && len(rows) != 1+len(r.Readings) {
			t.Errorf("readings: got %d rows, want %d", len(rows), 1+len(r.Readings))
		}
	}
}

func column1(rows [][]string, name string) []string {
	i := slices.Index(rows[0], name)
	var list []string
	for _, r := range rows[1:] {
		list = append(list, r[i])
	}
	return list
}

func TestCellsAreNoFormulas(t *testing.T) {
	for in, want := range map[string]string{"=1+1": "'=1+1", "@x": "'@x", "+x": "'+x", "-x": "'-x", "-0.5": "-0.5",
		"+3": "+3", "Inês": "Inês", "": "", "\tx": "'\tx"} {
		if got := Cell(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

func TestPageHoldsEverythingInAnyScript(t *testing.T) {
	trip := charter(t)
	b, err := press().Record(trip, "en").HTML()
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	for _, want := range []string{"Inês", "Tomasz Łęcki", "Ελένη", "Дмитрий", "健二", "Yusuf 🤿", "מרית", "31.4",
		"slip, put right", "void, filled",
		"SITS OUT", "first dive of the season &lt;b&gt;", "working ppO2", "Broken", "Not every dive is signed",
		"Decision support", "Lime Kiln Wall"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't hold %q", want)
		}
	}
	if strings.Contains(text, "<b>") || strings.Contains(text, "⟦") || strings.Contains(text, "<script") {
		t.Error("the page has raw input or a missing word in it")
	}
	b, err = press().Record(trip, "ar").HTML()
	if err != nil || !strings.Contains(string(b), `dir="rtl"`) {
		t.Errorf("a page for a reader of Arabic is not written from the right: %v", err)
	}
}

func TestInk(t *testing.T) {
	for in, want := range map[string]string{
		"Inês, Łęcki, Ελένη, Дмитрий": "Inês, Łęcki, Ελένη, Дмитрий", "健二": "健二", "מרית": "מרית", "Nguyễn": "Nguyễn",
		"ธนา":     "ธนา",
		"e\u0302": "ê", // composed, Unicode Standard Annex 15
		"✅ GO":    "● GO", "⚠️ GO, BUT MAX 30 m": "▲ GO, BUT MAX 30 m", "▢ OUTSIDE THIS CHECK": "□ OUTSIDE THIS CHECK",
		"▫ SITS OUT": "▫ SITS OUT", "⛔ STOP": "■ STOP", "❓ ANALYSE FIRST": "○ ANALYSE FIRST",
		"🤿 Yusuf": "□ Yusuf", "a\x00b": "a□b", "": "",
	} {
		if got := strings.ReplaceAll(ink(in), "\ufe0f", ""); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

func FuzzInk(f *testing.F) {
	f.Add("Yusuf 🤿 \u202e\xff健二")
	f.Fuzz(func(t *testing.T, s string) {
		got := ink(s)
		if m := lettering.Missing(got); len(m) > 0 || !utf8.ValidString(got) {
			t.Errorf("%q: %q has no letters", s, m)
		}
	})
}

func TestPapersTakeAnyName(t *testing.T) {
	p := press()
	for _, name := range []string{"Yusuf 🤿", "健二\x00", strings.Repeat("W", 300), "\u202e\u2066", "\xff\xfe", "", "{nb}",
		"a\nb\tc", strings.Repeat("ab ", 200)} {
		trip := named(t, name, name)
		for _, make := range []func() ([]byte, error){
			func() ([]byte, error) { return p.RecordPDF(trip, "en", A4) },
			func() ([]byte, error) { return p.Labels(trip, "en", Letter) },
			func() ([]byte, error) { return p.Cards(trip, cardsOf(trip), "en", A4) },
			func() ([]byte, error) { return p.Record(trip, "en").HTML() },
			func() ([]byte, error) { return p.Record(trip, "en").CSV() },
		} {
			if b, err := make(); err != nil || len(b) == 0 {
				t.Errorf("%q: %d bytes, %v", name, len(b), err)
			}
		}
	}
}

// FuzzPapers: no name makes a paper fail.
func FuzzPapers(f *testing.F) {
	f.Add("Yusuf 🤿", "健二\x00")
	f.Fuzz(func(t *testing.T, name, label string) {
		trip, p := named(t, name, label), press()
		for _, make := range []func() ([]byte, error){
			func() ([]byte, error) { return p.Cards(trip, cardsOf(trip)[1:2], "en", A4) },
			func() ([]byte, error) { return p.Record(trip, "en").HTML() },
			func() ([]byte, error) { return p.Record(trip, "en").CSV() },
		} {
			if b, err := make(); err != nil || len(b) == 0 {
				t.Errorf("%q, %q: %d bytes, %v", name, label, len(b), err)
			}
		}
	})
}

func TestPDFs(t *testing.T) {
	trip := charter(t)
	p := press()
	for name, make := range map[string]func(Paper) ([]byte, error){
		"record": func(paper Paper) ([]byte, error) { return p.RecordPDF(trip, "en", paper) },
		"labels": func(paper Paper) ([]byte, error) { return p.Labels(trip, "en", paper) },
		"cards":  func(paper Paper) ([]byte, error) { return p.Cards(trip, cardsOf(trip), "en", paper) },
	} {
		for paper, box := range map[Paper]string{A4: "595.28 841.89", Letter: "612.00 792.00"} {
			b, err := make(paper)
			if err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) {
				t.Errorf("%s: %v", name, err)
			}
			if !bytes.Contains(b, []byte(box)) {
				t.Errorf("%s on %s: no page of %s points", name, paper, box)
			}
			again, _ := make(paper)
			if !bytes.Equal(b, again) {
				t.Errorf("%s on %s: the same trip makes another file", name, paper)
			}
		}
	}
}

// What stands in the PDF, read back by poppler where it is installed.
func TestPDFText(t *testing.T) {
	trip := charter(t)
	text := pdfText(t, func() ([]byte, error) { return press().RecordPDF(trip, "en", A4) })
	for _, want := range []string{"Tomasz Łęcki", "Ελένη", "Дмитрий", "Yusuf □", "1/2", "31.4 %", "slip, put right",
		"first dive of the season <b>", "Broken", "Decision support", "Not every dive is signed"} {
		if !strings.Contains(text, want) {
			t.Errorf("the record doesn't say %q", want)
		}
	}
	if strings.Contains(text, "⟦") || strings.Contains(text, "{nb}") {
		t.Error("something is missing in the record")
	}
	text = pdfText(t, func() ([]byte, error) { return press().Labels(trip, "en", A4) })
	for _, want := range []string{"O2 31.2 %", "MOD 33 m", "Ελένη", "analyser A", "Void after any fill"} {
		if !strings.Contains(text, want) {
			t.Errorf("the labels don't say %q", want)
		}
	}
	text = pdfText(t, func() ([]byte, error) { return press().Cards(trip, cardsOf(trip), "en", Letter) })
	for _, want := range []string{"Дмитрий", "For you alone", "https://gas.example.org/c/abcdefghij-p4-", "Telegram"} {
		if !strings.Contains(text, want) {
			t.Errorf("the cards don't say %q", want)
		}
	}
}

func pdfText(t *testing.T, make func() ([]byte, error)) string {
	t.Helper()
	out, err := exec.Command(tool(t, "pdftotext"), "-layout", written(t, make), "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatal(name + " is not installed, and CI needs it")
	}
	if err != nil {
		t.Skip(name + " is not installed (apt-get install poppler-utils): PDF pages are not read back")
	}
	return path
}

func written(t *testing.T, make func() ([]byte, error)) string {
	t.Helper()
	b, err := make()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "paper.pdf")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestPaperSizes(t *testing.T) {
	for in, want := range map[string]Paper{"": A4, "a4": A4, "A4": A4, "letter": Letter, "Letter": Letter} {
		if got, err := ReadPaper(in); got != want || err != nil {
			t.Errorf("%q: got %s, %v", in, got, err)
		}
	}
	if _, err := ReadPaper("a3"); !errors.Is(err, ErrPaper) {
		t.Errorf("a3: got %v", err)
	}
}

// Every language is printed in its own letters, with nothing left out.
func TestEveryLanguageIsDrawn(t *testing.T) {
	p, base := press(), charter(t)
	for _, tag := range message.Languages() {
		d := roster.Change(base)
		d.Edit(d.People[1].ID).Language = tag
		trip := d.Done()
		w := p.teller(trip, tag)
		for _, key := range []string{"page.caution", "papers.caution", "papers.unsigned", "papers.invite.scan",
			"papers.label.check", "papers.col.verdict"} {
			if text := ink(w.say(key, nil)); strings.ContainsRune(text, unknown) {
				t.Errorf("%s: %q can't be drawn", tag, text)
			}
		}
		for name, make := range map[string]func() ([]byte, error){
			"record": func() ([]byte, error) { return p.RecordPDF(trip, tag, A4) },
			"labels": func() ([]byte, error) { return p.Labels(trip, tag, A4) },
			"cards":  func() ([]byte, error) { return p.Cards(trip, cardsOf(trip), tag, A4) },
		} {
			b, err := make()
			if err != nil || len(b) == 0 {
				t.Errorf("%s in %s: %v", name, tag, err)
			}
			keep(t, name+"-"+tag, b)
		}
	}
}

func TestErasedPeopleHaveNoName(t *testing.T) {
	trip := roster.Change(charter(t))
	trip.Erase(trip.People[2].ID, dawn.Add(2*time.Hour))
	b, err := press().Record(trip.Done(), "en").HTML()
	if err != nil || strings.Contains(string(b), "Ελένη") || !strings.Contains(string(b), "(erased)") || !utf8.Valid(b) {
		t.Errorf("an erased person is still named: %v", err)
	}
}
