package roster

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
)

// ErasedName is what stands for a person who asked to be forgotten.
const ErasedName = "erased"

// AddPerson puts a booked person on the trip: it numbers the person and their
// cylinders and gives them an invite.
func (t *Trip) AddPerson(p *Person, by PersonID, now time.Time) {
	if p.ID == "" {
		p.ID = t.newPerson()
	}
	p.Generation = max(p.Generation, 1)
	if p.Card == "" {
		p.Card = gas.CardUnseen
	}
	for _, c := range p.Cylinders {
		if c.ID == "" {
			c.ID = t.newCylinder()
		}
		if t.Version > 0 {
			c.Added = now
		}
	}
	t.People = append(t.People, p)
	if p.Active() {
		t.newsOfPeople(by, VerbAdd, now)
	}
	t.act(now, by, VerbAdd, string(p.ID), "")
}

// SetDepth limits a person's depth; the zero depth lifts the limit.
func (t *Trip) SetDepth(p PersonID, d gas.Depth, by PersonID, reason string, now time.Time) {
	person := t.Person(p)
	if person == nil || person.SetDepth == d {
		return
	}
	t.newsOfPeople(by, VerbLimit, now)
	was := person.SetDepth
	person.SetDepth, person.SetBy, person.SetWhy, person.SetAt = d, by, reason, now
	t.act(now, by, VerbLimit, string(p), reason, "was", depthText(was), "now", depthText(d))
}

// SetDepthLimit changes the depth of a person's qualification.
func (t *Trip) SetDepthLimit(p PersonID, d gas.Depth, by PersonID, now time.Time) {
	person := t.Person(p)
	if person == nil || person.DepthLimit == d {
		return
	}
	t.newsOfPeople(by, VerbLimit, now)
	was := person.DepthLimit
	person.DepthLimit = d
	t.act(now, by, VerbLimit, string(p), "", "qualification_was", depthText(was), "qualification", depthText(d))
}

// SitOut takes a person off the dive; BackIn takes that back.
func (t *Trip) SitOut(p PersonID, by PersonID, reason string, now time.Time) {
	person := t.Person(p)
	if person == nil || person.Out != nil {
		return
	}
	t.newsOfPeople(by, VerbOut, now)
	person.Out = &Out{By: by, At: now, Reason: reason}
	t.leaveQueue(p)
	t.act(now, by, VerbOut, string(p), reason)
}

// BackIn takes a sit-out back.
func (t *Trip) BackIn(p PersonID, by PersonID, reason string, now time.Time) {
	person := t.Person(p)
	if person == nil || person.Out == nil {
		return
	}
	t.newsOfPeople(by, VerbBackIn, now)
	person.Out = nil
	t.act(now, by, VerbBackIn, string(p), reason)
}

// CardSeen records that somebody saw the person's enriched-air card.
func (t *Trip) CardSeen(p PersonID, by PersonID, now time.Time) { t.SetCard(p, gas.CardSeen, by, now) }

// SetCard records what is known of a person's enriched-air qualification.
func (t *Trip) SetCard(p PersonID, card gas.Card, by PersonID, now time.Time) {
	person := t.Person(p)
	if person == nil || person.Card == card {
		return
	}
	t.newsOfPeople(by, VerbCard, now)
	was := person.Card
	person.Card = card
	t.act(now, by, VerbCard, string(p), "", "was", string(was), "now", string(card))
}

// SetDivedBefore records whether a person dived in the last 24 hours: "yes" or "no".
func (t *Trip) SetDivedBefore(p PersonID, answer string, now time.Time) {
	person := t.Person(p)
	if person == nil || person.DivedBefore == answer {
		return
	}
	t.newsOfPeople(p, VerbDivedPrior, now)
	person.DivedBefore = answer
	t.act(now, p, VerbDivedPrior, string(p), "", "answer", answer)
}

