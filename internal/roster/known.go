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
	of     *Trip     // a copy of a trip shares the pointer, and starts with nothing known
	people []*Person // as they were when last looked at; see Snapshots
	plan   Trip      // of the trip itself: what a line depends on, see samePlans
	policy []string  // what of the plan's policy is not the default
	lines  []*line

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

// knows is the trip's memory.
func (t *Trip) knows() *Known {
	if t.Known == nil || t.Known.of != t {
		t.Known = &Known{of: t}
	}
	return t.Known
}

// Snapshots are the trip's people as they are now, in their order, for whoever
// remembers them: nobody ever writes to these copies or to the list. Whoever is
// as they were when this, or a board, was asked for last is the same copy as
// then (unless they have another place on the list), so that two snapshots need
// not be compared; two that are not the same copy may still be the same person.
func (t *Trip) Snapshots() []*Person {
	k := t.knows()
	k.look()
	return k.people
}

// look compares the trip's people with their copies, and makes new ones of
// those who have changed.
func (k *Known) look() {
	was, now := k.people, k.of.People
	var people []*Person // nil while all are as they were
	for i, p := range now {
		var earlier *Person
		if i < len(was) {
			earlier = was[i]
		}
		if earlier != nil && earlier.Same(p) {
			continue
		}
		if people == nil {
			people = make([]*Person, len(now))
			copy(people, was)
		}
		people[i] = p.copiedAfter(earlier)
	}
	switch {
	case people != nil:
		k.people = people
	case len(was) > len(now):
		k.people = was[:len(now):len(now)]
	}
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

// changed tells whether anybody is not as they were when last looked at;
// everybody is when the trip itself isn't. It notes who, and how they are now.
func (k *Known) changed() bool {
	k.look()
	all := !k.full || len(k.lines) != len(k.people) || !samePlans(&k.plan, k.of)
	if all {
		k.full = false
		k.plan, k.policy = copiedPlan(k.of), k.of.Policy.Changed()
		k.lines = slices.Grow(k.lines, max(0, len(k.people)-len(k.lines)))[:len(k.people)]
	}
	changed, relabelled := all, all
	for i, p := range k.people {
		l := k.lines[i]
		switch {
		case l == nil:
			l = &line{}
			k.lines[i] = l
		case l.was == p && !all:
			continue
		case !claimsTheSame(l.was, p):
			relabelled = true
		}
		l.was, l.stale, changed = p, true, true
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
	if !k.changed() && k.full && (k.dated || k.at.Equal(now)) {
		return k.board
	}
	all := k.claims == nil || !k.full || !k.dated
	if all {
		k.claims = k.of.claims()
	}
	again := !k.full
	k.full = false // until it is done: a panic on the way leaves nothing half known
	room := rooms.Get().(*room)
	defer rooms.Put(room)
	for _, l := range k.lines {
		if (l.stale || all) && l.assess(k.of, k.claims, now, room) {
			again = true
		}
	}
	k.at = now
	k.dated = !slices.ContainsFunc(k.lines, func(l *line) bool { return !l.dated })
	if again {
		k.board = k.together(room)
	}
	k.full = true
	return k.board
}

// together is the board of all lines, with what they share.
func (k *Known) together(room *room) Board {
	t := k.of
	b := Board{Dive: t.CurrentDive(), Policy: k.policy, People: slices.Grow([]PersonBoard(nil), len(k.lines))}
	room.verdicts = slices.Grow(room.verdicts[:0], len(k.lines))[:len(k.lines)]
	for i, l := range k.lines {
		l.begin(&room.verdicts[i])
	}
	b.Teams = t.teams(k.lines)
	b.Group = shareLimits(k.lines)
	for _, l := range k.lines {
		l.settle()
		b.People = append(b.People, l.board)
	}
	b.count()
	return b
}
