package booking

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Words writes a line in somebody's language.
type Words func(message.Line) string

// Check is the request check of one cylinder, before the fill: what the
// blend that was asked for would mean at the site, for this diver. Recommended
// is the richest whole percent that still fits when the fill comes out one point
// rich, Richest the richest that fits at all, without margin; neither is beyond
// the diver's card or qualification.
type Check struct {
	Status      gas.Status  `json:"status"`
	MOD         int         `json:"mod,omitempty"` // of the gas, as on the label
	Recommended gas.Percent `json:"recommended,omitempty"`
	Richest     gas.Percent `json:"richest,omitempty"`
	Findings    []Finding   `json:"findings"`
}

// Finding is one finding with its sentences in the shop's language.
type Finding struct {
	Rule     gas.Rule          `json:"rule"`
	Severity gas.Severity      `json:"severity"`
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	Dive     int               `json:"dive,omitempty"`
	Measured *float64          `json:"measured"`
	Limit    *float64          `json:"limit"`
	Margin   *float64          `json:"margin"`
	Unit     string            `json:"unit"`
	Text     string            `json:"text"`
	Do       string            `json:"do,omitempty"`
	Source   string            `json:"source,omitempty"`
}

// CheckRequest asks what the verdict would be if c came as it was asked for.
func CheckRequest(t *roster.Trip, p *roster.Person, c *roster.Cylinder, now time.Time, say Words) *Check {
	v := t.Preview(p.ID, c.ID, c.Asked, now)
	out := &Check{Status: v.StatusOf(string(c.ID)), Findings: []Finding{}}
	for _, f := range v.Reasons() {
		if f.Cylinder == string(c.ID) || f.Cylinder == "" {
			out.Findings = append(out.Findings, FindingOf(f, say))
		}
	}
	if n := v.NumbersOf(string(c.ID)); n != nil {
		out.MOD = Whole(t.Policy.OnLabel(n.Rich, n.Label))
	}
	out.Recommended, out.Richest = gas.RichestFor(t.Policy, requester(t, p, c))
	return out
}

// requester is a diver as far as what is recommended to them goes.
func requester(t *roster.Trip, p *roster.Person, c *roster.Cylinder) gas.Diver {
	return gas.Diver{Card: p.Card, DepthLimit: p.DepthLimit, Set: p.LimitOn(c.Dive), Dive: t.GasDive(c.Dive)}
}

// unfit are the rules by which a request does not fit: too rich for its site or
// for the check at all, or not for this diver. The others are about minutes, or
// about what is yet to be shown.
var unfit = []gas.Rule{gas.RuleCard, gas.RuleDepthLimit, gas.RuleDeepest, gas.RuleDepth, gas.RuleContingency,
	gas.RuleOutOfRange}

// Misfit is the rule by which a request does not fit, "" when it does: the
// diver's own first, since another blend helps against the others alone.
// Nothing asked fits.
func (c *Check) Misfit() gas.Rule {
	if c == nil {
		return ""
	}
	for _, rule := range unfit {
		if slices.ContainsFunc(c.Findings, func(f Finding) bool { return f.Rule == rule && f.Severity == gas.Stop }) {
			return rule
		}
	}
	return ""
}

// fits tells whether the request suits its site and its diver.
func (c *Check) fits() bool { return c.Misfit() == "" }

// FindingOf is a finding with its sentences as say writes them.
func FindingOf(f gas.Finding, say Words) Finding {
	text, do := message.Finding(f)
	out := Finding{Rule: f.Rule, Severity: f.Severity, Cylinder: roster.CylinderID(f.Cylinder), Dive: f.Dive,
		Measured: amount(f.Measured), Limit: amount(f.Limit), Margin: amount(f.Margin), Unit: f.Unit,
		Source: f.Source, Text: say(text)}
	if do.Key != "" {
		out.Do = say(do)
	}
	return out
}

func amount(a gas.Amount) *float64 {
	if !a.Known {
		return nil
	}
	return &a.Value
}

// Whole is a limit as people read it: rounded down.
func Whole(d gas.Depth) int { return int(d.Floor().Value) }