// Join records that an address opened a person's invite. Somebody who had left
// is back; somebody erased stays so.
func (t *Trip) Join(p PersonID, a Address, language string, now time.Time) {
	person := t.Person(p)
	if person == nil || person.Erased {
		return
	}
	person.Addresses = append(slices.DeleteFunc(person.Addresses, func(old Address) bool { return old == a }), a)
	if person.Joined.IsZero() {
		person.Joined = now
	}
	person.Left, person.Unreachable = time.Time{}, ""
	if person.Language == "" {
		person.Language = language
	}
	t.act(now, p, VerbJoin, string(p), "", "channel", a.Channel)
}

// Leave marks a person as gone; they stay on the board until sat out.
func (t *Trip) Leave(p PersonID, by PersonID, reason string, now time.Time) {
	person := t.Person(p)
	if person == nil || !person.Left.IsZero() {
		return
	}
	person.Left = now
	t.leaveQueue(p)
	t.act(now, by, VerbLeave, string(p), reason)
}

// Revoke makes every link to a person's invite worthless, the next generation
// counts, and cuts off whoever came in by it: the person has to join again.
// Readings stay.
func (t *Trip) Revoke(p PersonID, by PersonID, now time.Time) {
	person := t.Person(p)
	if person == nil {
		return
	}
	t.CloseInvite(p, by, now)
	person.Addresses, person.Joined, person.Unreachable = nil, time.Time{}, ""
	t.leaveQueue(p)
}

// CloseInvite makes every link to a person's invite worthless, but lets
// whoever came in by it stay: somebody who was taken off the trip is still told
// so.
func (t *Trip) CloseInvite(p PersonID, by PersonID, now time.Time) {
	if person := t.Person(p); person != nil {
		person.Generation++
		t.act(now, by, VerbRevoke, string(p), "")
	}
}

// Erase replaces a person's name and ids by "erased" and keeps anonymous
// facts; before sign-off they also count as having left.
func (t *Trip) Erase(p PersonID, now time.Time) {
	person := t.Person(p)
	if person == nil || person.Erased {
		return
	}
	t.forgetName(t.Redaction(p))
	person.Name, person.Erased = ErasedName, true
	person.Addresses, person.Language, person.Units = nil, "", ""
	person.Unreachable = ""
	person.Generation++
	if t.CurrentDive() != 0 && person.Left.IsZero() {
		person.Left = now
	}
	t.leaveQueue(p)
	t.forgetRefs(p)
	t.act(now, p, VerbErase, string(p), "")
}

// forgetName takes a name out of what was typed about the trip.
func (t *Trip) forgetName(r Redaction) {
	for _, p := range t.People {
		p.SetWhy = r.Text(p.SetWhy)
		if p.Out != nil {
			p.Out.Reason = r.Text(p.Out.Reason)
		}
		for _, c := range p.Cylinders {
			c.Label, c.Owner = r.Text(c.Label), r.Text(c.Owner)
		}
	}
	for i := range t.SignOffs {
		s := &t.SignOffs[i]
		if s.Reopened != nil {
			s.Reopened.Reason = r.Text(s.Reopened.Reason)
		}
		s.Board = s.Board.copied() // it may be shared with who was given it
		for _, pb := range s.Board.People {
			if pb.Out != nil {
				pb.Out.Reason = r.Text(pb.Out.Reason)
			}
		}
	}
	for i := range t.Acts {
		t.Acts[i].Rewrite(r.Text)
	}
}

// Rewrite changes what was typed about an act.
func (a *Act) Rewrite(text func(string) string) {
	a.Reason = text(a.Reason)
	for k, v := range a.Detail {
		a.Detail[k] = text(v)
	}
}

// forgetRefs removes the ids of a person's messages, which hold that of their
// chat. Each reading keeps a ref of its own kind, so that no two of them look
// like one message.
func (t *Trip) forgetRefs(p PersonID) {
	for r := range t.readings() {
		if r.By == p {
			r.Ref = ErasedName + " " + string(r.ID)
		}
	}
}
