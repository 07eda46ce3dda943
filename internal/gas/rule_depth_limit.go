package gas

// The outcomes of the rule "depth-limit": the diver's qualification.
var (
	limitWithin = Outcome{Rule: RuleDepthLimit, Case: "within", Severity: Pass, Source: sourceCustom}
	limitBeyond = Outcome{Rule: RuleDepthLimit, Case: "beyond", Severity: Stop, Do: "ask-leader-depth",
		Source: sourceCustom}
	limitSet = Outcome{Rule: RuleDepthLimit, Case: "set", Severity: Limits, Do: "keep-set-depth",
		Source: sourceCustom}
	limitNotGiven = Outcome{Rule: RuleDepthLimit, Case: "not-given", Severity: NotApplicable}
)

var depthLimitRule = diverRule{depthLimit, []Outcome{limitWithin, limitBeyond, limitSet, limitNotGiven}}

// depthLimit holds the planned depth against the qualification. Beyond it goes
// only who was set a depth within it by a leader.
func depthLimit(c *check) Finding {
	plan, ok := c.plan()
	if !ok || !c.diver.DepthLimit.valid() {
		return limitNotGiven.finding()
	}
	own := c.diver.DepthLimit
	if own.Unit != plan.Unit {
		own = own.NamedIn(plan.Unit)
	}
	set := c.diver.Set.Depth.LimitIn(plan.Unit)
	switch {
	case plan.DeeperThan(own) && !(set.Known() && !set.DeeperThan(own)):
		return limitBeyond.finding().depth(plan, own)
	case plan.DeeperThan(own.Floor()):
		f := limitSet.finding().depth(plan, own)
		f.MaxDepth = c.max
		return f
	}
	return limitWithin.finding().depth(plan, own)
}

// plan is the planned depth in the unit of the place; false without one.
func (c *check) plan() (Depth, bool) {
	d := &c.diver.Dive
	if !d.valid() || !c.policy.usable() {
		return Depth{}, false
	}
	return d.Depth.PlannedIn(d.Place.Unit), true
}
