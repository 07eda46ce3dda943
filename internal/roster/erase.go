package roster

import (
	"slices"
	"time"
)

// Erase replaces a person's name and ids by "erased" and keeps anonymous
// facts; they also count as having left.
func (d *Draft) Erase(p PersonID, now time.Time) {
	if person := d.Person(p); person == nil || person.Erased {
		return
	}
	d.forgetName(d.Redaction(p))
	person := d.Edit(p)
	person.Name, person.Erased = ErasedName, true
	person.Addresses, person.Language, person.Units = nil, "", ""
	person.Unreachable = ""
	person.Generation++
	if person.Left.IsZero() {
		person.Left = now
	}
	d.leaveQueue(p)
	d.forgetRefs(p)
	d.act(now, p, VerbErase, string(p), "")
}

// forgetName takes a name out of what was typed about the trip.
func (d *Draft) forgetName(r Redaction) {
	for _, p := range d.People {
		d.forgetNameOf(p, r)
	}
	if limits, changed := wordsWithout(d.Teams, r, whyOf); changed {
		d.EditPlan().Teams = limits
	}
	for i, s := range d.SignOffs {
		if s.Withdrawn != nil && r.Text(s.Withdrawn.Reason) != s.Withdrawn.Reason {
			again := *s.Withdrawn
			again.Reason = r.Text(again.Reason)
			d.EditCourse().SignOffs[i].Withdrawn = &again
		}
		if b, changed := s.Board.without(r); changed {
			d.EditCourse().SignOffs[i].Board = seal(b)
		}
	}
	for i := range d.Acts {
		d.Acts[i].Rewrite(r.Text)
	}
}

func (d *Draft) forgetNameOf(p *Person, r Redaction) {
	if limits, changed := wordsWithout(p.Limits, r, whyOf); changed {
		d.Edit(p.ID).Limits = limits
	}
	if limits, changed := wordsWithout(p.Held, r, whyOf); changed {
		d.Edit(p.ID).Held = limits
	}
	if said, changed := wordsWithout(p.Speak, r, saidOf); changed {
		d.Edit(p.ID).Speak = said
	}
	if outs, changed := wordsWithout(p.Outs, r, reasonOf); changed {
		d.Edit(p.ID).Outs = outs
	}
	if outs, changed := wordsWithout(p.Outsides, r, reasonOf); changed {
		d.Edit(p.ID).Outsides = outs
	}
	for _, c := range p.Cylinders {
		if label, owner := r.Text(c.Label), r.Text(c.Owner); label != c.Label || owner != c.Owner {
			cylinder := d.EditCylinder(c.ID)
			cylinder.Label, cylinder.Owner = label, owner
		}
		for i, l := range c.Labels {
			if r.Text(l.Label) != l.Label {
				d.EditCylinder(c.ID).Labels[i].Label = r.Text(l.Label)
			}
		}
		for i, q := range c.Questions {
			if r.Text(q.Was) != q.Was {
				d.EditCylinder(c.ID).Questions[i].Was = r.Text(q.Was)
			}
		}
	}
}

// wordsWithout is a list without a name in the words of its members; false when none had it.
func wordsWithout[T any](list []T, r Redaction, words func(*T) *string) (_ []T, changed bool) {
	list = slices.Clone(list)
	for i := range list {
		w := words(&list[i])
		is := r.Text(*w)
		changed = changed || is != *w
		*w = is
	}
	return list, changed
}

func whyOf(l *Limit) *string { return &l.Why }

func saidOf(s *Speak) *string { return &s.Was }

func reasonOf(o *Out) *string { return &o.Reason }

// without is the sit-out without a name in its reason: itself, when there is none.
func (o *Out) without(r Redaction) *Out {
	if o == nil || r.Text(o.Reason) == o.Reason {
		return o
	}
	is := *o
	is.Reason = r.Text(o.Reason)
	return &is
}

// without is the board without a name in what was typed, and whether there was any.
func (b Board) without(r Redaction) (_ Board, changed bool) {
	people := slices.Clone(b.People)
	for i := range people {
		out, outside := people[i].Out.without(r), people[i].Outside.without(r)
		changed = changed || out != people[i].Out || outside != people[i].Outside
		people[i].Out, people[i].Outside = out, outside
	}
	b.People = people
	return b, changed
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
func (d *Draft) forgetRefs(p PersonID) {
	for r := range d.readings() {
		if r.By == p {
			_, reading := d.EditReading(r.ID)
			reading.Ref = ErasedName + " " + string(r.ID)
		}
	}
}
