package roster

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// Known is what was worked out of a trip before. One event asks for the board
// half a dozen times, and from one event to the next only one person's line
// changes; all that stays the same is taken from here.
//
// It is a memory only. Nobody tells it that something changed: before anything
// of it is used, the trip is compared with what it was then, field by field.
// That holds it: TestEveryFieldCounts changes every field of a trip and
// compares with a board computed afresh, and in all tests of this package and
// of package conversation so does every board that is asked for.
type Known struct {
	of    *Trip // a copy of a trip shares the pointer, and starts with nothing known
	plan  Trip  // of the trip itself: what a line depends on, see samePlans
	lines []*line

	claims map[string]int
	board  Board
	at     time.Time // of the board; counts when dated is false
	dated  bool
	full   bool // there is a board

	samples, fresh []gas.Sample // what patterns were found in; room for those of now
	patterns       []gas.Pattern

	head head
}

// Equal makes go-cmp pass over what trips remember: it says nothing of a trip.
func (*Known) Equal(*Known) bool { return true }

// line is what is known of one person.
type line struct {
	was    *Person
	memory gas.Memory
	group  group
	board  PersonBoard // Owes, and the verdict with what the group shares
	dated  bool        // the verdict is the same whenever it is asked for
}

// knows is the trip's memory.
func (t *Trip) knows() *Known {
	if t.Known == nil || t.Known.of != t {
		t.Known = &Known{of: t}
	}
	return t.Known
}

// samePlans tells whether two trips are the same in all that a person's line
// depends on beside the people.
func samePlans(t, u *Trip) bool {
	return t.Units == u.Units && t.Departs == u.Departs && t.Policy == u.Policy && t.Air == u.Air && t.BoatOpen == u.BoatOpen &&
		sameListFunc(t.Dives, u.Dives, sameDives) && slices.EqualFunc(t.SignOffs, u.SignOffs, sameSignatures)
}

// sameSignatures tells whether two sign-offs are the same to a board: of which
// dive, whether it stands, and who went. Comparing all that was signed would
// cost more than all else here.
func sameSignatures(s, z SignOff) bool {
	if s.Dive != z.Dive || (s.Reopened == nil) != (z.Reopened == nil) || len(s.Board.People) != len(z.Board.People) {
		return false
	}
	for i := range s.Board.People {
		p, q := &s.Board.People[i], &z.Board.People[i]
		if p.Person != q.Person || p.Active != q.Active || (p.Out == nil) != (q.Out == nil) {
			return false
		}
	}
	return true
}

func copiedSignatures(signed []SignOff) []SignOff {
	c := make([]SignOff, len(signed))
	for i, s := range signed {
		c[i] = SignOff{Dive: s.Dive, Reopened: copyOr(s.Reopened), Board: Board{People: make([]PersonBoard, len(s.Board.People))}}
		for n, p := range s.Board.People {
			c[i].Board.People[n] = PersonBoard{Person: p.Person, Active: p.Active, Out: copyOr(p.Out)}
		}
	}
	return c
}

func copiedPlan(t *Trip) Trip {
	return Trip{Units: t.Units, Departs: t.Departs, Policy: t.Policy, Air: t.Air, BoatOpen: t.BoatOpen,
		Dives: copiedDives(t.Dives), SignOffs: copiedSignatures(t.SignOffs)}
}

// changed are the people who are not as they were when last looked at; all of
// them when the trip itself isn't. It notes how they are now.
func (k *Known) changed() []int {
	t := k.of
	all := !k.full || len(k.lines) != len(t.People) || !samePlans(&k.plan, t)
	if all {
		k.full = false
		k.plan = copiedPlan(t)
		k.lines = slices.Grow(k.lines, max(0, len(t.People)-len(k.lines)))[:len(t.People)]
	}
	relabelled := all
	var changed []int
	for i, p := range t.People {
		l := k.lines[i]
		switch {
		case l == nil:
			k.lines[i] = &line{was: p.Copied()}
		case !l.was.Same(p):
			relabelled = relabelled || !claimsTheSame(l.was, p)
			l.was = p.Copied()
		case !all:
			continue
		}
		changed = append(changed, i)
	}
	if relabelled {
		k.claims = nil
	}
	return changed
}

// claimsTheSame tells whether a person claims the same cylinders as before, all
// else in the trip being the same.
func claimsTheSame(was, now *Person) bool {
	return (was.Out == nil) == (now.Out == nil) && slices.EqualFunc(was.Cylinders, now.Cylinders, func(c, d *Cylinder) bool {
		return c.Label == d.Label && c.Dive == d.Dive && c.Retired == d.Retired
	})
}

// now is the board, from memory where it can be.
func (k *Known) now(now time.Time) Board {
	k.of.Known = nil // until it is done: a panic on the way leaves nothing half known
	defer func() { k.of.Known = k }()
	changed := k.changed()
	if len(changed) == 0 && k.full && (k.dated || k.at.Equal(now)) {
		return k.board
	}
	if k.claims == nil || !k.full || !k.dated {
		k.claims = k.of.claims()
		changed = everybody(len(k.lines))
	}
	k.full = false // until it is done: a panic on the way leaves nothing half known
	for _, i := range changed {
		k.lines[i].assess(k.of, k.of.People[i], k.claims, now)
	}
	k.at = now
	k.dated = !slices.ContainsFunc(k.lines, func(l *line) bool { return !l.dated })
	k.board = k.together()
	k.full = true
	return k.board
}

func everybody(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// together is the board of all lines, with what they share.
func (k *Known) together() Board {
	t := k.of
	b := Board{Dive: t.CurrentDive(), Policy: t.Policy.Changed(), People: slices.Grow([]PersonBoard(nil), len(k.lines))}
	groups := make([]*group, len(k.lines))
	for i, l := range k.lines {
		groups[i] = &l.group
		groups[i].begin()
	}
	b.Teams = t.teams(groups)
	b.Group = shareLimits(groups)
	for _, l := range k.lines {
		l.settle()
		b.People = append(b.People, l.board)
	}
	b.count()
	return b
}

// assess is one person's line, before what the group shares is known.
func (l *line) assess(t *Trip, p *Person, claims map[string]int, now time.Time) {
	cylinders := t.counted(p)
	d := t.diver(p, cylinders, claims)
	if !l.memory.Same(t.Policy, d, now) {
		l.group = newGroup(gas.Assess(t.Policy, d, now))
	}
	l.dated = d.Dated()
	l.board.Person, l.board.Left, l.board.Out = p.ID, !p.Left.IsZero(), p.Out
	l.board.Active = p.Active() && (!p.Leader || len(cylinders) > 0)
	l.board.Owes = nil
	if l.board.Active && !l.board.Left {
		l.board.Owes = owes(p, d, l.group.shown) // sharing settles nothing that is owed
	}
	l.group.person, l.group.team, l.group.active = p.ID, p.Team, l.board.Active
}

// settle makes the statuses of one line. Whoever left is no better than no
// reading, whatever they read before.
func (l *line) settle() {
	pb := &l.board
	pb.Verdict, pb.Own, pb.Status = l.group.settled()
	if pb.Left {
		pb.Own, pb.Status = worse(pb.Own, gas.NoReading), worse(pb.Status, gas.NoReading)
	}
}
