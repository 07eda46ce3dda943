package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// reader is who reads the output.
func (in checkInput) reader() message.Reader {
	return message.Reader{Language: in.lang, Units: in.units}
}

// writeCheckText prints the verdict, the one thing to do, the numbers, the
// reasons as a tree and the line for the cylinder.
func writeCheckText(w io.Writer, in checkInput, v gas.Verdict) error {
	t := checkText{in: in, v: v, r: message.New(), to: in.reader()}
	t.verdict()
	t.line("")
	t.numbers()
	t.line("")
	t.findings()
	t.line("")
	t.say("check.caution", nil)
	_, err := io.WriteString(w, t.out.String())
	return err
}

// checkText is the text while it is written.
type checkText struct {
	in  checkInput
	v   gas.Verdict
	r   *message.Renderer
	to  message.Reader
	out strings.Builder
}

func (t *checkText) line(s string) { t.out.WriteString(s + "\n") }

func (t *checkText) text(key string, a message.Args) string {
	return t.r.Line(message.Say(key, a), t.to)
}

func (t *checkText) say(key string, a message.Args) { t.line(t.text(key, a)) }

// verdict is what to see first: the word, and the one thing to do.
func (t *checkText) verdict() {
	n := t.v.Numbers[0]
	t.line(t.r.Line(message.VerdictWithin(t.v.Status(), n.MaxDepth, n.MaxMinutes), t.to))
	for _, f := range t.v.Reasons() {
		text, do := message.Finding(f)
		if do.Key == "" && f.Severity == gas.Note {
			continue
		}
		t.line(t.r.Line(text, t.to))
		if do.Key != "" {
			t.line(t.r.Line(do, t.to))
		}
		return
	}
}

// numbers are the figures of the first dive, and a line for each later one.
func (t *checkText) numbers() {
	n := t.v.Numbers[0]
	tab := tabwriter.NewWriter(&t.out, 0, 0, 2, ' ', 0)
	row := func(name, text string) { fmt.Fprintf(tab, "%s\t%s\n", t.text("check.name."+name, nil), text) }
	row("gas", t.text("check.gas", message.Args{"o2": message.Percent(t.in.o2), "depth": message.Planned(t.in.dive.Depth)}))
	row("mod", t.text("check.mod", message.Args{"mod": message.Limit(n.MOD), "ppo2": message.PPO2(t.in.policy.PPO2),
		"max": message.Limit(n.MODMax), "ppo2max": message.PPO2(t.in.policy.PPO2Max)}))
	row("ppo2", t.text("check.ppo2", message.Args{"ppo2": message.PPO2(n.PPO2)}))
	if n.PPO2Bottom > 0 {
		row("bottom", t.text("check.ppo2", message.Args{"ppo2": message.PPO2(n.PPO2Bottom)}))
	}
	row("ead", t.text("check.ead", message.Args{"ead": message.Planned(n.EAD.Ceil())}))
	row("best-mix", t.text("check.best-mix", message.Args{"mix": message.Blend(n.BestMix)}))
	row("no-stop", t.times(n))
	if n.CNS.Known {
		row("oxygen", t.oxygen(n))
	}
	for i := range t.in.next {
		later := t.v.Numbers[i+1]
		c := t.in.diver().Cylinders[i+1]
		name := t.text("check.dive", message.Args{"count": message.Count(later.Dive)})
		fmt.Fprintf(tab, "%s\t%s\n", name, t.later(c, later))
	}
	row("computer", t.text("check.computer", message.Args{"percent": message.Count(int(n.Computer))}))
	row("label", labelLine(t.in, n))
	_ = tab.Flush()
}

// times are the no-stop times: of the reading, of what was asked for, and by
// the US Navy table.
func (t *checkText) times(n gas.Numbers) string {
	times := []string{t.noStop(n.NoStop)}
	if t.in.asked.Known() {
		times = append(times, t.text("check.no-stop.asked", message.Args{"mix": message.Blend(t.in.asked), "time": message.Code(t.noStop(n.NoStopAsked))}))
	}
	if n.Navy.State != gas.NoStopNone {
		times = append(times, t.text("check.no-stop.navy", message.Args{"time": message.Code(t.noStop(n.Navy))}))
	}
	return strings.Join(times, "; ")
}

