package message

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
)

// everyKind is a message with a value of each kind, lines within values and
// within lists, and every other part of a message.
func everyKind() Message {
	at := time.Date(2027, 5, 15, 8, 30, 0, 500_000_000, time.UTC)
	return Message{
		Lines: []Line{
			Loud("all", Args{
				"name": Name("<Ann> & \"Inês\"\x00\u2028"), "text": Text("a\nb"), "count": Count(-3),
				"percent": Percent(32.4), "blend": Blend(32), "points": Points(-1.4),
				"limit": Limit(gas.Ft(111)), "planned": Planned(gas.M(33.5)), "minutes": Minutes(24),
				"ppo2": PPO2(1.456), "celsius": Celsius(-1.5), "clock": Clock(at, "Atlantic/Azores"),
				"day": Day(at, "UTC"), "date": Date(at, "UTC"), "moment": Moment(at, "UTC"),
				"list": List(Name("Ann"), Of(Say("in.list", Args{"label": Name("17")})), List(Count(1), Count(2))),
				"line": Of(Loud("in.value", Args{"inner": Of(Say("deeper", Args{"depth": Limit(gas.M(30))}))})),
				"code": Code("/for"), "page": PageLink("p3", 2), "chat": ChatLink("p2", 1), "record": RecordLink("p2", 1),
				"open": OpenLink(1), "open-chat": OpenChatLink(2), "muster": MusterLink("p1", 1),
				"part": {Kind: kindPart, S: "33"}, "bottom": Bottom(gas.Ft(130)), "none": {}, "zero": Percent(0),
			}),
			{Style: Gap}, Row("row", nil), {Key: "quiet", Style: Quiet},
		},
		Buttons: [][]Button{{{Label: Say("undo", Args{"count": Count(2)}), Do: "undo r1"},
			{Label: Say("open", nil), URL: "https://charter.example/?a=1&b=2"}}},
		Commands: "leader",
		Code:     OpenLink(3),
		Picture: &Picture{
			Title: Say("title", Args{"dive": Count(1)}), Planned: gas.M(30), Bottom: gas.M(36), Dark: true,
			Rows: []PictureRow{
				{Name: Name("Ann"), Cylinder: Say("c", nil), Reading: 32, Max: gas.M(33), Fit: FitGood},
			},
		},
	}
}

// What is stored is what was said, whatever it is made of.
func TestStored(t *testing.T) {
	want := everyKind()
	raw, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got Message
	if err := json.Unmarshal(raw, &got); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
	for k, word := range kindWords {
		if _, ok := got.Lines[0].Values.Of(word); word != "" && !ok {
			t.Errorf("there is no value of kind %d, %q", k, word)
		}
	}
	for _, v := range got.Lines[0].Values {
		if v.Kind.String() != v.Name && v.Name != "none" && v.Name != "zero" {
			t.Errorf("%q came back as a %s", v.Name, v.Kind)
		}
	}
}

// The kinds keep the numbers that they are stored under.
func TestKindsKeepTheirNumbers(t *testing.T) {
	want := []string{"", "name", "text", "count", "percent", "blend", "points", "limit", "planned", "minutes", "ppo2",
		"celsius", "clock",
		"day", "moment", "list", "line", "code", "page", "chat", "record", "date", "open", "open-chat", "muster", "part",
		"bottom"}
	if d := cmp.Diff(want, kindWords[:]); d != "" {
		t.Errorf("a new kind comes last (-want +got):\n%s", d)
	}
}

// A message of another form is refused; it isn't read as one with gaps.
func TestStoredOtherwise(t *testing.T) {
	for name, raw := range map[string]string{
		"values as an object": `{"lines":[{"k":"diver.recorded","a":{"percent":{"k":4,"n":32.4}}}]}`,
		"a number as text":    `{"lines":[{"k":"diver.recorded","a":[{"a":"percent","k":4,"n":"32.4"}]}]}`,
	} {
		t.Run(name, func(t *testing.T) {
			var m Message
			if err := json.Unmarshal([]byte(raw), &m); err == nil {
				t.Errorf("it is read as %+v", m)
			}
		})
	}
}

// A kind that this program doesn't know shows as a gap; the rest can be read.
func TestStoredKindUnknown(t *testing.T) {
	raw := `{"lines":[{"k":"list.last","a":[{"a":"a","k":200,"n":35},{"a":"b","k":1,"s":"Ann"}]}]}`
	var m Message
	if err := json.Unmarshal([]byte(raw), &m); err != nil {
		t.Fatal(err)
	}
	if got := New().Text(m, Reader{}, Plain); !strings.Contains(got, "⟦⟧") || !strings.Contains(got, "Ann") {
		t.Errorf("got %q", got)
	}
}

// answer is what a diver gets for a reading: the verdict, what was written down,
// the label, the plan and what a fill off its blend costs.
func answer() Message {
	cylinder := Of(Say("diver.cylinder.label", Args{"label": Name("17")}))
	label := Of(Say("diver.label.text", Args{"mod": Limit(gas.M(34)), "percent": Percent(31.3)}))
	return Message{
		Lines: []Line{
			Loud("diver.verdict.of", Args{"cylinder": cylinder, "verdict": Of(Verdict(gas.Go, gas.Depth{}))}),
			Say("diver.recorded.analyser", Args{"analyser": Name("A"), "cylinder": cylinder, "percent": Percent(31.3)}),
			Say("diver.label.write", Args{"label": label}),
			Say("diver.computer", Args{"percent": Blend(31)}),
			Say("diver.planned.time.rested", Args{"depth": Planned(gas.M(30)), "dive": Count(1),
				"minutes": Minutes(23.5), "site": Name("Anvil Ledge")}),
			Say("finding.lean.costs", Args{"limit": Minutes(24.3), "measured": Minutes(23.5), "other": Blend(32)}),
			{Style: Gap}, Say("diver.all-in", nil),
		},
		Buttons: [][]Button{{{Label: Say("diver.undo", nil), Do: "undo r94"}}},
	}
}

// BenchmarkStored is writing an answer for the store, and how many bytes it is.
func BenchmarkStored(b *testing.B) {
	b.ReportAllocs()
	m, n := answer(), 0
	for b.Loop() {
		raw, err := json.Marshal(m)
		if err != nil {
			b.Fatal(err)
		}
		n = len(raw)
	}
	b.ReportMetric(float64(n), "bytes")
}

// BenchmarkRead is reading it.
func BenchmarkRead(b *testing.B) {
	b.ReportAllocs()
	raw, err := json.Marshal(answer())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var m Message
		if err := json.Unmarshal(raw, &m); err != nil {
			b.Fatal(err)
		}
	}
}
