package roster

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// lapse is how long after the planned start, or after it was given, a signature
// stands for a dive that nobody said was dived.
const lapse = 3 * time.Hour

// Why is why a sign-off is refused.
type Why string

// The reasons.
const (
	WhyNoGo       Why = "no-go"
	WhyNotCleared Why = "not-cleared"
	WhyNobody     Why = "nobody-dives"
	WhyBoatCheck  Why = "boat-check-not-opened"
	WhyStartMoved Why = "boat-check-before-start-moved"
	WhyDived      Why = "already-dived"
	WhyLaterDived Why = "later-dive-dived" // what was breathed on it is worked out for no dive before
	WhyNotALeader Why = "not-a-leader"
)

// Refusal is one reason why a dive can't be signed, with whom it concerns.
type Refusal struct {
	Why    Why
	People []PersonID
}

// Refusals are the reasons why somebody could not sign dive n now; none when
// they could.
func (d *Draft) Refusals(n int, by PersonID, now time.Time) []Refusal {
	dive := d.Dive(n)
	if dive == nil {
		return []Refusal{{Why: WhyNobody}}
	}
	var refused []Refusal
	if !d.leads(by) {
		refused = append(refused, Refusal{Why: WhyNotALeader})
	}
	if d.WasDived(n) {
		return append(refused, Refusal{Why: WhyDived})
	}
	refused = append(refused, d.Board(n, now).refusals()...)
	for later := n + 1; later <= len(d.Dives); later++ {
		if d.WasDived(later) {
			refused = append(refused, Refusal{Why: WhyLaterDived})
			break
		}
	}
	switch boat := dive.Boat; {
	case len(boat) == 0:
		refused = append(refused, Refusal{Why: WhyBoatCheck})
	case d.Starts(n).Sub(boat[len(boat)-1].Start) > startTolerance:
		refused = append(refused, Refusal{Why: WhyStartMoved})
	}
	return refused
}

// refusals are what stands in the way on a board.
func (b Board) refusals() []Refusal {
	var noGo, notCleared []PersonID
	for i := range b.People {
		switch c := &b.People[i]; {
		case !c.Active || c.Goes():
		case c.Status == gas.NoGo:
			noGo = append(noGo, c.Person)
		default:
			notCleared = append(notCleared, c.Person)
		}
	}
	var refused []Refusal
	if len(noGo) > 0 {
		refused = append(refused, Refusal{WhyNoGo, noGo})
	}
	if len(notCleared) > 0 {
		refused = append(refused, Refusal{WhyNotCleared, notCleared})
	}
	if b.Counts.Active == 0 {
		refused = append(refused, Refusal{Why: WhyNobody})
	}
	return refused
}

// SignOff signs dive n: it keeps the facts and the board. It is refused with all
// that stands in the way.
func (d *Draft) SignOff(n int, by PersonID, now time.Time) (refused []Refusal, ok bool) {
	if refused = d.Refusals(n, by, now); len(refused) > 0 {
		return refused, false
	}
	s := SignOff{ID: d.number("s"), Dive: n, By: by, At: now, Lapses: later(d.Starts(n), now).Add(lapse),
		Facts: d.FactsOf(n, now), Board: seal(d.Board(n, now).frozen())}
	course := d.EditCourse()
	course.SignOffs = append(course.SignOffs, s)
	d.act(now, by, VerbSignOff, "", "", "dive", strconv.Itoa(n))
	return nil, true
}

// Withdraw takes the signature of dive n back by hand. It returns false when
// none stands, or the dive was dived, which keeps its signature.
func (d *Draft) Withdraw(n int, by PersonID, reason string, now time.Time) bool {
	if !d.leads(by) || !d.Signed(n, now) || d.WasDived(n) {
		return false
	}
	d.EditCourse()
	d.Signature(n).Withdrawn = &Reopened{By: by, At: now, Reason: reason}
	d.act(now, by, VerbWithdraw, "", reason, "dive", strconv.Itoa(n))
	return true
}

// Signature is the last signature of dive n, whatever became of it; nil when
// there is none.
func (t *Trip) Signature(n int) *SignOff {
	for i := range slices.Backward(t.SignOffs) {
		if s := &t.SignOffs[i]; s.Dive == n {
			return s
		}
	}
	return nil
}

