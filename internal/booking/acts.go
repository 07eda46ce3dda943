package booking

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Change looks at a stored trip and says what is to change, or why not.
type Change func(*roster.Trip) (conversation.Change, error)

// announceEnds is how long before departure the evening-before message makes
// sense; see package reminders.
const announceEnds = 2 * time.Hour

// Announce sends the evening-before message now.
func Announce(now time.Time) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		if !now.Before(t.Departs.Add(-announceEnds)) {
			return conversation.Change{}, refused(http.StatusConflict, message.Say("refuse.announce", nil),
				"POST .../messages does.")
		}
		return conversation.Change{Announce: true}, nil
	}
}

// Ready says that the cylinders can be analysed from now on. Who still owes a
// reading is told, unless it is quiet hours.
func Ready(now time.Time) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		if !now.Before(t.Departs) {
			return conversation.Change{}, refused(http.StatusConflict, message.Say("refuse.ready", nil),
				"To write to everybody: POST .../messages.")
		}
		return conversation.Change{Ready: true}, nil
	}
}

// OpenInvite opens a trip's one link for a whole group anew, or shuts it.
func OpenInvite(open bool) Change {
	return func(*roster.Trip) (conversation.Change, error) { return conversation.Change{Gate: &open}, nil }
}

// longestReason bounds why a trip is called off, in characters.
const longestReason = 200

// CallOff calls a trip off: everybody is told, reminders stop, the record stays.
func CallOff(reason string, f Faults) Change {
	reason = roster.CleanName(reason)
	switch n := utf8.RuneCountInString(reason); {
	case n == 0 && len(f.List) == 0:
		f.Wrong("/reason", message.Say("fault.reason", nil))
	case n > longestReason:
		f.Wrong("/reason", tooLong(reason, longestReason))
	}
	return func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{CallOff: &reason}, f.Err()
	}
}

// PutOn takes calling off back: everybody is told, reminders go on.
func PutOn(now time.Time) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		on, course := *t, *t.Course
		course.CalledOff, on.Course = nil, &course
		if on.Over(now) {
			return conversation.Change{}, over()
		}
		return conversation.Change{PutOn: t.CalledOff != nil}, nil
	}
}

// A shop may write this much to everybody on a trip: what is said too often is
// not read, and the bot's own words about gas have to be.
const (
	longestMessage = 500 // characters
	writePerPeriod = 6   // messages to one trip
	writePeriod    = time.Hour
)

// Write passes a shop's own words on to everybody. f may hold faults that were
// found before.
func Write(text string, f Faults) Change {
	switch n := utf8.RuneCountInString(text); {
	case n > longestMessage:
		f.Wrong("/text", tooLong(text, longestMessage))
	case n == 0 && len(f.List) == 0:
		f.Wrong("/text", message.Say("fault.missing", nil))
	}
	return func(*roster.Trip) (conversation.Change, error) {
		return conversation.Change{Broadcast: text}, f.Err()
	}
}

// MayWrite takes one message from a trip's budget, or refuses with a time to
// wait. A place is free again an hour after it was taken.
func MayWrite(ctx context.Context, l roster.Limiter, trip roster.TripID, now time.Time) error {
	bucket := "write:" + string(trip)
	wait, slot, err := l.Take(ctx, bucket, writePerPeriod, writePeriod, now)
	if err == nil && wait == 0 {
		err = l.Release(ctx, bucket, slot, writePeriod, now)
	}
	if err == nil && wait > 0 {
		no := refused(http.StatusTooManyRequests, message.Say("refuse.write", nil), "Retry-After says when to go on.")
		no.After = wait
		return no
	}
	return err
}

// ChangeRequest orders another blend, as somebody typed it, for one cylinder.
func ChangeRequest(id roster.CylinderID, asked string) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		p, c := t.Cylinder(id)
		if c == nil || !c.Retired.IsZero() {
			return conversation.Change{}, roster.ErrNotFound
		}
		var f Faults
		percent, err := blend(asked)
		if err != nil {
			f.Wrong("/asked", lineOf(err))
			return conversation.Change{}, f.Err()
		}
		would := *p
		would.Cylinders = copies(p.InUse())
		for _, one := range would.Cylinders {
			if one.ID == id {
				one.Asked = percent
			}
		}
		f.JudgePerson(t, &would)
		u := conversation.PersonChange{Person: p.ID, Cylinders: would.Cylinders}
		return conversation.Change{Update: []conversation.PersonChange{u}}, f.Err()
	}
}

func copies(list []*roster.Cylinder) (out []*roster.Cylinder) {
	for _, c := range list {
		one := *c
		out = append(out, &one)
	}
	return out
}

// blend reads a blend as it is ordered: a number, with or without %, or air.
func blend(text string) (gas.Percent, error) {
	n, err := cellAsBlend(strings.TrimSpace(text))
	if err != nil {
		return 0, err
	}
	x, err := strconv.ParseFloat(n, 64)
	return gas.Percent(x), err
}

