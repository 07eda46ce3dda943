package gas

// The outcomes of the rule "question".
var (
	questionNone = Outcome{Rule: RuleQuestion, Case: "none", Severity: Pass}
	questionOpen = Outcome{Rule: RuleQuestion, Case: "open", Severity: Missing, Do: "answer-question",
		Source: sourceCustom}
)

var questionRule = rule{question, []Outcome{questionNone, questionOpen}}

// question stops a cylinder while a number said for it is being asked about.
func question(s *subject) Finding { return either(s.cyl.Question, &questionOpen, &questionNone) }
