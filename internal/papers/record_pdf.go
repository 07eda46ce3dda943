package papers

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// RecordPDF draws a trip's record.
func (p Press) RecordPDF(t *roster.Trip, language string, paper Paper) ([]byte, error) {
	r := p.Record(t, language)
	title := r.title()
	s := newSheet(paper, title, p.Now, r.words)
	s.numbered(title)
	s.AddPage()
	s.recordHead(r)
	for _, d := range r.Dives {
		s.diveRecord(r, d)
	}
	s.readings(r)
	s.recordEnd(r)
	return s.bytes()
}

func (r Record) title() string {
	return r.words.say("record.head", message.Args{"trip": message.Name(r.Name), "day": message.Date(r.Departs, r.Zone)})
}

func (r Record) clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return r.words.value(message.Date(t, r.Zone)) + ", " + r.words.value(message.Clock(t, r.Zone))
}

// heads are lines about the whole record, under its title.
func (r Record) heads() []string {
	var leaders []message.Value
	for _, l := range r.Leaders {
		leaders = append(leaders, message.Name(l))
	}
	heads := []string{r.words.say("record.leaders", message.Args{"names": message.List(leaders...)}),
		r.words.say("papers.departs", message.Args{"at": message.Moment(r.Departs, r.Zone)}),
		r.words.say("papers.made", message.Args{"at": message.Moment(r.Made, r.Zone), "trip": message.Code(string(r.Trip))})}
	if r.Off != "" {
		heads = append(heads, r.Off)
	}
	return heads
}

func (s *sheet) recordHead(r Record) {
	s.paragraph("B", 15, r.title())
	s.Ln(1)
	for _, l := range r.heads() {
		s.paragraph("", 9, l)
	}
	if !r.Signed {
		s.Ln(1)
		s.paragraph("B", 10, r.words.say("papers.unsigned", nil))
	}
	s.Ln(1.5)
	for _, c := range r.Cautions {
		s.paragraph("B", 8, c)
	}
}

func (s *sheet) diveRecord(r Record, d DiveRecord) {
	s.keep(40)
	s.Ln(3)
	s.paragraph("B", 12, d.Plan)
	if d.Outcome != nil {
		s.paragraph("B", 9, d.Outcome.Text)
	}
	for _, what := range d.Dived {
		s.paragraph("", 9, what.Text)
	}
	for _, v := range d.Versions {
		s.version(r, v)
	}
	s.lateNews(r, d)
}

// lateNews is what came of a dive after it was dived.
func (s *sheet) lateNews(r Record, d DiveRecord) {
	if len(d.Late) == 0 {
		return
	}
	s.keep(16)
	s.Ln(2)
	s.paragraph("B", 9.5, r.words.say("papers.late", nil))
	for _, late := range d.Late {
		s.paragraph("", 9, late.Text)
	}
}

func (s *sheet) version(r Record, v Version) {
	s.keep(28)
	s.Ln(2)
	for _, l := range v.head {
		s.paragraph("B", 9.5, l)
	}
	for _, l := range v.group {
		s.paragraph("", 9, l)
	}
	s.teams(r, v)
	if len(v.Divers) > 0 {
		s.Ln(1)
		s.divers(r, v)
	}
	for _, o := range slices.Concat(v.Outside, v.Out) {
		s.paragraph("", 9, o.Text)
	}
}

// teams are the tightest of each team.
func (s *sheet) teams(r Record, v Version) {
	if len(v.teams) == 0 {
		return
	}
	s.Ln(1)
	t := table{s: s, size: 8, columns: r.columns("team", 20, "max", 40, "longest", 40)}
	t.head()
	for _, row := range v.teams {
		t.row(row...)
	}
}

func (s *sheet) divers(r Record, v Version) {
	t := table{s: s, size: 7.5, columns: r.columns("number", 7, "diver", 23, "verdict", 52, "cylinder", 14, "asked", 11,
		"reading", 13, "taken", 37, "mod", 11)}
	t.head()
	for _, d := range v.Divers {
		rows := d.Cylinders
		if len(rows) == 0 {
			rows = []CylinderLine{{}}
		}
		for i, c := range rows {
			who := []string{strconv.Itoa(d.Number), r.nameAndTeam(d), d.Verdict}
			if i > 0 {
				who = []string{"", "", ""}
			}
			t.stress(2, d.Status == gas.NoGo.String() && i == 0,
				append(who, r.marked(c), r.blend(c.Asked), r.percent(c.Percent), r.clock(c.At), r.depth(c.MOD))...)
		}
		if len(d.Reasons) > 0 {
			s.SetY(s.GetY() + 0.7)
			s.font("", 7.5)
			s.flow(margin+8, s.inner()-16, 3.3, strings.Join(d.Reasons, "  ·  "), true)
			s.Ln(0.6)
		}
	}
}

