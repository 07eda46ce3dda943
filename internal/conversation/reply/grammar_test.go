package reply

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gasmuster/internal/gas"
)

// report is a message that says without doubt what was analysed.
type report struct {
	text string
	ctx  Context
	want []Reading
}

// draw makes a message: one to three cylinders, labelled in one of the ways
// that people label, numbers written in one of the ways that people write them.
func draw(t *rapid.T) report {
	n := rapid.IntRange(1, 3).Draw(t, "cylinders")
	labels := rapid.SampledFrom([][]string{{"17", "22", "8"}, {"1", "2", "3"}, {"A7", "S-12", "blue 4"},
		{"101", "220", "345"}, {"32", "36", "28"}}).Draw(t, "labels")[:n]
	joint := rapid.SampledFrom([]string{": ", ":", " - ", " = ", "=", " -> ", "→", " reads ", " is ", " "}).Draw(t,
		"joint")
	between := rapid.SampledFrom([]string{", ", "; ", "\n", " and ", ". ", " / "}).Draw(t, "between")
	comma := rapid.Bool().Draw(t, "decimal comma")
	if comma && between == ", " {
		between = "; " // nobody can read 32,1, 36,0 at a glance
	}
	percent := rapid.SampledFrom([]string{"", "%", " %", " percent"}).Draw(t, "percent")
	prefix := rapid.SampledFrom([]string{"", "Hi! ", "ok, ", "my readings are: "}).Draw(t, "prefix")
	r := report{ctx: Context{Labels: labels, Analysers: []string{"A"}, Cylinders: n}}
	var parts []string
	for _, l := range labels {
		tenths := rapid.IntRange(200, 400).Draw(t, "tenths")
		number := strconv.FormatFloat(float64(tenths)/10, 'f', 1, 64)
		if comma {
			number = strings.Replace(number, ".", ",", 1)
		}
		parts = append(parts, l+joint+number+percent)
		r.want = append(r.want, Reading{Label: l, Percent: gas.Percent(float64(tenths) / 10)})
	}
	r.text = prefix + strings.Join(parts, between)
	return r
}

// TestReports: a message that says without doubt what was analysed is
// understood, whatever its form.
func TestReports(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		got := Parse(r.text, r.ctx)
		if diff := cmp.Diff(r.want, got.Readings); diff != "" || len(got.Unclear) > 0 {
			t.Fatalf("Parse(%q) = %s; -want +got:\n%s", r.text, describe(got), diff)
		}
	})
}

// TestStrangersAreAskedAbout: one word that is not understood beside a number
// is enough to ask: it may be somebody's name.
func TestStrangersAreAskedAbout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SampledFrom([]string{"Kenji", "Marit's", "wreck", "buddy", "жук", "船", "spare", "her", "their",
			"Lucía"}).Draw(t, "word")
		number := fmt.Sprintf("%.1f", float64(rapid.IntRange(200, 400).Draw(t, "tenths"))/10)
		joint := rapid.SampledFrom([]string{" ", ": ", " is ", " reads ", ", ", " - "}).Draw(t, "joint")
		text := word + joint + number
		if rapid.Bool().Draw(t, "after") {
			text = number + joint + word
		}
		if got := Parse(text, Context{Cylinders: 1}); len(got.Readings) > 0 {
			t.Fatalf("Parse(%q) = %s, want a question", text, describe(got))
		}
	})
}

// TestNeverTwoForOne: there are never more readings than cylinders, and never
// two for one label.
func TestNeverTwoForOne(t *testing.T) {
	words := []string{"17", "22", "32.1", "36.0", "32", "36", ",", ";", ":", "and", "on", "both", "tank", "not", "no",
		"-", "air", "20.9", "A", "again", "is", "(17)"}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, 8).Draw(t, "words"), " ")
		n := rapid.IntRange(1, 2).Draw(t, "cylinders")
		labels := []string{"17", "22"}[:n]
		got := Parse(text, Context{Labels: labels, Analysers: []string{"A"}, Cylinders: n})
		seen := map[string]bool{}
		for _, r := range got.Readings {
			if r.Label != "" && seen[r.Label] {
				t.Fatalf("Parse(%q) = %s: two for %s", text, describe(got), r.Label)
			}
			seen[r.Label] = true
			for _, l := range labels {
				// nothing says that it is a number
				bare := strings.Count(text, l) == 1 && !strings.ContainsAny(text, ":-") && !strings.Contains(text, "is")
				if strconv.FormatFloat(float64(r.Percent), 'f', -1, 64) == l && bare {
					t.Fatalf("Parse(%q) = %s: the label %s taken for a percentage", text, describe(got), l)
				}
			}
		}
		if len(got.Readings) > n {
			t.Fatalf("Parse(%q) = %s: more than %d", text, describe(got), n)
		}
	})
}
