package newtrip

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// friday is now in these tests: 14 May 2027, 19:00 in the Azores.
var friday = time.Date(2027, 5, 14, 19, 0, 0, 0, time.UTC)

var azores = roster.Host{ID: "hhhhhhhhhh", Shop: "bluebarrel", Name: "Inês", Generation: 1, Zone: "Atlantic/Azores"}

// again is a form as it comes back from a store.
func again(t *testing.T, f Form) Form {
	t.Helper()
	b, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	var back Form
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	return back
}

func text(m message.Message) string {
	return message.New().Text(m, message.Reader{Language: "en"}, message.Plain)
}

// Everything typed at once, in several languages, is one question away from a trip.
func TestTypedAtOnce(t *testing.T) {
	for language, typed := range map[string]string{
		"en": "tomorrow 8:30 Anvil Ledge 33 m bottom 36 25 min, then Lime Kiln 18 m bottom 20 m 40 min after 60",
		"es": "mañana 8:30 Anvil Ledge 33 metros fondo 36 25 minutos, luego Lime Kiln 18 m fondo 20 m 40 minutos tras 60",
		"fr": "demain 8h30 Anvil Ledge 33 mètres fond 36 25 min puis Lime Kiln 18 m fond 20 m 40 min après 60 min",
		"de": "morgen 8:30 Anvil Ledge 33 Meter Grund 36 25 Minuten, dann Lime Kiln 18 m Grund 20 m 40 Minuten nach 60",
		"it": "domani 8:30 Anvil Ledge 33 metri fondo 36 25 minuti, poi Lime Kiln 18 m fondo 20 m 40 minuti dopo 60",
		"pt": "amanhã 8:30 Anvil Ledge 33 metros fundo 36 25 minutos, depois Lime Kiln 18 m fundo 20 m 40 minutos após 60",
		"nl": "morgen 8:30 Anvil Ledge 33 meter bodem 36 25 minuten, daarna Lime Kiln 18 m bodem 20 m 40 minuten na 60",
		"ja": "明日 8:30 Anvil Ledge 33 m 水底 36 25 分 次に Lime Kiln 18 m 水底 20 m 40 分 間隔 60",
		"zh": "明天 8:30 Anvil Ledge 33 米 水底 36 25 分钟 然后 Lime Kiln 18 米 水底 20 米 40 分钟 间隔 60",
		"ar": "غدا 8:30 Anvil Ledge 33 متر القاع 36 25 دقيقة ثم Lime Kiln 18 متر القاع 20 متر 40 دقيقة بعد 60",
	} {
		f := New(azores)
		if problem := f.TypedAtOnce(Desk{Now: friday, Language: language}, typed); problem.Key != "" {
			t.Errorf("%s: %s", language, problem.Key)
			continue
		}
		f = again(t, f)
		if !f.Complete() {
			t.Errorf("%s: asks %s: %+v", language, f.step(), f)
			continue
		}
		d, faults := f.Draft(azores, language, friday)
		if len(faults) > 0 {
			t.Errorf("%s: %v", language, faults)
		}
		want := []roster.Dive{{Site: "Anvil Ledge", Depth: gas.M(33), Bottom: gas.M(36), Minutes: 25},
			{Site: "Lime Kiln", Depth: gas.M(18), Bottom: gas.M(20), Minutes: 40, Interval: 60}}
		if got := d.Dives; len(got) != 2 || got[0].Site != want[0].Site || got[0].Depth != want[0].Depth ||
			got[0].Bottom != want[0].Bottom ||
			got[0].Minutes != want[0].Minutes || got[1].Site != want[1].Site || got[1].Interval != 60 || got[1].Minutes != 40 {
			t.Errorf("%s: %+v", language, got)
		}
		if got := d.Departs.Format(time.RFC3339); got != "2027-05-15T08:30:00Z" {
			t.Errorf("%s: departs %s", language, got)
		}
		if !d.Gate.Open || d.Name != "Anvil Ledge · Lime Kiln" || d.Leaders()[0].Name != "Inês" {
			t.Errorf("%s: %q %+v", language, d.Name, d.Gate)
		}
	}
}

