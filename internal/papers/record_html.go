package papers

import (
	"bytes"
	_ "embed"
	"html/template"
	"strings"

	"golang.org/x/text/language"
)

//go:embed record.html
var recordPage string

// recordTemplate gets a page.
var recordTemplate = template.Must(template.New("record").Parse(recordPage))

// page is what the template shows: words only, so that no sentence stands in it.
type page struct {
	Language, Direction, Title, Unsigned, Readings, None, Policy string
	Heads, Cautions, Depths                                      []string
	DiverHeads, ReadingHeads                                     []column
	Dives                                                        []pageDive
	Rows                                                         [][]string
}

// Head is the column's heading.
func (c column) Head() string { return c.head }

type pageDive struct {
	Plan     string
	Dived    []string
	Versions []pageVersion
}

type pageVersion struct {
	Heads, Limits, Out []string
	Old                bool
	Divers             []pageDiver
}

type pageDiver struct {
	Number, Name, Verdict string
	Cylinders             [][]string
	Reasons               string
	Span                  int
}

// HTML is the record as a page to print, complete in every script.
func (r Record) HTML() ([]byte, error) {
	p := page{Language: "en", Title: r.title(), Heads: r.heads(), Cautions: r.Cautions, Readings: r.words.say("record.readings", nil),
		None: r.words.say("list.none", nil), Policy: r.policyLine(), DiverHeads: r.columns("number", 1, "diver", 1, "verdict", 1, "cylinder", 1, "asked", 1, "reading", 1, "taken", 1, "mod", 1),
		ReadingHeads: r.columns("diver", 1, "cylinder", 1, "dive", 1, "reading", 1, "taken", 1, "where", 1, "how", 1, "state", 1)}
	if tag, err := language.Parse(r.words.to.Language); err == nil && r.words.to.Language != "" {
		p.Language = tag.String()
	}
	p.Direction = direction(p.Language)
	if !r.Signed {
		p.Unsigned = r.words.say("papers.unsigned", nil)
	}
	for _, d := range r.Depths {
		p.Depths = append(p.Depths, r.depthSet(d))
	}
	for _, d := range r.Dives {
		p.Dives = append(p.Dives, r.pageDive(d))
	}
	for _, g := range r.Readings {
		p.Rows = append(p.Rows, []string{g.Diver, r.cylinder(g.Cylinder, g.Label), figure(float64(g.Dive)), r.percent(g.Percent), r.clock(g.At),
			r.words.say("stage."+g.Stage.String(), nil), g.how, r.state(g)})
	}
	var b bytes.Buffer
	err := recordTemplate.Execute(&b, p)
	return b.Bytes(), err
}

func (r Record) pageDive(d DiveRecord) pageDive {
	out := pageDive{Plan: d.Plan}
	for _, what := range d.Dived {
		out.Dived = append(out.Dived, what.Text)
	}
	for _, v := range d.Versions {
		one := pageVersion{Heads: v.head, Limits: v.Limits, Old: v.State == "reopened"}
		for _, o := range v.Out {
			one.Out = append(one.Out, r.out(o))
		}
		for _, line := range v.Divers {
			one.Divers = append(one.Divers, r.pageDiver(line))
		}
		out.Versions = append(out.Versions, one)
	}
	return out
}

func (r Record) pageDiver(d DiverLine) pageDiver {
	out := pageDiver{Number: figure(float64(d.Number)), Name: r.nameAndTeam(d), Verdict: d.Verdict, Reasons: strings.Join(d.Reasons, " · ")}
	for _, c := range d.Cylinders {
		out.Cylinders = append(out.Cylinders, []string{r.cylinder(c.ID, c.Label), r.blend(c.Asked), r.percent(c.Percent), r.clock(c.At), r.depth(c.MOD)})
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
