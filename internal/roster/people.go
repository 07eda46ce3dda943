package roster

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/gas"
)

// ErasedName is what stands for a person who asked to be forgotten.
const ErasedName = "erased"

// AddPerson puts a booked person on the trip: it numbers the person and their
// cylinders and gives them an invite.
func (d *Draft) AddPerson(p *Person, by PersonID, now time.Time) {
	if p.ID == "" {
		p.ID = d.newPerson()
	}
	p.Generation = max(p.Generation, d.firstGeneration(now))
	if p.Card == "" {
		p.Card = gas.CardUnseen
	}
	p.Diver = p.Diver || (!p.Leader && !p.Crew)
	for _, c := range p.Cylinders {
		if c.ID == "" {
			c.ID = d.newCylinder()
		}
		if d.Version > 0 || d.read() {
			c.Added = d.moment(now)
		}
	}
	d.People = append(slices.Clip(d.People), p)
	d.own[p.ID] = true
	d.edits++
	d.act(now, by, VerbAdd, string(p.ID), "")
}

// firstGeneration is where the invites of a trip begin to count. The id of a trip
// with a reference follows from that, so that it may come back after the trip was
// erased: then the seconds of the clock see that no older link fits.
func (d *Draft) firstGeneration(now time.Time) int {
	if d.Ref == "" {
		return 1
	}
	return int(now.Unix())
}

// mostSpeak bounds what one person has to have settled: one button names it all.
// What is said beyond it is told to the leaders all the same.
const mostSpeak = 5

// MustSpeak records that a diver said what has to be settled with a leader, helium or
// words of alarm: not cleared until all of it is. The same words said again are no
// second matter. It returns the id of what was said.
func (d *Draft) MustSpeak(p PersonID, said Speak) string {
	person := d.Person(p)
	if person == nil {
		return ""
	}
	said.Kind = cmp.Or(said.Kind, SpeakHelium)
	for _, s := range person.Speak {
		if s.Kind == said.Kind && s.Was == said.Was {
			return s.ID
		}
	}
	if len(person.Speak) >= mostSpeak {
		return ""
	}
	said.ID = "w" + strconv.Itoa(d.moment(said.At).Nth)
	d.Edit(p).Speak = append(slices.Clip(person.Speak), said)
	d.act(said.At, cmp.Or(said.By, p), VerbSpeak, string(p), "", "was", said.Was)
	return said.ID
}

// Settled is a leader's word, other than that diver, that what they said is all right:
// of the ids given, or of all. It is false when none of it is open.
func (d *Draft) Settled(p PersonID, by PersonID, now time.Time, ids ...string) bool {
	person := d.Person(p)
	if person == nil || !d.leadsOther(by, p) {
		return false
	}
	left := slices.DeleteFunc(slices.Clone(person.Speak), func(s Speak) bool {
		return len(ids) == 0 || slices.Contains(ids, s.ID)
	})
	if len(left) == len(person.Speak) {
		return false
	}
	if len(left) == 0 {
		left = nil
	}
	d.Edit(p).Speak = left
	d.act(now, by, VerbSpeakSlip, string(p), "")
	return true
}

// SetDivedBefore records whether a person dived in the last 24 hours: "yes" or
// "no". A yes stays.
func (d *Draft) SetDivedBefore(p PersonID, answer string, now time.Time) {
	person := d.Person(p)
	if person == nil || person.DivedBefore == answer || person.DivedBefore == "yes" {
		return
	}
	d.Edit(p).DivedBefore = answer
	d.act(now, p, VerbDivedPrior, string(p), "", "answer", answer)
}

// Join records that an address opened a person's invite. Somebody who had left
// stays so until a leader brings them back, somebody erased for good.
func (d *Draft) Join(p PersonID, a Address, language string, now time.Time) {
	if person := d.Person(p); person == nil || person.Erased {
		return
	}
	person := d.Edit(p)
	person.Addresses = append(slices.DeleteFunc(person.Addresses, func(old Address) bool { return old == a }), a)
	if person.Joined.IsZero() {
		person.Joined = now
	}
	person.Unreachable = ""
	if person.Language == "" {
		person.Language = language
	}
	d.act(now, p, VerbJoin, string(p), "", "channel", a.Channel)
}

// Leave marks a person as gone, by themself, the shop, leader or crew; they stay on
// the board until sat out. It returns false for anybody else.
func (d *Draft) Leave(p PersonID, by PersonID, reason string, now time.Time) bool {
	person := d.Person(p)
	if person == nil || !d.handles(by, p) {
		return false
	}
	if !person.Left.IsZero() {
		return true
	}
	d.Edit(p).Left = now
	d.leaveQueue(p)
	d.act(now, by, VerbLeave, string(p), reason)
	return true
}

// BringBack is a leader's word, other than that person, that somebody who left is
// back.
func (d *Draft) BringBack(p PersonID, by PersonID, now time.Time) bool {
	person := d.Person(p)
	if person == nil || person.Left.IsZero() || person.Erased || !d.leadsOther(by, p) {
		return false
	}
	d.Edit(p).Left = time.Time{}
	d.act(now, by, VerbBroughtBack, string(p), "")
	return true
}

// Revoke makes every link to a person's invite worthless, the next generation
// counts, and cuts off whoever came in by it: the person has to join again.
// Readings stay.
func (d *Draft) Revoke(p PersonID, by PersonID, now time.Time) {
	if d.Person(p) == nil {
		return
	}
	d.CloseInvite(p, by, now)
	person := d.Edit(p)
	person.Addresses, person.Joined, person.Unreachable = nil, time.Time{}, ""
	d.leaveQueue(p)
}

// CloseInvite makes every link to a person's invite worthless, but lets
// whoever came in by it stay: somebody who was taken off the trip is still told
// so.
func (d *Draft) CloseInvite(p PersonID, by PersonID, now time.Time) {
	if person := d.Edit(p); person != nil {
		person.Generation++
		d.act(now, by, VerbRevoke, string(p), "")
	}
}