// One question at a time, each answered as people do.
func TestAskedOneByOne(t *testing.T) {
	h := azores
	h.Zone = ""
	f := New(h)
	desk := Desk{Now: friday, Language: "en",
		Sites: []roster.Dive{{Site: "Sunk Barge", Depth: gas.M(20), Bottom: gas.M(22)}}}
	f.TypedAtOnce(desk, "")
	for _, tt := range []struct{ asks, answer string }{
		{"zone", "Azores"}, {"day", "[day 2027-05-16]"}, {"clock", "half past eight"}, {"clock", "8.30"},
		{"site", "Anvil Ledge"}, {"depth", "33"}, {"unit", "[unit m]"}, {"bottom", "[bottom none]"}, {"minutes", "0"},
		{"minutes", "25"},
		{"more", "[more]"}, {"site", "[site 0]"}, {"minutes", "40 min"}, {"interval", "60"}, {"more", "[enough]"},
		{"analysers", "A, B"},
	} {
		f = again(t, f)
		if string(f.step()) != tt.asks {
			t.Fatalf("asks %s, want %s: %+v", f.step(), tt.asks, f)
		}
		if m := f.Next(desk); strings.Contains(text(m), "⟦") || len(m.Lines) != 1 {
			t.Errorf("%s: %s", tt.asks, text(m))
		}
		if strings.HasPrefix(tt.answer, "[") {
			if _, ok := f.Pressed(desk, strings.Fields(strings.Trim(tt.answer, "[]"))); !ok {
				t.Fatalf("%s is over", tt.answer)
			}
			continue
		}
		f.Typed(desk, tt.answer)
	}
	d, faults := f.Draft(h, "en", friday)
	if !f.Complete() || len(faults) > 0 || len(d.Dives) != 2 || !d.Dives[0].Bottomless ||
		d.Dives[1].Site != "Sunk Barge" ||
		d.Dives[1].Depth != gas.M(20) || len(d.Analysers) != 2 || d.Departs.Format(time.RFC3339) != "2027-05-16T08:30:00Z" {
		t.Errorf("%v %+v", faults, d.Plan)
	}
	if got := text(f.Next(desk)); !strings.Contains(got, "2027") || !strings.Contains(got, "33 m") {
		t.Errorf("summary: %s", got)
	}
}

// What can't be is said, and nothing of it is taken.
func TestRefused(t *testing.T) {
	for typed, key := range map[string]string{
		// no day: the word is a part of the site's name
		"yesterday 8:30 Reef 20 m":                                                   "",
		"today 8:30 Reef 20 m bottom 25 m 30 min":                                    "newtrip.past",
		"2030-05-15 8:30 Reef 20 m":                                                  "newtrip.past",
		"tomorrow 8:30 Reef 45 m bottom 50 m 20 min":                                 "newtrip.deepest",
		"tomorrow 8:30 Reef 30 m bottom 20 m 20 min":                                 "site.bottom-above",
		"tomorrow 8:30 Reef 30 m 999 min":                                            "minutes.absurd",
		"tomorrow 8:30 Reef 30 m 31 m":                                               "site.two-depths",
		"tomorrow 8:30 A 9 m then B 9 m then C 9 m then D 9 m then E 9 m then F 9 m": "newtrip.too-many",
		strings.Repeat("x ", 200):                                                    "site.too-long",
	} {
		f := New(azores)
		before := again(t, f)
		problem := f.TypedAtOnce(Desk{Now: friday, Language: "en"}, typed)
		if problem.Key != key {
			t.Errorf("%q: %q, want %q: %+v", typed, problem.Key, key, f)
		}
		if after := again(t, f); key != "" && (after.Day != before.Day || len(after.Dives) != 0) {
			t.Errorf("%q left behind %+v", typed, after)
		}
	}
}

// Whatever is typed or pressed, a form never panics, and it starts only what the API would take.
func FuzzForm(f *testing.F) {
	f.Add("tomorrow 8:30 Reef 30 m bottom 20", "[more]", "then then after 60 analysers")
	f.Add("٨:٣٠", "[site 99]", "bottom none")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		form := New(azores)
		desk := Desk{Now: friday, Language: "en", Sites: []roster.Dive{{Site: "Sunk Barge", Depth: gas.M(20)}}}
		form.TypedAtOnce(desk, a)
		for _, s := range []string{b, c} {
			form.Next(desk)
			form.Typed(desk, s)
			form.Pressed(desk, strings.Fields(strings.Trim(s, "[]")))
		}
		if form.Complete() {
			form.Draft(azores, "en", friday)
		}
	})
}

// Who is asked for the minutes may say the time at the surface with them, and who is
// asked for that may say "after" again; before the first dive there is none.
func TestMinutesAndIntervalTogether(t *testing.T) {
	for _, c := range []struct {
		typed             []string
		minutes, interval float64
		problem           string
	}{
		{[]string{"28 min after 60 min"}, 28, 60, ""},
		{[]string{"28", "60"}, 28, 60, ""},
		{[]string{"28", "after 60 min"}, 28, 60, ""},
		{[]string{"28 after 90"}, 28, 90, ""},
		{[]string{"300 min after 60"}, 0, 0, "minutes.absurd"},
	} {
		f := New(azores)
		d := Desk{Now: friday, Language: "en"}
		if p := f.TypedAtOnce(d,
			"tomorrow 8:30 Anvil Ledge 33 m bottom 36 25 min, then Lime Kiln 18 m bottom 20 m"); p.Key != "" {
			t.Fatal(p.Key)
		}
		got := ""
		for _, words := range c.typed {
			got = f.Typed(d, words).Key
		}
		if second := f.Dives[1]; got != c.problem || second.Minutes != c.minutes || second.Interval != c.interval {
			t.Errorf("%q: %q, %+v", c.typed, got, second)
		}
	}
	f := New(azores)
	d := Desk{Now: friday, Language: "en"}
	f.TypedAtOnce(d, "tomorrow 8:30 Anvil Ledge 33 m bottom 36")
	if p := f.Typed(d, "25 min after 60"); p.Key == "" || f.Dives[0].Interval != 0 {
		t.Errorf("an interval before dive 1 is taken: %+v", f.Dives[0])
	}
}
