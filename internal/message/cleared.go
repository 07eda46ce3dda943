package message

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// Cleared is a clearance as everybody reads it first: its sign, its word, and
// the one depth that it names. ✅ GO · 30 m as planned; ⚠️ GO, BUT MAX 33 m;
// ⛔ STOP, NO-GO; ❓ SHOW YOUR CARD; ▢ OUTSIDE THIS CHECK; ▫ SITS OUT.
func Cleared(t *roster.Trip, c *roster.Clearance) Line {
	switch {
	case c.Outside != nil:
		return Loud("verdict.outside", nil)
	case c.Out != nil:
		return Loud("verdict.out", nil)
	}
	if c.Status == gas.NotCleared {
		return needed(t, c)
	}
	return Checked(c.Status, &c.Verdict, planOf(t, c))
}

// ClearedOf is Cleared with what it is of, a cylinder: ✅ GO · 17 · 30 m as planned.
func ClearedOf(t *roster.Trip, c *roster.Clearance, of Line) Line {
	l := Cleared(t, c)
	if l.Key == "verdict.go.planned" {
		return Loud(l.Key+".of", Args{"depth": Planned(planOf(t, c)), "cylinder": Of(of)})
	}
	return Loud("cleared.of", Args{"verdict": Of(l), "cylinder": Of(of)})
}

// planOf is the depth that a clearance was given for: that of its figures, since
// the plan may be another one by now.
func planOf(t *roster.Trip, c *roster.Clearance) gas.Depth {
	for i := range c.Verdict.Numbers {
		if d := c.Verdict.Numbers[i].Depth; d.Known() {
			return d
		}
	}
	if d := t.Dive(c.Dive); d != nil {
		return d.Depth
	}
	return gas.Depth{}
}

// Checked is the verdict on one diver's one dive, where nothing is known of the
// diver but the check.
func Checked(status gas.Status, v *gas.Verdict, plan gas.Depth) Line {
	switch status {
	case gas.NoGo:
		return Loud("verdict.no-go", nil)
	case gas.GoWithLimits:
		return limited(v, plan)
	case gas.Go:
		return Loud("verdict.go.planned", Args{"depth": Planned(plan)})
	}
	return Loud("verdict.not-cleared", nil)
}

// limited names what limits: the diver's max, the minutes, that they plan again,
// or that the diver's own computer rules, since the times here say too much.
func limited(v *gas.Verdict, plan gas.Depth) Line {
	deep, long, again, own := false, false, false, false
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Severity != gas.Limits {
			continue
		}
		deep, long = deep || f.MaxDepth.Known(), long || f.MaxMinutes > 0
		again, own = again || f.Rule == gas.RuleAsked, own || f.Do == "own-computer"
	}
	a := Args{"depth": LimitBeside(v.Max, plan), "minutes": Minutes(v.MaxMinutes)}
	switch deep, long = deep && v.Max.Known(), long && v.MaxMinutes > 0; {
	case deep && long:
		return Loud("verdict.limits.both", a)
	case deep:
		return Loud("verdict.limits", a)
	case long:
		return Loud("verdict.limits.minutes", a)
	case own: // nitrogen that nobody here knows comes before a blend that is off
		return Loud("verdict.limits.own", nil)
	case again:
		return Loud("verdict.limits.replan", nil)
	}
	return Loud("verdict.limits.other", nil)
}

// needOrder is which of several needs is said: first what somebody else has to
// hear of, last what a walk to the analyser settles.
var needOrder = []roster.Need{roster.NeedLeft, roster.NeedSpeak, roster.NeedCylinder, roster.NeedAnswer,
	roster.NeedWitness,
	roster.NeedAirPoint, roster.NeedBoatAnswer, roster.NeedReading, roster.NeedCard}

// SaidNeed is the one need that is said of what somebody still owes, "" for none.
func SaidNeed(c *roster.Clearance) roster.Need {
	for _, need := range needOrder {
		if slices.Contains(c.Needs, need) {
			return need
		}
	}
	return ""
}

// needed is the one thing to say of what somebody still owes.
func needed(t *roster.Trip, c *roster.Clearance) Line {
	switch need := SaidNeed(c); {
	case need == "":
		return Loud("verdict.not-cleared", nil)
	case need == roster.NeedSpeak:
		return SpeakTo(t, c.Person)
	case need == roster.NeedAnswer:
		return Loud("verdict.need."+asked(t, c), nil)
	default:
		return Loud("verdict.need."+string(need), nil)
	}
}

// SpeakTo is whom somebody has to speak to who is outside this check by their own
// words: a leader other than themself, rather one who can be reached, or the shop where
// they lead alone.
func SpeakTo(t *roster.Trip, p roster.PersonID) Line {
	var to *roster.Person
	leaders := t.Leaders()
	for _, l := range leaders {
		if l.ID != p && l.Left.IsZero() && (to == nil || to.Unreachable != "" && l.Unreachable == "") {
			to = l
		}
	}
	if to != nil {
		return Loud("verdict.need.speak.to", Args{"leader": Name(to.Name)})
	}
	if len(leaders) > 0 {
		return Loud("verdict.need.speak.shop", nil)
	}
	return Loud("verdict.need.speak", nil)
}

// asked is the word of a question: for what the analyser shows, which cylinder it is,
// what a second number is, or where the cylinder was.
func asked(t *roster.Trip, c *roster.Clearance) string {
	i := slices.IndexFunc(c.Owes, func(o roster.Owed) bool { return o.Why == roster.NeedAnswer })
	if i < 0 || c.Owes[i].Rule != gas.RuleQuestion {
		return "answer"
	}
	_, cylinder := t.Cylinder(c.Owes[i].Cylinder)
	if cylinder == nil || len(cylinder.Questions) == 0 {
		return "answer" // asked about the same cylinder in somebody else's hands
	}
	switch cylinder.Questions[0].Kind {
	case roster.QuestionWhich, roster.QuestionSwap, roster.QuestionRefill:
		return "answer.which"
	case roster.QuestionAgain:
		return "answer.again"
	case roster.QuestionBoat:
		return string(roster.NeedBoatAnswer)
	}
	return "answer"
}
