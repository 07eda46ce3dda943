package papers

import (
	"bytes"
	_ "embed"
	"html/template"
	"strconv"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The muster sheet is for a boat without a signal: who has which cylinder, empty boxes
// for what the analyser shows, and what each percentage comes to. It is one file
// without anything around it, to print or to keep on a phone.

//go:embed muster.html
var musterPage string

var musterTemplate = template.Must(template.New("muster").Parse(musterPage))

// muster is what the template shows: words only.
type muster struct {
	Language, Direction, Title string
	Notes, Cautions            []string
	Heads                      []string
	Dives                      []musterDive
	Table                      musterTable
}

type musterDive struct {
	Plan string
	Rows [][]string // name, cylinder, asked, no deeper than; the boxes are the page's
	Done bool
}

// musterTable are the depths of whole percentages, for each water that is dived.
type musterTable struct {
	Title string
	Rows  [][2]string
}

// boxes are the empty columns of the sheet.
const boxes = 5

// Boxes are as many as there are empty columns.
func (m muster) Boxes() []struct{} { return make([]struct{}, boxes) }

// Muster is the sheet of a trip as a page to print, complete in every script.
func (p Press) Muster(t *roster.Trip, language string) ([]byte, error) {
	var out bytes.Buffer
	err := musterTemplate.Execute(&out, p.teller(t, language).muster())
	return together(out.Bytes()), err
}

// muster is everything that stands on the sheet.
func (w teller) muster() muster {
	t, language := w.trip, w.to.Language
	m := muster{Language: message.Match(language), Direction: message.Direction(language),
		Title:    w.say("muster.title", message.Args{"trip": message.Name(t.Name), "day": message.Date(t.Departs, t.Zone)}),
		Notes:    []string{w.say("muster.how", nil), w.say("muster.round", nil)},
		Cautions: []string{w.say("page.caution", nil)}}
	for _, head := range []string{"muster.name", "muster.cylinder", "muster.asked", "muster.max", "muster.percent",
		"muster.mod", "muster.initials",
		"page.board.for.analyser", "muster.watched"} {
		m.Heads = append(m.Heads, w.say(head, nil))
	}
	for n := range t.Dives {
		m.Dives = append(m.Dives, w.musterDive(n+1))
	}
	m.Table = w.musterTable()
	return m
}

func (w teller) musterDive(n int) musterDive {
	d := musterDive{Plan: w.say("record.dive",
		message.Args{"dive": message.Count(n), "plan": message.Of(message.Plan(w.trip.Dives[n-1]))}),
		Done: w.trip.Dives[n-1].Outcome != nil}
	for _, p := range w.trip.People {
		if p.Erased || !p.Left.IsZero() || p.OutOf(n) != nil {
			continue
		}
		for _, c := range p.InUse() {
			if c.Dive == n {
				d.Rows = append(d.Rows, []string{w.who(p.ID), c.Label, w.asked(c), w.value(message.Limit(w.noDeeper(p, n)))})
			}
		}
	}
	return d
}

func (w teller) asked(c *roster.Cylinder) string {
	if !c.Asked.Known() {
		return ""
	}
	return w.value(message.Blend(c.Asked))
}

// noDeeper is the shallowest of what holds for a diver whatever they breathe.
func (w teller) noDeeper(p *roster.Person, n int) gas.Depth {
	most := w.trip.Policy.Deepest.NamedIn(w.trip.Units)
	for _, d := range []gas.Depth{p.DepthLimit, p.LimitOn(n).Depth, w.trip.TeamLimitOn(p, n).Depth} {
		if d.Known() && most.DeeperThan(d.NamedIn(w.trip.Units)) {
			most = d.NamedIn(w.trip.Units)
		}
	}
	return most
}

// musterTable is what each whole percentage comes to: the depth where the policy's
// working ppO2 is reached, and never more than the policy's deepest. It rests on no
// plan, so that no change of one voids it; of several waters and altitudes it is
// the shallowest.
func (w teller) musterTable() musterTable {
	t := w.trip
	table := musterTable{Title: w.say("muster.table", message.Args{"ppo2": message.PPO2(t.Policy.PPO2)})}
	air := w.value(message.Blend(gas.Air))
	if most := w.deepestOn(richestAir); t.Policy.Deepest.NamedIn(t.Units).DeeperThan(most) {
		air += " · " + w.value(message.Limit(most))
	}
	table.Rows = append(table.Rows, [2]string{"20–21", air})
	for o2 := gas.EnrichedFrom; o2 <= t.Policy.MaxO2; o2++ {
		table.Rows = append(table.Rows, [2]string{strconv.Itoa(int(o2)), w.value(message.Limit(w.deepestOn(o2)))})
	}
	return table
}

// richestAir is the most that is still labelled air, to the decimal that people write.
const richestAir = gas.EnrichedFrom - 0.1

// deepestOn is how deep a gas may be taken on every dive of the trip.
func (w teller) deepestOn(o2 gas.Percent) gas.Depth {
	t := w.trip
	most := t.Policy.Deepest.NamedIn(t.Units)
	for n := range t.Dives {
		mod := t.Policy.OnLabel(o2, t.GasDive(n+1).Place.MOD(o2, t.Policy.PPO2))
		if mod.Known() && most.DeeperThan(mod) { // air has none on its label but a shallow one
			most = mod
		}
	}
	return most
}
