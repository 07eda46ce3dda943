package shopapi_test

import (
	"cmp"
	"encoding/csv"
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/message"
)

type settle struct {
	What, Name, Text, Rule      string
	Asked, Recommended, Richest float64
}

type fillList struct {
	Total  int
	Settle []settle
	Blends []struct {
		Asked float64
		Count int
	}
}

// found are the things to settle, by what and whom.
func (l fillList) found() map[string]settle {
	by := map[string]settle{}
	for _, s := range l.Settle {
		by[s.What+" "+s.Name] = s
	}
	return by
}

func (s *stage) fills(b trip) (l fillList) {
	s.t.Helper()
	s.ask("GET", b.path("/fills"), "").want(http.StatusOK).into(&l)
	return l
}

func TestWhatDoesNotFitIsSaidBeforeTheFill(t *testing.T) {
	s := newStage(t)
	b := s.book()
	l := s.fills(b)
	// NOAA best mix at 33.5 m: 1.4 / 4.35 = 32.18 %. 36 % at 18 m is fine
	// (1.4 / 2.8 = 50 %), and so is air.
	got, ok := l.found()["does-not-fit Tomasz"]
	if !ok || got.Asked != 36 || got.Recommended != 31 || got.Richest != 32 || !strings.Contains(got.Text, "31 %") ||
		len(l.Settle) != 1 {
		t.Errorf("settle: %+v, want 36 %% of Tomasz at Anvil Ledge alone, with 31 and 32", l.Settle)
	}
	if l.Total != 4 {
		t.Errorf("%d cylinders, want 4", l.Total)
	}
	sum := 0
	for _, bl := range l.Blends {
		sum += bl.Count
	}
	if sum != l.Total {
		t.Errorf("blends add up to %d, want %d", sum, l.Total)
	}
}

// Who orders what their card or qualification does not allow is said too, with
// what they may be given: without a card, air; deeper than the qualification,
// nothing.
func TestRequestsAreJudgedForTheirDiver(t *testing.T) {
	s := newStage(t)
	var b trip
	s.ask("POST", "/v1/trips", `{"name": "Friday wall", "time_zone": "Atlantic/Azores", "departs_at": "2027-05-15T08:30:00Z", "units": "m",
		"dives": [{"site": "Anvil Ledge", "depth": 25, "minutes": 18}], "leaders": [{"name": "Inês"}],
		"divers": [{"name": "Yusuf", "card": "none", "cylinders": [{"asked": 32}]},
			{"name": "Nils", "card": "seen", "depth_limit": 18, "cylinders": [{"asked": 32}]},
			{"name": "Lucía", "cylinders": [{"asked": 32}]},
			{"name": "Tomasz", "card": "seen", "depth_limit": 30, "cylinders": [{"asked": 32}]}]}`).want(http.StatusCreated).into(&b)
	got := s.fills(b).found()
	if y := got["does-not-fit Yusuf"]; y.Rule != "card" || y.Recommended != 21 || y.Richest != 21 ||
		!strings.Contains(y.Text, "air") {
		t.Errorf("no card: %+v, want air", y)
	}
	if n := got["does-not-fit Nils"]; n.Rule != "depth-limit" || n.Recommended != 0 || n.Richest != 0 ||
		!strings.Contains(n.Text, "18 m") {
		t.Errorf("qualified to 18 m, planned 25 m: %+v, want nothing recommended", n)
	}
	if len(got) != 2 {
		t.Errorf("%d to settle, want 2: an unseen card is shown before the dive, not before the fill: %+v", len(got), got)
	}
	for _, name := range []string{"Yusuf", "Nils"} {
		if c := b.diver(t, name).Cylinders[0].Check; c == nil || c.Status != "no-go" || c.Richest > 21 {
			t.Errorf("the check of %s: %+v", name, c)
		}
	}
}

// late locks the list and then changes everything that can be changed.
func (s *stage) late(b trip) {
	s.t.Helper()
	s.ask("POST", b.path("/fills/lock"), "").want(http.StatusOK)
	s.now = s.now.Add(time.Hour)
	tomasz := b.diver(s.t, "Tomasz")
	s.ask("PATCH", b.path("/divers/"+string(tomasz.ID)), `{"cylinders": [{"id": "`+string(tomasz.Cylinders[0].ID)+
		`", "label": "17", "asked": 31}]}`).want(http.StatusOK)
	s.ask("DELETE", b.path("/divers/"+string(b.diver(s.t, "Marit").ID)), "").want(http.StatusOK)
	s.ask("POST", b.path("/divers"), `{"name": "=Aoife", "card": "seen", "cylinders": [{"asked": 30}]}`).want(
		http.StatusCreated)
}

