package roster

import (
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// SignOff signs the current dive off and freezes the board. It is refused with
// the board entries that stand in the way (no-go or no reading), or with none
// when nobody is active or every dive is signed already.
func (t *Trip) SignOff(by PersonID, now time.Time) (refused []PersonBoard, ok bool) {
	dive := t.CurrentDive()
	if dive == 0 {
		return nil, false
	}
	board := t.Board(now)
	for _, p := range board.People {
		if p.Active && p.Status != gas.Go && p.Status != gas.GoWithLimits {
			refused = append(refused, p)
		}
	}
	if len(refused) > 0 || board.Counts.Active == 0 {
		return refused, false
	}
	t.SignOffs = append(t.SignOffs, SignOff{Dive: dive, By: by, At: now, Board: board.frozen()})
	t.followBoat()
	t.act(now, by, VerbSignOff, "", "", "dive", strconv.Itoa(dive))
	return nil, true
}

// Reopen reopens the last signed dive. It returns false when none is.
func (t *Trip) Reopen(by PersonID, reason string, now time.Time) bool {
	return t.reopen(t.lastSigned(), by, reason, now)
}

func (t *Trip) reopen(dive int, by PersonID, reason string, now time.Time) bool {
	s := t.signature(dive)
	if s == nil {
		return false
	}
	s.Reopened = &Reopened{By: by, At: now, Reason: reason}
	t.followBoat()
	t.act(now, by, VerbReopen, "", reason, "dive", strconv.Itoa(dive))
	return true
}

// news reopens dive n when it was signed off: what the leader signed is no
// longer what is known. Both versions stay in the record.
func (t *Trip) news(n int, by PersonID, verb string, now time.Time) { t.reopen(n, by, verb, now) }

// newsOfPeople is news that concerns a person and not one dive's cylinder: it
// reopens the last signed dive unless that one was dived by now.
func (t *Trip) newsOfPeople(by PersonID, verb string, now time.Time) {
	n := t.lastSigned()
	if n == 0 || len(t.Dives[n-1].Dived) > 0 || now.After(t.Ends(n)) {
		return
	}
	t.reopen(n, by, verb, now)
}

// frozen is the board as it goes into the record: without the findings that
// say only that a rule was looked at.
func (b Board) frozen() Board {
	people := make([]PersonBoard, len(b.People))
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
