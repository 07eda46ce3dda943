package conversation

import (
	"math"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
)

// The trip's policy: what isn't the default is said.

// policyFields show and copy each field of a policy, by its name in the
// interface contract.
var policyFields = map[string]struct {
	value func(p gas.Policy) message.Value
	take  func(from gas.Policy, to *gas.Policy)
}{
	"ppo2":            number(func(p *gas.Policy) *float64 { return (*float64)(&p.PPO2) }),
	"ppo2_max":        number(func(p *gas.Policy) *float64 { return (*float64)(&p.PPO2Max) }),
	"max_o2":          number(func(p *gas.Policy) *float64 { return (*float64)(&p.MaxO2) }),
	"tolerance":       number(func(p *gas.Policy) *float64 { return &p.Tolerance }),
	"tell_shop":       number(func(p *gas.Policy) *float64 { return &p.TellShop }),
	"gf":              number(func(p *gas.Policy) *float64 { return &p.GF }),
	"fresh_for_hours": number(func(p *gas.Policy) *float64 { return &p.FreshFor }),
	"deepest":         depthField(func(p *gas.Policy) *gas.Depth { return &p.Deepest }),
	"max_co":          number(func(p *gas.Policy) *float64 { return &p.MaxCO }),
	"boat_check": {
		value: func(p gas.Policy) message.Value {
			return message.Of(message.Say("policy.boat-check."+string(p.BoatCheck), nil))
		},
		take: func(from gas.Policy, to *gas.Policy) { to.BoatCheck = from.BoatCheck },
	},
	"oxygen_credit": {
		value: func(p gas.Policy) message.Value {
			key := "policy.oxygen-credit.none"
			if p.OxygenCredit {
				key = "policy.oxygen-credit.custom"
			}
			return message.Of(message.Say(key, nil))
		},
		take: func(from gas.Policy, to *gas.Policy) { to.OxygenCredit = from.OxygenCredit },
	},
}

// number is a field of policyFields that is a number.
func number(get func(p *gas.Policy) *float64) struct {
	value func(p gas.Policy) message.Value
	take  func(from gas.Policy, to *gas.Policy)
} {
	return struct {
		value func(p gas.Policy) message.Value
		take  func(from gas.Policy, to *gas.Policy)
	}{
		value: func(p gas.Policy) message.Value { return plainNumber(*get(&p)) },
		take:  func(from gas.Policy, to *gas.Policy) { *get(to) = *get(&from) },
	}
}

// depthField is a field of policyFields that is a depth.
func depthField(get func(p *gas.Policy) *gas.Depth) struct {
	value func(p gas.Policy) message.Value
	take  func(from gas.Policy, to *gas.Policy)
} {
	return struct {
		value func(p gas.Policy) message.Value
		take  func(from gas.Policy, to *gas.Policy)
	}{
		value: func(p gas.Policy) message.Value { return message.Limit(*get(&p)) },
		take:  func(from gas.Policy, to *gas.Policy) { *get(to) = *get(&from) },
	}
}

// plainNumber is a whole number without decimals, any other with.
func plainNumber(v float64) message.Value {
	if v == math.Trunc(v) {
		return message.Count(int(v))
	}
	return message.Points(v)
}

// policyLine is one field with its value.
func policyLine(name string, p gas.Policy) message.Line {
	return message.Say("policy."+name, message.Args{"value": policyFields[name].value(p)})
}

// policyLines name every policy that isn't the default, and what the shop's
// changes wait for.
func (t *turn) policyLines() []message.Line {
	var lines []message.Line
	if odd := t.trip.Policy.Changed(); len(odd) > 0 {
		var values []message.Value
		for _, name := range odd {
			values = append(values, message.Of(policyLine(name, t.trip.Policy)))
		}
		lines = append(lines, gap(), message.Say("board.policy", message.Args{"policy": message.List(values...)}))
	}
	if t.trip.Wanted.Any() {
		lines = append(append(lines, gap()), t.wantedLines()...)
	}
	return lines
}

// policyNow says key and the policy that holds now.
func (t *turn) policyNow(key string) []message.Line {
	lines := []message.Line{message.Loud(key, nil)}
	if len(t.trip.Policy.Changed()) == 0 {
		return append(lines, message.Say("policy.usual", nil))
	}
	return append(lines, t.policyLines()...)
}
