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

// writeCheckText prints the verdict, what to write on the cylinder, what to set
// on the computer and what to do; the reasons and the figures after that, and
// every rule when asked why.
func writeCheckText(w io.Writer, in checkInput, day checked) error {
	t := checkText{in: in, day: day, r: message.New(), to: in.reader()}
	t.verdict()
	t.line("")
	t.numbers()
	if in.why {
		t.line("")
		t.findings()
	} else if reasons := day.reasons(); len(reasons) > 0 {
		t.line("")
		t.reasons(reasons)
	}
	t.line("")
	t.say("check.caution", nil)
	_, err := io.WriteString(w, t.out.String())
	return err
}

// checkText is the text while it is written.
type checkText struct {
	in  checkInput
	day checked
	r   *message.Renderer
	to  message.Reader
	out strings.Builder
}

func (t *checkText) line(s string) { t.out.WriteString(s + "\n") }

func (t *checkText) text(key string, a message.Args) string {
	return t.r.Line(message.Say(key, a), t.to)
}

func (t *checkText) say(key string, a message.Args) { t.line(t.text(key, a)) }

// verdict is what to see first: the word, the label, the computer, and the one
// thing to do.
func (t *checkText) verdict() {
	first := &t.day[0]
	t.line(t.r.Line(message.Checked(t.day.status(), &first.verdict, first.Depth), t.to))
	t.say("check.write", message.Args{"label": message.Code(labelLine(t.in, first.numbers()))})
	t.say("check.set", message.Args{"computer": message.Code(t.computer(first.numbers()))})
	for _, f := range t.day.reasons() {
		if _, do := message.Finding(f); do.Key != "" {
			t.line(t.r.Line(do, t.to))
			return
		}
	}
}

// computer is the one number to set: rounded down, for time; depth is kept by
// the label.
func (t *checkText) computer(n gas.Numbers) string {
	return t.text("check.computer", message.Args{"percent": message.Count(int(n.Computer))})
}

// reasons are the findings that are more than a pass, each with what to do.
func (t *checkText) reasons(list []gas.Finding) {
	why := tree{text: t.text("check.why", nil)}
	for _, f := range list {
		why.under = append(why.under, t.leaf(f))
	}
	t.out.WriteString(why.String())
}

// numbers are the figures of the first dive, and a line for each later one.
func (t *checkText) numbers() {
	n := t.day[0].numbers()
	tab := tabwriter.NewWriter(&t.out, 0, 0, 2, ' ', 0)
	row := func(name, text string) { fmt.Fprintf(tab, "%s\t%s\n", t.text("check.name."+name, nil), text) }
	row("gas", t.text("check.gas", message.Args{"o2": message.Percent(t.in.o2),
		"depth": message.Planned(t.in.dive.Depth)}))
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
	for _, d := range t.day[1:] {
		name := t.text("check.dive", message.Args{"count": message.Count(d.Number)})
		fmt.Fprintf(tab, "%s\t%s\n", name, t.later(d))
	}
	_ = tab.Flush()
}

// times are the no-stop times: of the reading, of what was asked for, and by
// the US Navy table.
func (t *checkText) times(n gas.Numbers) string {
	times := []string{t.noStop(n.NoStop)}
	if t.in.asked.Known() {
		times = append(times, t.text("check.no-stop.asked",
			message.Args{"mix": message.Blend(t.in.asked), "time": message.Code(t.noStop(n.NoStopAsked))}))
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
func (t *checkText) later(d checkedDive) string {
	n := d.numbers()
	line := t.text("check.later", message.Args{"o2": message.Percent(d.o2), "depth": message.Planned(d.Depth),
		"time": message.Code(t.noStop(n.NoStop))})
	if n.CNS.Known {
		line += "; " + t.oxygen(n)
	}
	return line
}

// labelLine is what to write on the cylinder: in both units, each to the safe
// side. Air with nothing to keep to has no depth on it.
func labelLine(in checkInput, n gas.Numbers) string {
	to := message.Reader{Language: in.lang}
	mod := in.policy.OnLabel(in.o2, n.Label)
	if in.o2 < gas.EnrichedFrom {
		return message.New().Line(message.Label(in.policy, in.o2, n.Label), to)
	}
	other := gas.Feet
	if mod.Unit == gas.Feet {
		other = gas.Metres
	}
	return message.New().Line(message.Say("check.label",
		message.Args{"o2": message.Percent(in.o2), "mod": message.Limit(mod),
			"other": message.Limit(mod.LimitIn(other)), "ppo2": message.PPO2(in.policy.PPO2)}), to)
}

// branches are the severities in the order of the tree.
var branches = []gas.Severity{gas.Stop, gas.Missing, gas.Limits, gas.Note, gas.Pass, gas.NotApplicable}

// findings is the tree: severities, rules, and what is to be done.
func (t *checkText) findings() {
	var parts []tree
	for _, s := range branches {
		var part tree
		for _, f := range t.day.findings() {
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
	if len(t.day) > 1 {
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
