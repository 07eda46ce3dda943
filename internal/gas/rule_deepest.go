package gas

// The outcomes of the rule "deepest": the policy's deepest depth.
var (
	deepestWithin = Outcome{Rule: RuleDeepest, Case: "within", Severity: Pass, Source: sourceCustom}
	deepestBeyond = Outcome{Rule: RuleDeepest, Case: "beyond", Severity: Stop, Do: "ask-leader-shallower",
		Source: sourceCustom}
	deepestNotGiven = Outcome{Rule: RuleDeepest, Case: "not-given", Severity: NotApplicable}
)

var deepestRule = diverRule{deepestCheck, []Outcome{deepestWithin, deepestBeyond, deepestNotGiven}}

// deepestCheck refuses a plan beyond the policy's deepest, which was lowered
// after the plan was made.
func deepestCheck(c *check) Finding {
	plan, ok := c.plan()
	if !ok || !c.policy.Deepest.valid() {
		return deepestNotGiven.finding()
	}
	most := c.policy.Deepest.NamedIn(plan.Unit)
	if plan.DeeperThan(most) {
		return deepestBeyond.finding().depth(plan, most)
	}
	return deepestWithin.finding().depth(plan, most)
}
