package roster

import (
	"slices"
	"sync"
	"time"

	"gasmuster/internal/gas"
)

// line is what is known of one person: their verdict by itself, and their line
// of the board with what the group shares. What divers share (the limits of a
// team, and those that everybody carries) is written into the findings, so that
// whoever may be written to is copied first.
type line struct {
	was    *Person // a snapshot, of which all else was worked out
	stale  bool    // was has changed since
	memory gas.Memory
	dated  bool // the verdict is the same whenever it is asked for

	team   string
	alone  gas.Verdict  // before anything is shared; handed out, and not written to
	shares bool         // something may be written to it
	part   *gas.Verdict // that which is written to, while a board is put together

	board       PersonBoard
	own, lifted gas.Status // of the board's verdict; no reading without one, as they begin
}

// assess is one person's line, before what the group shares is known. It tells
// whether anything has changed in it.
func (l *line) assess(t *Trip, claims map[string]int, now time.Time, room *room) bool {
	p, d := l.was, &room.diver
	room.counted = t.counted(room.counted[:0], p)
	cylinders := room.counted
	t.diver(d, p, cylinders, claims)
	same := l.memory.Same(t.Policy, *d, now)
	if !same {
		l.alone = gas.AssessBriefly(t.Policy, *d, now)
	}
	l.dated, l.stale = d.Dated(), false
	shares := slices.ContainsFunc(l.alone.Findings, func(f gas.Finding) bool {
		return f.Severity == gas.Limits || f.Rule == gas.RuleTeam && p.Team != ""
	})
	board := l.board
	board.Person, board.Left, board.Out = p.ID, !p.Left.IsZero(), p.Out
	board.Active = p.Active() && (!p.Leader || len(cylinders) > 0)
	board.Owes = nil
	if board.Active && !board.Left {
		board.Owes = owes(p, *d, l.alone) // sharing settles nothing that is owed
	}
	if same && l.team == p.Team && l.shares == shares && sameLines(l.board, board) {
		return false
	}
	l.board, l.team, l.shares = board, p.Team, shares
	return true
}

// room is what a board is put together in. Nobody keeps any of it, and as many
// are made as boards are at the same moment.
type room struct {
	counted  []*Cylinder
	diver    gas.Diver
	verdicts []gas.Verdict // that are written to
}

var rooms = sync.Pool{New: func() any { return new(room) }}

// begin takes the verdict as it is before anything is shared: itself, or a copy
// in the room given when something may be written to it. That is in findings
// that limit, and those of a team; see gas.ShareLimits and gas.ApplyTeam.
func (l *line) begin(room *gas.Verdict) {
	l.part = &l.alone
	if l.shares {
		setTo(room, &l.alone)
		l.part = room
	}
}

// settle makes the line of the board. A verdict that came out as it was last
// time is the same list of findings again. Whoever left is no better than no
// reading, whatever they read before.
func (l *line) settle() {
	pb := &l.board
	if !l.asItWas() {
		pb.Verdict = l.alone
		if !sameVerdicts(&l.alone, l.part) {
			pb.Verdict = copiedVerdict(l.part)
		}
		l.own, l.lifted = pb.Verdict.Status(), pb.Verdict.StatusLifted()
	}
	l.part = nil
	pb.Own, pb.Status = l.own, l.lifted
	if pb.Left {
		pb.Own, pb.Status = worse(pb.Own, gas.NoReading), worse(pb.Status, gas.NoReading)
	}
}

// asItWas tells whether the verdict came out as it was last time. Most are the
// very list of findings, and need no comparison.
func (l *line) asItWas() bool {
	was, is := &l.board.Verdict, l.part
	if len(was.Findings) > 0 && len(is.Findings) == len(was.Findings) && &is.Findings[0] == &was.Findings[0] {
		return true
	}
	return sameVerdicts(was, is)
}

// setTo makes v a copy of w, in the room that v has.
func setTo(v, w *gas.Verdict) {
	v.Cylinders = w.Cylinders
	v.Findings = append(v.Findings[:0], w.Findings...)
	v.Numbers = append(v.Numbers[:0], w.Numbers...)
}
