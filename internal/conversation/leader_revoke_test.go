package conversation

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
)

// door is what opens the door to somebody.
type door struct {
	Generation int
	Joined     bool
	Addresses  int
}

func (d *desk) door(p roster.PersonID) door {
	who := d.trip.Person(p)
	return door{who.Generation, !who.Joined.IsZero(), len(who.Addresses)}
}

// Somebody who came in is asked about first; the yes replaces the link, cuts
// the phone off, keeps the readings and is noted with who did it.
func TestRevokeCutsAPhoneOffOnceAskedFor(t *testing.T) {
	for name, yes := range map[string]func(*desk){
		"pressed": func(d *desk) { d.presses("lrevoke p2 1") },
		"typed":   func(d *desk) { d.types("yes") },
	} {
		t.Run(name, func(t *testing.T) {
			d := newDesk(t)
			d.types("/for Tomasz 17 32.4 A")
			d.acts()
			before := d.door("p2")
			d.types("/revoke Tomasz")
			if got := d.door("p2"); got != before || d.acts() != nil {
				t.Fatalf("the question alone made %+v of %+v", got, before)
			}
			yes(d)
			if got, want := d.door("p2"), (door{Generation: 2}); got != want {
				t.Errorf("door %+v, want %+v", got, want)
			}
			if n := len(d.trip.Evidence(d.trip.Person("p2").Cylinders[0].ID, d.now).Counting); n != 1 {
				t.Errorf("%d readings count, want 1", n)
			}
			acts := d.last.Acts
			if len(acts) != 1 || acts[0].Verb != roster.VerbRevoke || acts[0].By != inês || acts[0].On != "p2" {
				t.Errorf("noted %+v, want one revoke by the leader", acts)
			}
		})
	}
}

// Somebody who never came in gets the new link at once.
func TestRevokeOfAnInviteThatNobodyOpened(t *testing.T) {
	d := newDesk(t)
	d.change(func(trip *roster.Draft) {
		p := trip.Edit("p2")
		p.Joined, p.Addresses = time.Time{}, nil
	})
	got := d.types("/revoke tom")
	if !strings.Contains(got, "https://charter.example/page/p2/2") ||
		!strings.Contains(got, "https://charter.example/chat/p2/2") {
		t.Errorf("no new links in %q", got)
	}
	if strings.Contains(got, "phone that used it") || d.session.State != Idle {
		t.Errorf("asked, or spoke of a phone, in state %q: %q", d.session.State, got)
	}
}

// A no, another word, a stale or forged button change nothing.
func TestRevokeNeedsAYesOfItsOwn(t *testing.T) {
	for name, does := range map[string]func(*desk){
		"no pressed":           func(d *desk) { d.presses("lnotrevoked") },
		"no typed":             func(d *desk) { d.types("no") },
		"something else":       func(d *desk) { d.types("hello") },
		"another command":      func(d *desk) { d.types("/board") },
		"an older link's yes":  func(d *desk) { d.presses("lrevoke p2 0") },
		"a later link's yes":   func(d *desk) { d.presses("lrevoke p2 2") },
		"nobody's yes":         func(d *desk) { d.presses("lrevoke p99 1") },
		"a yes without a link": func(d *desk) { d.presses("lrevoke p2") },
		"a broken yes":         func(d *desk) { d.presses("lrevoke p2 x") },
	} {
		t.Run(name, func(t *testing.T) {
			d := newDesk(t)
			before := d.door("p2")
			d.types("/revoke Tomasz")
			does(d)
			if diff := cmp.Diff(before, d.door("p2")); diff != "" {
				t.Errorf("the link changed:\n%s", diff)
			}
		})
	}
}