func TestChangesAfterLockingAreFlagged(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.late(b)
	l := s.fills(b)
	got := l.found()
	for _, want := range []string{"changed-late Tomasz", "dropped-late Tomasz", "dropped-late Marit",
		"added-late =Aoife"} {
		if got[want].Text == "" || strings.Contains(got[want].Text, "⟦") {
			t.Errorf("%s: %+v", want, got[want])
		}
	}
	if len(l.Settle) != 4 {
		t.Errorf("%d to settle, want 4: %+v", len(l.Settle), l.Settle)
	}
	// Changed back to what the locked list says: no change any more.
	tomasz := b.diver(t, "Tomasz")
	s.ask("PATCH", b.path("/divers/"+string(tomasz.ID)), `{"cylinders": [{"id": "`+string(tomasz.Cylinders[0].ID)+
		`", "label": "17", "asked": 36}]}`).want(http.StatusOK)
	if _, still := s.fills(b).found()["changed-late Tomasz"]; still {
		t.Error("changed back, and still flagged")
	}
}

func TestFillListAsCSV(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.late(b)
	r := s.ask("GET", b.path("/fills"), "", "Accept", "text/csv").want(http.StatusOK)
	rows, err := csv.NewReader(strings.NewReader(string(r.Body))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(r.Body), "\r\n") {
		t.Error("rows do not end as RFC 4180 says")
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	seen := map[string]string{}
	var asked []string
	for _, row := range rows[1:] {
		seen[row[at["diver"]]+" "+row[at["late"]]] = row[at["asked"]]
		asked = append(asked, row[at["asked"]])
	}
	for who, want := range map[string]string{"Inês ": "31", "Tomasz changed": "31", "Tomasz dropped": "",
		"Marit dropped": "", "'=Aoife added": "30"} {
		if got, ok := seen[who]; !ok || got != want {
			t.Errorf("%s: %q (%v), want %q; all: %v", who, got, ok, want, seen)
		}
	}
	if len(asked) != 5 || asked[0] != "30" || asked[4] != "" {
		t.Errorf("blends in the order %v, want the leanest first and what was dropped last", asked)
	}
}

func TestFillSheet(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.ask("PATCH", b.path(""), `{"name": "<script>alert(1)</script> & more"}`).want(http.StatusOK)
	for _, lang := range []string{"en", "de-AT", "xx"} {
		answered := cmp.Or(message.MatchHeader(lang), "en")
		t.Run(lang, func(t *testing.T) {
			r := s.ask("GET", b.path("/fills"), "", "Accept", "text/html", "Accept-Language", lang).want(http.StatusOK)
			if got := r.Header.Get("Content-Language"); got != answered {
				t.Errorf("in %q, want %q", got, answered)
			}
			text := words(string(r.Body))
			for _, want := range []string{"<script>alert(1)</script> & more", "Inês", "Tomasz", "Marit", "17", "Anvil Ledge",
				"⚠"} {
				if !strings.Contains(text, want) {
					t.Errorf("does not say %q:\n%s", want, text)
				}
			}
			if strings.Contains(text, "⟦") || strings.Contains(string(r.Body), "<script") {
				t.Errorf("something is missing, or a name became markup:\n%s", r.Body)
			}
		})
	}
}

var (
	styles = regexp.MustCompile(`(?s)<style>.*</style>`)
	tags   = regexp.MustCompile(`<[^>]*>`)
)

// words is the text of a page.
func words(page string) string {
	return html.UnescapeString(tags.ReplaceAllString(styles.ReplaceAllString(page, " "), " "))
}

// RFC 9110, section 12.5.1.
func TestAccept(t *testing.T) {
	s := newStage(t)
	b := s.book()
	for header, want := range map[string]string{
		"": "application/json", "*/*": "application/json", "text/*": "text/csv", "text/html,*/*;q=0.8": "text/html",
		"text/csv;q=0.5, application/json;q=0.1": "text/csv", "application/json;q=0, */*": "text/csv",
		"text/html, application/xhtml+xml, */*;q=0.1": "text/html", "TEXT/CSV": "text/csv", "image/png": "",
		"text/csv;q=0": "", ";": "",
	} {
		t.Run(header, func(t *testing.T) {
			r := s.ask("GET", b.path("/fills"), "", "Accept", header)
			got, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";")
			if want == "" && r.Status != http.StatusNotAcceptable || want != "" && (r.Status != http.StatusOK || got != want) {
				t.Errorf("%d %s, want %s", r.Status, got, want)
			}
		})
	}
}
