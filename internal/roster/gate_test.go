package roster_test

import (
	"errors"
	"fmt"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func account(n int) roster.Newcomer {
	id := fmt.Sprint(n)
	return roster.Newcomer{Name: "Aoife " + id, Card: gas.CardUnseen, Asked: []gas.Percent{32, 0}, Label: "40" + id,
		DepthLimit: gas.M(30),
		Address:    roster.Address{Channel: "telegram", ID: id}, From: "a" + id}
}

// opened is the charter with its open invite open.
func opened() *roster.Draft {
	d := ready()
	d.OpenGate(ines, at(20))
	return d
}

func knocks(t *testing.T, d *roster.Draft, n roster.Newcomer) string {
	t.Helper()
	id, err := d.Knock(n, at(21))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// Who is let in is on the trip with what they said, and can be written to; the
// card counts as seen only when leader or crew saw it.
func TestLetIn(t *testing.T) {
	for _, seen := range []bool{true, false} {
		d := opened()
		id := knocks(t, d, account(1))
		if p := d.LetIn(id, true, marit, at(22)); p != nil {
			t.Fatal("a diver let somebody in")
		}
		p := d.LetIn(id, seen, ines, at(22))
		if p == nil || p.Name != "Aoife 1" || !p.Diver || (p.Card == gas.CardSeen) != seen || p.DepthLimit != gas.M(30) ||
			p.Joined.IsZero() {
			t.Fatalf("let in: %+v", p)
		}
		if len(p.Cylinders) != 1 || p.Cylinders[0].Dive != 1 || p.Cylinders[0].Asked != 32 || p.Cylinders[0].Label != "401" {
			t.Errorf("cylinders: %+v", p.Cylinders)
		}
		if got, ok := d.Answered(id); !ok || got.Person != p.ID || d.Newcomer(id) != nil {
			t.Errorf("answered: %+v %v", got, ok)
		}
		if again := d.LetIn(id, seen, ines, at(23)); again != nil {
			t.Error("let in twice")
		}
	}
}

// Who needs no cylinder comes along without diving, and is in nobody's way.
func TestComesAlongWithoutDiving(t *testing.T) {
	d := opened()
	n := account(1)
	n.Asked = []gas.Percent{0, 0}
	p := d.LetIn(knocks(t, d, n), false, ines, at(22))
	if b := d.Board(1, at(23)); p == nil || p.Dives() || b.Of(p.ID) != nil && b.Of(p.ID).Active {
		t.Errorf("%+v", p)
	}
}

// However many come, so many wait; a refused account does not come back, nor
// does anybody from a place that was refused twice, unless somebody belongs there.
func TestTheGateIsBounded(t *testing.T) {
	d := opened()
	for n := range 10000 {
		_, err := d.Knock(account(n), at(21))
		if full := n >= roster.MaxWaiting; errors.Is(err, roster.ErrGateFull) != full {
			t.Fatalf("number %d: %v", n, err)
		}
	}
	if n := len(d.Gate.Waiting); n != roster.MaxWaiting {
		t.Fatalf("%d wait", n)
	}
	first := d.Gate.Waiting[0]
	if !d.Refuse(first.ID, ines, at(22)) || d.Refuse(first.ID, ines, at(22)) {
		t.Error("refused once is refused")
	}
	if _, err := d.Knock(account(0), at(23)); !errors.Is(err, roster.ErrGateRefused) {
		t.Errorf("back again: %v", err)
	}
}

func TestAPlaceThatWasRefused(t *testing.T) {
	page := roster.Newcomer{Name: "Rui", Card: gas.CardNone, Asked: []gas.Percent{21}, From: "wifi"}
	d := opened()
	for range 2 {
		d.Refuse(knocks(t, d, page), ines, at(22))
	}
	if _, err := d.Knock(page, at(23)); !errors.Is(err, roster.ErrGateRefused) {
		t.Errorf("after two refusals: %v", err)
	}
	d = opened()
	if d.LetIn(knocks(t, d, page), false, ines, at(22)) == nil {
		t.Fatal("not let in")
	}
	for range 2 {
		d.Refuse(knocks(t, d, page), ines, at(22))
	}
	knocks(t, d, page) // the boat's own network
}

// Saying it again from one account changes what one said.
func TestWhoWaitsSaysItAgain(t *testing.T) {
	d := opened()
	n := account(1)
	id := knocks(t, d, n)
	n.Name = "Aoife B"
	if again := knocks(t, d, n); again != id || d.Newcomer(id).Name != "Aoife B" || len(d.Gate.Waiting) != 1 {
		t.Errorf("%s then %s: %+v", id, again, d.Gate.Waiting)
	}
}

// The invite shuts by itself with the last dive, and a new link is another one.
func TestTheGateShuts(t *testing.T) {
	d := opened()
	if !d.GateOpen(at(30)) {
		t.Fatal("not open")
	}
	d.CallOff(ines, "wind", at(31))
	if _, err := d.Knock(account(1), at(32)); !errors.Is(err, roster.ErrGateShut) {
		t.Errorf("called off: %v", err)
	}
	d.PutOn(ines, at(33))
	was := d.Gate.Generation
	d.OpenGate("", at(34))
	if d.Gate.Generation == was {
		t.Error("the old link holds on")
	}
	signOff(t, d, 1, at(40))
	if !d.GateOpen(at(41)) {
		t.Error("shut before the last dive")
	}
	d.SetNotDived(2, ines, at(42))
	if d.GateOpen(at(43)) {
		t.Error("open after the last dive")
	}
	if d.ShutGate(tomasz, at(44)) || !d.ShutGate(ines, at(44)) {
		t.Error("a leader shuts it")
	}
}