// columns are pairs of a column's name and its share of the width.
func (r Record) columns(pairs ...any) []column {
	var list []column
	for i := 0; i+1 < len(pairs); i += 2 {
		list = append(list, column{r.words.say("papers.col."+pairs[i].(string), nil), float64(pairs[i+1].(int))})
	}
	return list
}

func (r Record) nameAndTeam(d DiverLine) string {
	name := d.Name
	if d.Leader {
		name = r.words.say("papers.leads", message.Args{"name": message.Name(name)})
	}
	if d.Team != "" {
		name = r.words.say("papers.team", message.Args{"name": message.Name(name), "team": message.Name(d.Team)})
	}
	return name
}

// cylinder is how a cylinder is called: by its label, or by its id.
func (r Record) cylinder(id roster.CylinderID, label string) string {
	if label == "" {
		return string(id)
	}
	return message.Clean(label)
}

// marked is a cylinder's name, with the site that it is not for.
func (r Record) marked(c CylinderLine) string {
	name := r.cylinder(c.ID, c.Label)
	if c.NotFor == "" {
		return name
	}
	return name + ": " + r.words.say("papers.not-for", message.Args{"site": message.Name(c.NotFor)})
}

func (r Record) percent(p gas.Percent) string {
	if !p.Known() {
		return ""
	}
	return r.words.value(message.Percent(p))
}

func (r Record) blend(p gas.Percent) string {
	if !p.Known() {
		return ""
	}
	return r.words.value(message.Blend(p))
}

func (r Record) depth(v float64) string {
	if v == 0 {
		return ""
	}
	return r.words.value(message.Limit(gas.Depth{Value: v, Unit: r.Units}))
}

// state is what became of a reading, in words.
func (r Record) state(g ReadingRecord) string {
	return r.words.say("papers.state."+g.State, message.Args{"at": message.Clock(g.Until, r.Zone)})
}

// limitSet is a limit that a leader set, in words.
func (r Record) limitSet(l LimitSet) string {
	a := message.Args{"limit": message.Of(l.what), "who": message.Name(l.By), "at": message.Clock(l.At, r.Zone),
		"reason": message.Text(l.Reason)}
	key := "papers.limit.diver"
	if a["name"] = message.Name(l.Diver); l.Team != "" {
		key, a["name"] = "papers.limit.team", message.Name(l.Team)
	}
	if l.Dive > 0 {
		key, a["dive"] = key+".dive", message.Count(l.Dive)
	}
	return r.words.say(key, a)
}

func (s *sheet) readings(r Record) {
	s.keep(30)
	s.Ln(3)
	s.paragraph("B", 12, r.words.say("record.readings", nil))
	if len(r.Readings) == 0 {
		s.paragraph("", 9, r.words.say("list.none", nil))
		return
	}
	s.Ln(1)
	t := table{s: s, size: 7.5, columns: r.columns("diver", 26, "cylinder", 13, "dive", 11, "reading", 13, "taken", 37,
		"where", 19, "how", 46, "state", 20)}
	t.head()
	for _, g := range r.Readings {
		t.row(g.Diver, r.cylinder(g.Cylinder, g.Label), strconv.Itoa(g.Dive), r.percent(g.Percent), r.clock(g.At),
			r.words.say("stage."+g.Stage.String(), nil), g.how, r.state(g))
	}
}

func (s *sheet) recordEnd(r Record) {
	s.Ln(3)
	for _, l := range r.Limits {
		s.paragraph("", 9, r.limitSet(l))
	}
	if line := r.policyLine(); line != "" {
		s.Ln(1)
		s.paragraph("B", 9, line)
	}
}

// policyLine is every policy that isn't the default, "" when all are.
func (r Record) policyLine() string {
	if len(r.Policy) == 0 {
		return ""
	}
	var values []message.Value
	for _, p := range r.Policy {
		values = append(values, message.Code(p.text))
	}
	return r.words.say("board.policy", message.Args{"policy": message.List(values...)})
}
