package conversation

import (
	"math"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The trip's policy: what isn't the default is said, and what a shop wants to
// loosen after the first reading waits for a leader's yes.

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

// policyLines name every policy that isn't the default, and what the shop
// asks to loosen.
func policyLines(trip *roster.Trip) []message.Line {
	var lines []message.Line
	if odd := trip.Policy.Changed(); len(odd) > 0 {
		var values []message.Value
		for _, name := range odd {
			values = append(values, message.Of(policyLine(name, trip.Policy)))
		}
		lines = append(lines, gap(), message.Say("board.policy", message.Args{"policy": message.List(values...)}))
	}
	if trip.PolicyWanted != nil {
		lines = append(lines, gap(), wantedLine(trip))
	}
	return lines
}

// wantedLine is what the shop asks to loosen.
func wantedLine(trip *roster.Trip) message.Line {
	var wishes []message.Value
	for _, name := range trip.PolicyWanted.LooserThan(trip.Policy) {
		wishes = append(wishes, message.Of(message.Say("policy.from-to", message.Args{
			"was": message.Of(policyLine(name, trip.Policy)), "now": policyFields[name].value(*trip.PolicyWanted)})))
	}
	return message.Loud("policy.wanted", message.Args{"changes": message.List(wishes...)})
}

func (t *turn) policyButtons() [][]message.Button {
	if t.trip.PolicyWanted == nil {
		return nil
	}
	return [][]message.Button{{
		{Label: message.Say("policy.button.yes", nil), Do: "lpolicy yes"},
		{Label: message.Say("policy.button.no", nil), Do: "lpolicy no"},
	}}
}

// changePolicy applies what a shop wants: at once what is as strict or
// stricter, and everything before the first reading; what is looser waits for
// a leader.
func (t *turn) changePolicy(wanted gas.Policy) {
	looser := wanted.LooserThan(t.trip.Policy)
	t.trip.PolicyWanted = nil
	if len(looser) == 0 || !hasReadings(t.trip) {
		t.trip.SetPolicy(wanted, "", t.now)
		t.tellLeaders(message.Message{Lines: t.policyNow("policy.changed")})
		return
	}
	stricter := wanted
	for _, name := range looser {
		policyFields[name].take(t.trip.Policy, &stricter)
	}
	t.trip.SetPolicy(stricter, "", t.now)
	t.trip.PolicyWanted = &wanted
	t.tellLeaders(message.Message{Lines: []message.Line{wantedLine(t.trip), message.Say("policy.consent", nil)},
		Buttons: t.policyButtons()})
}

// policyNow says key and the policy that holds now.
func (t *turn) policyNow(key string) []message.Line {
	lines := []message.Line{message.Loud(key, nil)}
	if len(t.trip.Policy.Changed()) == 0 {
		return append(lines, message.Say("policy.usual", nil))
	}
	return append(lines, policyLines(t.trip)...)
}

// hasReadings tells whether anything was read on the trip.
func hasReadings(trip *roster.Trip) bool {
	for _, p := range trip.People {
		for _, c := range p.Cylinders {
			if len(c.Readings) > 0 {
				return true
			}
		}
	}
	return false
}

// answerPolicy is a leader's yes or no to a looser policy.
func answerPolicy(t *turn, args []string) {
	wanted := t.trip.PolicyWanted
	if wanted == nil || len(args) == 0 {
		t.questionOver()
		return
	}
	t.trip.PolicyWanted = nil
	key := "policy.refused"
	if args[0] == "yes" {
		key = "policy.accepted"
		t.trip.SetPolicy(*wanted, t.me.ID, t.now)
	}
	t.trip.Note(roster.Act{At: t.now, By: t.me.ID, Verb: key})
	t.say(t.policyNow(key)...)
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say(key+".by", message.Args{"leader": t.nameOf(t.me.ID)})}})
}
