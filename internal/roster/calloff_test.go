package roster_test

import (
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// A trip that is called off is over, and on again as it was; no clearance is
// another for it, and what was signed stands.
func TestCallOff(t *testing.T) {
	d := ready()
	signOff(t, d, 1, at(40))
	before := d.Board(1, at(41)).Status
	if d.CallOff(tomasz, "wind", at(41)) || !d.CallOff(ines, "wind", at(41)) || d.CallOff(ines, "wind", at(42)) {
		t.Error("a leader calls it off, once")
	}
	next := roster.Change(d.Done())
	if !next.Over(at(43)) || !next.Signed(1, at(43)) || next.Board(1, at(43)).Status != before {
		t.Errorf("called off: over %v, signed %v, %v", next.Over(at(43)), next.Signed(1, at(43)),
			next.Board(1, at(43)).Status)
	}
	if next.PutOn(tomasz, at(44)) || !next.PutOn(ines, at(44)) || next.Over(at(45)) {
		t.Error("a leader puts it on again")
	}
}

// A dive that is dropped takes its cylinders out of use and keeps what was read.
func TestDropDive(t *testing.T) {
	d := ready()
	if d.Board(2, at(40)).Dive != 2 {
		t.Fatal("no board of dive 2")
	}
	if d.DropDive(tomasz, "late", at(40)) || !d.DropDive(ines, "late", at(40)) {
		t.Fatal("a leader drops the last dive")
	}
	if c := cylinder(t, d, "c5"); len(d.Dives) != 1 || c.Retired.IsZero() || len(c.Readings) != 1 {
		t.Errorf("%d dives, cylinder %+v", len(d.Dives), c)
	}
	if b := d.Board(2, at(41)); b.Dive != 0 || d.Board(1, at(41)).Dive != 1 {
		t.Errorf("of the dive that was dropped there is a board: %+v", b)
	}
	if d.DropDive(ines, "late", at(41)) {
		t.Error("the only dive was dropped")
	}
	next := roster.Change(d.Done())
	if b := next.Board(1, at(42)); b.Status != gas.Go && b.Status != gas.GoWithLimits {
		t.Errorf("dive 1 is %v", b.Status)
	}
}

// Leaders make leaders and crew of others, never of themselves, so that a trip
// has one.
func TestLeadersGiveRoles(t *testing.T) {
	d := ready()
	switch {
	case d.SetRole(ines, false, false, ines, at(30)):
		t.Error("the only leader went")
	case d.SetRole(tomasz, false, true, marit, at(30)):
		t.Error("a diver gave a role")
	case !d.SetRole(tomasz, true, false, ines, at(30)):
		t.Error("no second leader")
	case !d.SetRole(ines, false, true, tomasz, at(31)):
		t.Error("the other leader can't be made crew")
	case len(d.Leaders()) != 1:
		t.Errorf("%d leaders", len(d.Leaders()))
	}
}

// With a leader at hand a second person's word waits until that leader had time
// to say no.
func TestTakeOverWaits(t *testing.T) {
	d := ready()
	d.Join(ines, roster.Address{Channel: "web", ID: "x"}, "en", at(1))
	if !d.AskTakeOver(tomasz, at(30)) || !d.TakeOverDue(marit).After(at(39)) {
		t.Errorf("due at %v", d.TakeOverDue(marit))
	}
	d.Edit(ines).Unreachable = "blocked"
	if due := d.TakeOverDue(marit); !due.Equal(at(30)) {
		t.Errorf("with nobody at hand due at %v", due)
	}
	if !d.DenyTakeOver(ines, at(31)) || d.DenyTakeOver(ines, at(31)) {
		t.Error("a leader says no, once")
	}
}
