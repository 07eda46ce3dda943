package shopapi

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// checkJSON is the request check of one cylinder, before the fill: what the
// blend that was asked for would mean at the site. Recommended is the richest
// whole percent that still fits when the fill comes out one point rich, Richest
// the richest that fits at all, without margin.
type checkJSON struct {
	Status      gas.Status    `json:"status"`
	MOD         int           `json:"mod,omitempty"` // whole, in the trip's units, at the working ppO2
	Recommended gas.Percent   `json:"recommended,omitempty"`
	Richest     gas.Percent   `json:"richest,omitempty"`
	Findings    []findingJSON `json:"findings"`
}

// findingJSON is one finding with its sentences in the shop's language.
type findingJSON struct {
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
	Group    bool              `json:"group,omitempty"` // a limit that the whole group shares, said once
}

// requestCheck asks what the verdict would be if c came as it was asked for.
func (a *api) requestCheck(t *roster.Trip, p *roster.Person, c *roster.Cylinder, now time.Time) *checkJSON {
	v := t.Preview(p.ID, c.ID, c.Asked, now)
	out := &checkJSON{Status: v.StatusOf(string(c.ID), c.Dive), Findings: []findingJSON{}}
	for _, f := range v.Reasons() {
		if f.Cylinder == string(c.ID) {
			out.Findings = append(out.Findings, a.findingOut(f))
		}
	}
	for _, n := range v.Numbers {
		if n.Cylinder == string(c.ID) {
			out.MOD = int(n.Label.Value)
		}
	}
	out.Recommended, out.Richest = gas.RichestFitting(t.Policy, t.GasDive(c.Dive))
	return out
}

// tooMuch are the rules by which a request is too rich for its site or for the
// check at all; the others are about the person, or about minutes.
var tooMuch = []gas.Rule{gas.RuleDepth, gas.RuleContingency, gas.RuleOutOfRange}

// fits tells whether the request suits its site by depth; nothing asked does.
func (c *checkJSON) fits() bool {
	return c == nil || !slices.ContainsFunc(c.Findings, func(f findingJSON) bool {
		return f.Severity == gas.Stop && slices.Contains(tooMuch, f.Rule)
	})
}

func (a *api) findingOut(f gas.Finding) findingJSON {
	text, do := message.Finding(f)
	out := findingJSON{Rule: f.Rule, Severity: f.Severity, Cylinder: roster.CylinderID(f.Cylinder), Dive: f.Dive,
		Measured: amount(f.Measured), Limit: amount(f.Limit), Margin: amount(f.Margin), Unit: f.Unit,
		Source: f.Source, Group: f.Group, Text: a.Renderer.Line(text, message.Reader{})}
	if do.Key != "" {
		out.Do = a.Renderer.Line(do, message.Reader{})
	}
	return out
}

func amount(a gas.Amount) *float64 {
	if !a.Known {
		return nil
	}
	return &a.Value
}