// StandingState is where a signature stands.
type StandingState string

// The states of a signature.
const (
	StandsStanding  StandingState = "standing"
	StandsBroken    StandingState = "broken"
	StandsLapsed    StandingState = "lapsed"
	StandsWithdrawn StandingState = "withdrawn"
)

// Standing is where a signature stands, and what broke it.
type Standing struct {
	State   StandingState
	Differs *Broken // when broken
}

// Standing tells whether a signature stands: not withdrawn, the facts the same
// at every change that was stored, and not lapsed, which a dive that was dived
// is not.
func (t *Trip) Standing(s *SignOff, now time.Time) Standing {
	switch {
	case s.Withdrawn != nil:
		return Standing{State: StandsWithdrawn}
	case s.Broken != nil:
		return Standing{State: StandsBroken, Differs: s.Broken}
	case !t.WasDived(s.Dive) && now.After(s.Lapses):
		return Standing{State: StandsLapsed}
	}
	return Standing{State: StandsStanding}
}

// Standing is where a signature stands with all that the draft has changed, also
// before it is written down that it broke.
func (d *Draft) Standing(s *SignOff, now time.Time) Standing {
	standing := d.Trip.Standing(s, now)
	if standing.State != StandsStanding || d.edits == d.compared || d.WasDived(s.Dive) {
		return standing
	}
	if b := s.Facts.Differs(d.FactsOf(s.Dive, s.At)); b != nil {
		return Standing{State: StandsBroken, Differs: b}
	}
	return standing
}

// Signed tells whether a signature under dive n stands, with all that the draft
// has changed.
func (d *Draft) Signed(n int, now time.Time) bool {
	s := d.Signature(n)
	return s != nil && d.Standing(s, now).State == StandsStanding
}

// DefaultDive is that of the trip, with all that the draft has changed.
func (d *Draft) DefaultDive(now time.Time) int {
	for n := 1; n <= len(d.Dives); n++ {
		if !d.Signed(n, now) && d.Dives[n-1].Outcome == nil {
			return n
		}
	}
	return 0
}

// Signed tells whether a signature under dive n stands.
func (t *Trip) Signed(n int, now time.Time) bool {
	s := t.Signature(n)
	return s != nil && t.Standing(s, now).State == StandsStanding
}

// Breaks compares every signature with what is now, as of the moment it was
// given, and breaks those whose facts differ: once, for good. A dive that was
// dived keeps its signature. It returns those that broke.
func (d *Draft) Breaks(now time.Time) []SignOff {
	if d.People == nil || len(d.SignOffs) == 0 || d.compared == d.edits {
		return nil
	}
	var broke []SignOff
	for i := range d.SignOffs {
		s := &d.SignOffs[i]
		if s.Withdrawn != nil || s.Broken != nil || d.WasDived(s.Dive) {
			continue
		}
		b := s.Facts.Differs(d.FactsOf(s.Dive, s.At))
		if b == nil {
			continue
		}
		b.At, b.By = now, d.lastBy()
		d.EditCourse()
		d.SignOffs[i].Broken = b
		broke = append(broke, d.SignOffs[i])
		d.act(now, b.By, VerbBroken, string(b.Person), "", "dive", strconv.Itoa(s.Dive), "what", b.What, "was", b.Was, "now",
			b.Now)
	}
	d.compared = d.edits
	return broke
}

// lastBy is who did the last act.
func (d *Draft) lastBy() PersonID {
	if n := len(d.Acts); n > 0 {
		return d.Acts[n-1].By
	}
	return ""
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// frozen is the board as it goes into the record: without the findings that
// say only that a rule was looked at.
func (b Board) frozen() Board {
	people := make([]Clearance, len(b.People))
	for i, p := range b.People {
		var kept []gas.Finding
		for _, f := range p.Verdict.Findings {
			if f.Rule == gas.RuleDepth || (f.Severity != gas.Pass && f.Severity != gas.NotApplicable) {
				kept = append(kept, f)
			}
		}
		p.Verdict.Findings = kept
		people[i] = p
	}
	b.People = people
	return b
}
