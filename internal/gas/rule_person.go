package gas

// The outcomes of what stands in a diver's own way, whatever the gas.
var (
	hasCylinder = Outcome{Rule: RuleNoCylinder, Case: "has", Severity: Pass}
	noCylinder  = Outcome{Rule: RuleNoCylinder, Case: "none", Severity: Missing, Do: "bring-cylinder",
		Source: sourceCustom}
	needsCylinder = Outcome{Rule: RuleNoCylinder, Case: "not-needed", Severity: NotApplicable}

	isThere = Outcome{Rule: RuleLeft, Case: "there", Severity: Pass}
	hasLeft = Outcome{Rule: RuleLeft, Case: "left", Severity: Missing, Do: "ask-leader", Source: sourceCustom}

	covered    = Outcome{Rule: RuleSpeak, Case: "covered", Severity: Pass}
	notCovered = Outcome{Rule: RuleSpeak, Case: "named", Severity: Missing, Do: "speak-to-leader", Source: sourceCustom}

	divedNot = Outcome{Rule: RuleDivedBefore, Case: "no", Severity: Pass, Source: sourceCustom}
	divedYes = Outcome{Rule: RuleDivedBefore, Case: "yes", Severity: Limits, Do: "own-computer", Source: sourceCustom}
)

var (
	noCylinderRule  = diverRule{cylinderCheck, []Outcome{hasCylinder, noCylinder, needsCylinder}}
	leftRule        = diverRule{leftCheck, []Outcome{isThere, hasLeft}}
	speakRule       = diverRule{speakCheck, []Outcome{covered, notCovered}}
	divedBeforeRule = diverRule{divedBeforeCheck, []Outcome{divedNot, divedYes}}
)

// leftCheck: who left, forgot or was removed is in the way until a leader sits
// them out.
func leftCheck(c *check) Finding { return either(c.diver.Left, &hasLeft, &isThere) }

// speakCheck: who named helium or a closed circuit speaks to the leader.
func speakCheck(c *check) Finding { return either(c.diver.Speak, &notCovered, &covered) }

// divedBeforeCheck: after dives of the last 24 hours the times here say too much.
func divedBeforeCheck(c *check) Finding { return either(c.diver.OwnComputer, &divedYes, &divedNot) }

// cylinderCheck asks for a cylinder that is in use on this dive.
func cylinderCheck(c *check) Finding {
	if !c.diver.Needed {
		return needsCylinder.finding()
	}
	return either(c.inUse == 0, &noCylinder, &hasCylinder)
}

func either(is bool, yes, no *Outcome) Finding {
	if is {
		return yes.finding()
	}
	return no.finding()
}