// No leader locks themselves out, so that the trip keeps one: by no way of
// naming oneself, whoever else leads.
func TestALeaderKeepsTheirOwnLink(t *testing.T) {
	d := newDesk(t)
	before := d.door(inês)
	for _, text := range []string{"/revoke Inês", "/revoke @p1", "/revoke ines"} {
		if got := d.types(text); !strings.Contains(got, "lock yourself out") {
			t.Errorf("%s: %q", text, got)
		}
	}
	d.types("/revoke")
	if got := d.types("INÊS"); !strings.Contains(got, "lock yourself out") {
		t.Errorf("named when asked: %q", got)
	}
	d.presses("lrevoke p1 1")
	if got := d.door(inês); got != before {
		t.Errorf("door %+v, want %+v", got, before)
	}
}

// Of two leaders each can replace the other's link, and the one who did stays.
func TestOneOfTwoLeadersStays(t *testing.T) {
	d := newDesk(t)
	d.change(func(trip *roster.Draft) { trip.Edit("p2").Leader = true })
	if got := d.types("/revoke Tomasz"); !strings.Contains(got, "a leader too") {
		t.Errorf("it is not said that a leader goes: %q", got)
	}
	d.presses("lrevoke p2 1")
	if got := d.door("p2"); got.Joined || got.Addresses != 0 {
		t.Errorf("the other leader's door %+v, want it closed", got)
	}
	if got := d.door(inês); !got.Joined || got.Addresses == 0 {
		t.Errorf("the acting leader's door %+v, want it open", got)
	}
}

// Who has left or was erased, and a trip that is over, have no link to replace,
// also when that happened after the question.
func TestRevokeComesTooLate(t *testing.T) {
	for name, happens := range map[string]func(*desk){
		"left":   func(d *desk) { d.change(func(trip *roster.Draft) { trip.Leave("p2", "p2", "not diving", d.now) }) },
		"over":   func(d *desk) { d.now = d.trip.Departs.Add(72 * time.Hour) },
		"erased": func(d *desk) { d.change(func(trip *roster.Draft) { trip.Erase("p2", d.now) }) },
	} {
		t.Run(name, func(t *testing.T) {
			d := newDesk(t)
			d.types("/revoke Tomasz")
			happens(d)
			before := d.door("p2")
			if got := d.presses("lrevoke p2 1"); got == "" || strings.Contains(got, "https://") {
				t.Errorf("answered %q, want a refusal", got)
			}
			if got := d.types("/revoke Tomasz"); strings.Contains(got, "https://") {
				t.Errorf("a link was handed out: %q", got)
			}
			if got := d.door("p2"); got != before {
				t.Errorf("door %+v, want %+v", got, before)
			}
		})
	}
}

// The other leaders hear of it; the links go to nobody but who asked.
func TestOnlyWhoAskedGetsTheLink(t *testing.T) {
	d := newDesk(t)
	other := d.trip.People[2]
	d.change(func(trip *roster.Draft) { trip.Edit(other.ID).Leader = true })
	d.types("/revoke Tomasz")
	d.presses("lrevoke p2 1")
	heard := map[roster.PersonID]string{}
	for _, l := range d.last.Letters {
		heard[l.Person] += english(l.Message)
	}
	if len(heard) != 2 || !strings.Contains(heard[other.ID], "Inês gave Tomasz a new link") ||
		strings.Contains(heard[other.ID], "https://") {
		t.Errorf("heard: %q", heard)
	}
}

// The board offers a new link for everybody who can have one.
func TestTheBoardOffersNewLinks(t *testing.T) {
	d := newDesk(t)
	gone := d.trip.People[2]
	d.change(func(trip *roster.Draft) {
		trip.Leave(gone.ID, gone.ID, "not diving", d.now)
		trip.Edit(inês).Cylinders = []*roster.Cylinder{{ID: "c90", Asked: 32, Dive: 1}} // the leader dives too
	})
	got := map[string]bool{}
	for _, p := range ViewBoard(d.trip, inês, 1, d.now).People {
		got[p.Name.S] = p.Relink
	}
	want := map[string]bool{"Inês": false, "Tomasz": true, "Ana Maria": false, "Ana Paula": true, "Kenji": true}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}
