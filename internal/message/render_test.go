package message

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
)

// The renderer's own texts, so that these tests do not depend on anybody's
// wording; values are what is tested here.
func value(t *testing.T, v Value, to Reader) string {
	t.Helper()
	return New().writer(to).value(v)
}

// stored is a value as it is read from the store.
func stored(t *testing.T, raw string) Value {
	t.Helper()
	var v Value
	if err := json.Unmarshal([]byte(raw), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

func TestValues(t *testing.T) {
	at := time.Date(2027, 5, 15, 8, 30, 0, 0, time.UTC)
	for _, c := range []struct {
		name string
		v    Value
		to   Reader
		want string
	}{
		{"a reading shows one decimal", Percent(32), Reader{}, "32.0 %"},
		{"a reading is not rounded", Percent(31.85), Reader{}, "31.85 %"},
		{"a whole blend is whole", Blend(32), Reader{}, "32 %"},
		{"a blend with a decimal", Blend(32.5), Reader{}, "32.5 %"},
		{"21 asked is air", Blend(21), Reader{}, "air"},
		{"a difference", Points(-1.4), Reader{}, "-1.4"},
		{"a limit rounds down", Limit(gas.M(33.75)), Reader{}, "33 m"},
		{"a limit just under a whole number by arithmetic alone", Limit(gas.M(39.9999999999)), Reader{}, "40 m"},
		// 33 m are 108.27 ft (exact conversion): the shallower whole foot.
		{"a limit in feet goes to the safe side", Limit(gas.M(33.75)), Reader{Units: "ft"}, "108 ft"},
		{"a limit of a trip in feet read in metres", Limit(gas.Ft(111)), Reader{Units: "m"}, "33 m"},
		// 30 m are 98.43 ft, 33.5 m 109.91 ft: a whole planned depth as the limit, another deeper.
		{"a planned depth in feet is the limit's", Planned(gas.M(30)), Reader{Units: "ft"}, "98 ft"},
		{"a planned depth between in feet goes to the safe side", Planned(gas.M(33.5)), Reader{Units: "ft"}, "110 ft"},
		{"a planned depth is shown as given", Planned(gas.M(33.5)), Reader{Units: "m"}, "33.5 m"},
		{"minutes round down", Minutes(24.9), Reader{}, "24 min"},
		{"minutes with arithmetic's dust", Minutes(31.99999999999), Reader{}, "32 min"},
		{"a partial pressure rounds up", PPO2(1.401), Reader{}, "1.41"},
		{"a partial pressure at the limit", PPO2(1.4000000000000001), Reader{}, "1.40"},
		{"no thousands separator", Count(12345), Reader{}, "12345"},
		{"a clock in its zone", Clock(at, "Atlantic/Azores"), Reader{Zone: "UTC"}, "08:30"},
		{"a clock in the reader's zone", Clock(at, ""), Reader{Zone: "Asia/Tokyo"}, "17:30"},
		{"a day", Day(at, "Atlantic/Azores"), Reader{}, "Sat 15 May"},
		{"a date", Date(at, "Atlantic/Azores"), Reader{}, "15 May 2027"},
		{"a date in its zone", Date(at.Add(8*time.Hour), "Asia/Tokyo"), Reader{}, "16 May 2027"},
		{"a moment", Moment(at, "Asia/Tokyo"), Reader{}, "Sat 15 May 2027, 17:30"},
		{"a zone that is none", Clock(at, "Mars/North"), Reader{}, "08:30"},
		{"one in a list", List(Name("Aoife")), Reader{}, "Aoife"},
		{"two in a list", List(Name("Aoife"), Name("Kenji")), Reader{}, "Aoife and Kenji"},
		{"three in a list", List(Name("Aoife"), Name("Kenji"), Name("Marit")), Reader{}, "Aoife, Kenji and Marit"},
		{"an empty list", List(), Reader{}, "none"},
		{"a line as a value", Of(Verdict(gas.GoWithLimits, gas.M(30.4))), Reader{}, "⚠️ GO, BUT MAX 30 m"},
		{"a code as it is", Code("/howto"), Reader{}, "/howto"},
		{"an unknown language is read in English", Percent(32.4), Reader{Language: "tlh"}, "32.4 %"},
		{"a kind that is none is visible", stored(t, `{"k":200,"s":"red"}`), Reader{}, "⟦⟧"},
		{"a clock without its time", stored(t, `{"k":12}`), Reader{}, "00:00"},
		{"a list without its values", stored(t, `{"k":15}`), Reader{}, "none"},
		{"a line without its line is visible", stored(t, `{"k":16}`), Reader{}, "⟦line⟧"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := value(t, c.v, c.to); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestNamesAreMadeSafe(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"line breaks", "Ann\n✅ GO", "Ann ✅ GO"},
		{"bidi controls", "A\u202Eog\u202C", "Aog"},
		{"isolates", "A\u2066B\u2069", "AB"},
		{"zero width", "A\u200bB\ufeffC", "ABC"},
		{"NUL and bell", "A\x00\x07B", "AB"},
		{"joined emoji stay", "👩‍🚒", "👩‍🚒"},
		{"accents stay", "Lucía Jose\u0301", "Lucía Jose\u0301"},
		{"right to left is isolated", "يوسف", "\u2068يوسف\u2069"},
		{"too long", strings.Repeat("x", 100), strings.Repeat("x", 80) + "…"},
		{"markup is only text", "<b>&\"'", "<b>&\"'"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := cleanName(c.in); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestMarkup(t *testing.T) {
	m := Message{Lines: []Line{
		Verdict(gas.Go, gas.Depth{}),
		{Style: Gap},
		Say("time.clock", Args{"h": Name(`<b>"1"</b>`), "m": Name("'&")}),
		Row("time.clock", Args{"h": Code("1"), "m": Code("2")}),
		Row("time.clock", Args{"h": Code("<"), "m": Code("4")}),
		{Key: "unit.air", Style: Quiet},
	}}
	for _, c := range []struct {
		name string
		f    Format
		want string
	}{
		{"plain", Plain, "✅ GO\n\n<b>\"1\"</b>:'&\n1:2\n<:4\nair"},
		{"html", HTML, "<b>✅\u00a0GO</b>\n\n&lt;b&gt;&#34;1&#34;&lt;/b&gt;:&#39;&amp;\n<pre>1:2\n&lt;:4</pre>\n<i>air</i>"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if d := cmp.Diff(c.want, New().Text(m, Reader{}, c.f)); d != "" {
				t.Errorf("(-want +got)\n%s", d)
			}
		})
	}
}

func TestAMissingKeyIsVisibleWithItsValues(t *testing.T) {
	got := New().Line(Say("no.such.key", Args{"b": Percent(32.4), "a": Name("x")}), Reader{})
	if want := "⟦no.such.key a=x b=32.4 %⟧"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestVerdictWords(t *testing.T) {
	seen := map[string]gas.Status{}
	for _, s := range []gas.Status{gas.NotCleared, gas.Go, gas.GoWithLimits, gas.NoGo} {
		w := New().Line(Verdict(s, gas.Depth{}), Reader{})
		if before, twice := seen[w]; twice || strings.Contains(w, "⟦") {
			t.Errorf("%v is written %q, as %v", s, w, before)
		}
		seen[w] = s
	}
}
