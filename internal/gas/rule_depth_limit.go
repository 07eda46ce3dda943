package gas

// The outcomes of the rule "depth-limit": the diver's qualification, and the
// depth that the leader has set.
var (
	limitWithin   = Outcome{Rule: RuleDepthLimit, Case: "within", Severity: Pass, Source: sourceCustom}
	limitBeyond   = Outcome{Rule: RuleDepthLimit, Case: "beyond", Severity: Stop, Do: "ask-leader-depth", Source: sourceCustom}
	limitSet      = Outcome{Rule: RuleDepthLimit, Case: "set", Severity: Limits, Do: "keep-set-depth", Source: sourceCustom}
	limitNotGiven = Outcome{Rule: RuleDepthLimit, Case: "not-given", Severity: NotApplicable}
)

var depthLimitRule = rule{depthLimit, []Outcome{limitWithin, limitBeyond, limitSet, limitNotGiven}}

// depthLimit holds the depth to be dived against the qualification. A depth
// set by the leader is a limit whether or not the qualification needs it.
func depthLimit(s *subject) Finding {
	own, set := s.limitHere(s.diver.DepthLimit), s.setDepth()
	switch {
	case !s.planned || (!own.valid() && !set.valid()):
		return limitNotGiven.finding()
	case own.valid() && s.depth.DeeperThan(own):
		return limitBeyond.finding().depth(s.depth, own)
	case set.valid():
		f := limitSet.finding().depth(s.depth, set)
		f.MaxDepth = set
		return f
	}
	return limitWithin.finding().depth(s.depth, own)
}