// Misfit is the rule by which a request does not fit its site or its diver, ""
// when it does.
func Misfit(t *roster.Trip, p *roster.Person, c *roster.Cylinder, now time.Time) gas.Rule {
	v := t.Preview(p.ID, c.ID, c.Asked, now)
	for _, rule := range unfit {
		for _, f := range v.Reasons() {
			if f.Rule == rule && f.Severity == gas.Stop && (f.Cylinder == string(c.ID) || f.Cylinder == "") {
				return rule
			}
		}
	}
	return ""
}

// AddPerson books one more person, as a document describes them.
func AddPerson(doc any, now time.Time) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		var f Faults
		p := ReadBooked(t, doc, now, &f)
		return conversation.Change{Add: []*roster.Person{p}}, f.Err()
	}
}

// ReadBooked reads a person whose role stands beside them, and judges them on a
// trip.
func ReadBooked(t *roster.Trip, doc any, now time.Time, f *Faults) *roster.Person {
	p := PersonReader{Units: t.Units, Faults: f, Now: now}.Booked(doc)
	f.JudgePerson(t, p)
	FreeLabels(t, p, f)
	f.Full(t, RoleOf(p))
	return p
}

// ChangePerson changes a booked person by a merge patch.
func ChangePerson(id roster.PersonID, patch map[string]any, now time.Time) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		p := t.Person(id)
		if p == nil || p.Erased {
			return conversation.Change{}, roster.ErrNotFound
		}
		var f Faults
		u := ReadPersonChange(t, p, patch, now, &f)
		return conversation.Change{Update: []conversation.PersonChange{u}}, f.Err()
	}
}

// Remove takes a person off the trip; the only leader stays.
func Remove(id roster.PersonID) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		p := t.Person(id)
		switch {
		case p == nil || p.Erased:
			return conversation.Change{}, roster.ErrNotFound
		case !p.Left.IsZero():
			return conversation.Change{}, nil // removed before
		case p.Leader && CountRole(t, RoleLeader) == 1:
			return conversation.Change{}, refused(http.StatusConflict, message.Say("refuse.only-leader", nil), "")
		}
		return conversation.Change{Remove: []roster.PersonID{id}}, nil
	}
}

// TakeBack takes the shop's own analysis back; a reading of anybody else is not
// the shop's to take back.
func TakeBack(id roster.ReadingID) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		switch _, r := t.Reading(id); {
		case r == nil:
			return conversation.Change{}, roster.ErrNotFound
		case r.Entrant != gas.ByShop:
			return conversation.Change{}, refused(http.StatusConflict, message.Say("refuse.reading", nil), "")
		}
		return conversation.Change{Undo: id}, nil
	}
}

// Ticked is a cylinder ticked off a fill list: filled, analysed by the shop, or
// both. Percent is as somebody typed it. Sure says that the analyser did show it.
type Ticked struct {
	Cylinder roster.CylinderID
	Filled   bool
	Percent  string
	Initials string
	Sure     bool
}

// Any tells whether anything was ticked.
func (t Ticked) Any() bool { return t.Filled || t.Percent != "" }

// Change is what a tick changes: a fill, and the shop's own analysis, which is
// never the diver's.
func (t Ticked) Change(now time.Time) Change {
	return func(trip *roster.Trip) (conversation.Change, error) {
		_, c := trip.Cylinder(t.Cylinder)
		if c == nil || !c.Retired.IsZero() {
			return conversation.Change{}, roster.ErrNotFound
		}
		var f Faults
		var out conversation.Change
		if t.Filled {
			out.Filled = []roster.CylinderID{t.Cylinder}
		}
		if t.Percent != "" {
			out.Reading = &conversation.ShopReading{Cylinder: t.Cylinder, Percent: t.percent(&f),
				Initials: roster.CleanName(t.Initials), At: now}
		}
		if utf8.RuneCountInString(t.Initials) > MaxInitials {
			f.Wrong("/initials", tooLong(t.Initials, MaxInitials))
		}
		return out, f.Err()
	}
}

func tooLong(text string, most int) message.Line {
	return message.Say("fault.long", message.Args{"value": message.Typed(text), "most": message.Count(most)})
}

// MaxInitials bounds the initials beside a tick.
const MaxInitials = 12

func (t Ticked) percent(f *Faults) gas.Percent {
	n, err := cellAsNumber(strings.TrimSpace(strings.TrimSuffix(t.Percent, "%")))
	x, err2 := strconv.ParseFloat(n, 64)
	if err != nil || err2 != nil {
		f.Wrong("/percent", message.Say("fault.shows", message.Args{"value": message.Typed(t.Percent)}))
		return 0
	}
	f.Likely("/percent", x, t.Sure)
	return gas.Percent(x)
}

// Likely asks back for a percentage that is no usual fill: a fraction, a pressure,
// or one mistyped. Who is sure says so.
func (f *Faults) Likely(at string, percent float64, sure bool) {
	switch {
	case percent <= 0 || percent > 100:
		f.Wrong(at, message.Say("fault.above", message.Args{"value": message.Typed(Plain(percent)),
			"least": message.Text("0"), "most": message.Text("100")}))
	case !sure && (percent < 15 || percent > 45):
		f.Wrong(at, message.Say("fault.unlikely", message.Args{"value": message.Typed(Plain(percent))}))
		f.hint("sure: true")
	}
}
