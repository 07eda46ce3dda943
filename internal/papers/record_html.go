package papers

import (
	"bytes"
	_ "embed"
	"html/template"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/text/language"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

//go:embed record.html
var recordPage string

// recordTemplate gets a page.
var recordTemplate = template.Must(template.New("record").Parse(recordPage))

// page is what the template shows: words only, so that no sentence stands in it.
type page struct {
	Language, Direction, Title, Unsigned, Readings, None, Policy string
	Heads, Cautions, Limits                                      []string
	DiverHeads, ReadingHeads, TeamHeads                          []column
	Dives                                                        []pageDive
	Rows                                                         [][]string
}

// Head is the column's heading.
func (c column) Head() string { return c.head }

type pageDive struct {
	Plan     string
	Dived    []string
	Versions []pageVersion
	Late     []string // said after it was dived
	LateHead string
}

type pageVersion struct {
	Heads, Limits, Out []string
	Teams              [][]string
	Old                bool
	Divers             []pageDiver
}

type pageDiver struct {
	Number, Name, Verdict string
	Stop                  bool
	Cylinders             [][]string
	Reasons               string
	Span                  int
}

// HTML is the record as a page to print, complete in every script.
func (r Record) HTML() ([]byte, error) {
	p := page{Language: "en", Title: r.title(), Heads: r.heads(), Cautions: r.Cautions,
		Readings: r.words.say("record.readings", nil),
		None:     r.words.say("list.none", nil), Policy: r.policyLine(),
		DiverHeads: r.columns("number", 1, "diver", 1, "verdict", 1, "cylinder", 1, "asked", 1, "reading", 1, "taken", 1,
			"mod", 1),
		TeamHeads: r.columns("team", 1, "max", 1, "longest", 1),
		ReadingHeads: r.columns("diver", 1, "cylinder", 1, "dive", 1, "reading", 1, "taken", 1, "where", 1, "how", 1,
			"state", 1)}
	if tag, err := language.Parse(r.words.to.Language); err == nil && r.words.to.Language != "" {
		p.Language = tag.String()
	}
	p.Direction = direction(p.Language)
	if !r.Signed {
		p.Unsigned = r.words.say("papers.unsigned", nil)
	}
	for _, l := range r.Limits {
		p.Limits = append(p.Limits, r.limitSet(l))
	}
	for _, d := range r.Dives {
		p.Dives = append(p.Dives, r.pageDive(d))
	}
	for _, g := range r.Readings {
		p.Rows = append(p.Rows, []string{g.Diver, r.cylinder(g.Cylinder, g.Label), figure(float64(g.Dive)),
			r.percent(g.Percent), r.clock(g.At),
			r.words.say("stage."+g.Stage.String(), nil), g.how, r.state(g)})
	}
	var b bytes.Buffer
	err := recordTemplate.Execute(&b, p)
	return together(b.Bytes()), err
}

// words are what a reader sees of a page, between its tags.
var words = regexp.MustCompile(`>[^<>]+<`)

// together keeps on one line what belongs together on a page.
func together(page []byte) []byte {
	return words.ReplaceAllFunc(page, func(b []byte) []byte { return []byte(message.Unbroken(string(b))) })
}

func (r Record) pageDive(d DiveRecord) pageDive {
	out := pageDive{Plan: d.Plan, LateHead: r.words.say("papers.late", nil)}
	if d.Outcome != nil {
		out.Dived = append(out.Dived, d.Outcome.Text)
	}
	for _, late := range d.Late {
		out.Late = append(out.Late, late.Text)
	}
	for _, what := range d.Dived {
		out.Dived = append(out.Dived, what.Text)
	}
	for _, v := range d.Versions {
		one := pageVersion{Heads: v.head, Limits: v.group, Teams: v.teams, Old: v.old()}
		for _, o := range slices.Concat(v.Outside, v.Out) {
			one.Out = append(one.Out, o.Text)
		}
		for _, line := range v.Divers {
			one.Divers = append(one.Divers, r.pageDiver(line))
		}
		out.Versions = append(out.Versions, one)
	}
	return out
}

func (r Record) pageDiver(d DiverLine) pageDiver {
	out := pageDiver{Number: figure(float64(d.Number)), Name: r.nameAndTeam(d), Verdict: d.Verdict,
		Stop: d.Status == gas.NoGo.String(), Reasons: strings.Join(d.Reasons, " · ")}
	for _, c := range d.Cylinders {
		out.Cylinders = append(out.Cylinders, []string{r.marked(c), r.blend(c.Asked), r.percent(c.Percent), r.clock(c.At),
			r.depth(c.MOD)})
	}
	if len(out.Cylinders) == 0 {
		out.Cylinders = [][]string{make([]string, 5)}
	}
	out.Span = len(out.Cylinders)
	return out
}

// direction is that of a language's script.
func direction(lang string) string {
	tag, err := language.Parse(lang)
	if err != nil {
		return "ltr"
	}
	switch script, _ := tag.Script(); script.String() {
	case "Arab", "Hebr", "Thaa", "Syrc":
		return "rtl"
	}
	return "ltr"
}
