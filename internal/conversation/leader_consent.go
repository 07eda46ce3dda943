package conversation

import (
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What the shop changes after the first reading and what would make somebody's
// clearance greener waits for a leader's yes: a looser policy, another start, an
// easier plan.

// wantedLines are what waits.
func (t *turn) wantedLines() []message.Line {
	w := t.trip.Wanted
	lines := []message.Line{message.Loud("consent.head", nil)}
	if w.Policy != nil {
		lines = append(lines, t.wantedPolicy(*w.Policy))
	}
	if w.Starts != nil {
		lines = append(lines, message.Say("consent.starts",
			message.Args{"departs": message.Moment(w.Starts.Departs, t.trip.Zone)}))
	}
	for _, d := range w.Dives {
		lines = append(lines, message.Say("consent.dive",
			message.Args{"dive": message.Count(d.Dive), "plan": message.Of(message.Plan(d.Plan))}))
	}
	return lines
}

func (t *turn) wantedPolicy(wanted gas.Policy) message.Line {
	var wishes []message.Value
	for _, name := range wanted.LooserThan(t.trip.Policy) {
		wishes = append(wishes, message.Of(message.Say("policy.from-to", message.Args{
			"was": message.Of(policyLine(name, t.trip.Policy)), "now": policyFields[name].value(wanted)})))
	}
	return message.Say("consent.policy", message.Args{"changes": message.List(wishes...)})
}

func (t *turn) consentButtons() [][]message.Button {
	if !t.trip.Wanted.Any() {
		return nil
	}
	return [][]message.Button{{
		{Label: message.Say("policy.button.yes", nil), Do: "lconsent yes"},
		{Label: message.Say("policy.button.no", nil), Do: "lconsent no"},
	}}
}

// answerConsent is a leader's yes or no.
func answerConsent(t *turn, args []string) {
	if !t.trip.Wanted.Any() || len(args) == 0 {
		t.questionOver()
		return
	}
	key := "consent.no"
	if args[0] == "yes" {
		if !t.trip.Consent(t.me().ID, t.now) {
			t.questionOver()
			return
		}
		key = "consent.yes"
	} else {
		t.trip.EditPlan().Wanted = roster.Wanted{}
		t.trip.Note(roster.Act{At: t.now, By: t.me().ID, Verb: "consent-refused"})
	}
	b := t.board(t.dive())
	t.say(message.Loud(key, nil), t.headline(&b), countsLine(&b))
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say(key+".by",
		message.Args{"leader": t.nameOf(t.me().ID)})}})
}
