// Package gas is what the trade and physics say about a gas and a dive: the
// quantities, the formulas, the policy of a trip, the rules of the check and
// the verdict. It knows nothing of people, chats or stores.
//
//	Policy + Diver{Dive, Before, Cylinder{Evidence}}  --Assess-->  Verdict{Findings, Numbers, Max}
//	the same, without what was only looked at  --AssessBriefly-->  a board's Verdict
//	MOD, qualification, deepest, limits  --Max-->  the one depth that may be named to a diver
//	Samples of a trip  --FindPatterns-->  an analyser, the bank or one fill is off
//
// What is checked is one diver on one dive. Which reading counts is found before,
// by package evidence; here Evidence is only looked at.
//
// A Verdict is data with reasons: every rule yields one Finding for each
// cylinder, or one for the diver, and the worst of them decides (Verdict.Status).
// The order of what is worse is in severity.go. The sentences are made elsewhere,
// from Rule, Case and the numbers.
//
// Two conventions stand side by side and are never mixed. What the trade
// writes on a cylinder (MOD, ppO2, EAD, CNS) follows the trade's rule of 10 m
// or 33 ft to the atmosphere, see convention.go; tissues follow physics, see
// tissues.go. Limits are rounded down and plans up; whatever is shown decides,
// so that no number contradicts its verdict.
//
// It is one package because a rule, its numbers and the verdict are one thought: the
// rules share subject, which has worked out every number once, and nobody else may use
// it. Its files, in the order of thinking:
//
//   - quantities and what is known of a diver: quantity.go, reading.go, evidence.go,
//     diver.go, policy.go;
//   - the trade's and physics' formulas: convention.go, oxygen.go, humid.go, label.go,
//     no_stop.go with navy.go and tissues.go, day.go (what a dive leaves to the next);
//   - the check: assess.go, subject.go, rule.go (their names), rules.go (their order),
//     rule_*.go (one rule each), finding.go, severity.go, verdict.go;
//   - what is read off it: max.go, fitting.go (what to order),
//     recommend.go, patterns.go.
//
// A newcomer who adds a rule writes its file rule_*.go, with its outcomes, and
// puts it on one of the two lists in rules.go; then its examples into a test
// beside it and its sentences into the message catalogue, which tests ask for.
package gas