func (t *checkText) noStop(n gas.NoStop) string {
	return t.text("check.no-stop."+n.State.String(), message.Args{"minutes": message.Minutes(n.Minutes)})
}

// oxygen is the day's exposure, rounded up.
func (t *checkText) oxygen(n gas.Numbers) string {
	up := func(a gas.Amount) message.Value { return message.Count(int(math.Ceil(a.Value - 1e-9))) }
	return t.text("check.oxygen", message.Args{"cns": up(n.CNS), "day": up(n.CNS24), "otu": up(n.OTU)})
}

// later is the line of a later dive.
func (t *checkText) later(c gas.Cylinder, n gas.Numbers) string {
	line := t.text("check.later", message.Args{"o2": message.Percent(n.Rich), "depth": message.Planned(c.Dive.Depth),
		"mod": message.Limit(n.Label), "time": message.Code(t.noStop(n.NoStop))})
	if n.CNS.Known {
		line += "; " + t.oxygen(n)
	}
	return line
}

// labelLine is what to write on the cylinder: in both units, each to the safe
// side.
func labelLine(in checkInput, n gas.Numbers) string {
	other := gas.Feet
	if n.Label.Unit == gas.Feet {
		other = gas.Metres
	}
	return message.New().Line(message.Say("check.label", message.Args{
		"o2":    message.Percent(in.o2),
		"mod":   message.Limit(n.Label),
		"other": message.Limit(n.Label.LimitIn(other)),
		"ppo2":  message.PPO2(in.policy.PPO2),
	}), message.Reader{Language: in.lang})
}

// branches are the severities in the order of the tree.
var branches = []gas.Severity{gas.Stop, gas.Missing, gas.Limits, gas.Note, gas.Pass, gas.NotApplicable}

// findings is the tree: severities, rules, and what is to be done.
func (t *checkText) findings() {
	var parts []tree
	for _, s := range branches {
		var part tree
		for _, f := range t.v.Findings {
			if f.Severity == s {
				part.under = append(part.under, t.leaf(f))
			}
		}
		if part.under != nil {
			part.text = t.text("check.severity."+s.String(), nil)
			parts = append(parts, part)
		}
	}
	t.out.WriteString(tree{text: t.text("check.why", nil), under: parts}.String())
}

// leaf is one finding; what passed is one line, the rest says what to do and
// where the limit comes from.
func (t *checkText) leaf(f gas.Finding) tree {
	text, do := message.Finding(f)
	leaf := tree{text: string(f.Rule) + ": " + t.r.Line(text, t.to)}
	if len(t.v.Numbers) > 1 {
		leaf.text = t.text("check.dive", message.Args{"count": message.Count(f.Dive)}) + ", " + leaf.text
	}
	if f.Severity == gas.Pass || f.Severity == gas.NotApplicable {
		return leaf
	}
	if do.Key != "" {
		leaf.under = append(leaf.under, tree{text: t.r.Line(do, t.to)})
	}
	if f.Source != "" {
		leaf.under = append(leaf.under, tree{text: t.text("check.source", message.Args{"source": message.Code(f.Source)})})
	}
	return leaf
}

// tree is a text with texts under it.
type tree struct {
	text  string
	under []tree
}

// String draws the tree with lines.
func (t tree) String() string {
	var b strings.Builder
	b.WriteString(t.text + "\n")
	t.draw(&b, "")
	return b.String()
}

func (t tree) draw(b *strings.Builder, indent string) {
	for i, u := range t.under {
		branch, deeper := "├─ ", "│  "
		if i == len(t.under)-1 {
			branch, deeper = "└─ ", "   "
		}
		b.WriteString(indent + branch + u.text + "\n")
		u.draw(b, indent+deeper)
	}
}
