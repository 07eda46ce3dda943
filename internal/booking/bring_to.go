package booking

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// ReadNew reads a parsed document of a new trip.
func ReadNew(v any, base *gas.Policy, now time.Time) (*roster.Draft, error) {
	var f Faults
	t := readTrip(v, base, now, &f)
	return t, f.Err()
}

// BringTo changes a stored trip to the state of a whole document: what is not in
// it is left away, and people are the same when their names are. A person's
// cylinders are taken in their order for each dive.
func BringTo(doc map[string]any, base *gas.Policy, now time.Time) Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		var f Faults
		wanted := readTrip(forStored(t, doc, now), base, now, &f)
		if err := f.Err(); err != nil {
			return conversation.Change{}, err
		}
		change := ReadTripChange(t, planPart(t, doc), base, now, &f)
		b := bringing{t: t, change: &change, now: now, faults: &f}
		for _, p := range wanted.People {
			b.person(p)
		}
		b.removeOthers(wanted.People)
		if wanted.Gate.Open && !t.Gate.Open {
			change.Gate = &wanted.Gate.Open
		}
		return change, f.Err()
	}
}

// forStored is the document with what a stored trip may keep: a departure that
// has passed.
func forStored(t *roster.Trip, doc map[string]any, now time.Time) map[string]any {
	out := map[string]any{}
	for name, v := range doc {
		out[name] = v
	}
	if at, ok := doc["departs_at"].(string); ok {
		if to, err := time.Parse(time.RFC3339, at); err == nil && to.Equal(t.Departs) {
			out["departs_at"] = now.AddDate(0, 0, 1).UTC().Format(time.RFC3339)
		}
	}
	return out
}

// planPart are the fields of the trip itself, with nothing left out.
func planPart(t *roster.Trip, doc map[string]any) map[string]any {
	out := map[string]any{}
	for _, name := range Changeable {
		out[name] = doc[name]
	}
	if out["analysers"] == nil {
		out["analysers"] = []any{}
	}
	if at, ok := doc["departs_at"].(string); ok {
		if to, err := time.Parse(time.RFC3339, at); err == nil && to.Equal(t.Departs) {
			delete(out, "departs_at")
		}
	}
	return out
}

// bringing is a change on its way.
type bringing struct {
	t      *roster.Trip
	change *conversation.Change
	now    time.Time
	faults *Faults
}

// named is the person of a name who is on the trip, nil for none.
func (b *bringing) named(name string) *roster.Person {
	for _, p := range b.t.People {
		if !p.Erased && p.Left.IsZero() && strings.EqualFold(p.Name, name) {
			return p
		}
	}
	return nil
}

func (b *bringing) person(want *roster.Person) {
	have := b.named(want.Name)
	if have == nil {
		want.ID = "" // numbered as on another trip
		for _, c := range want.Cylinders {
			c.ID = ""
		}
		b.change.Add = append(b.change.Add, want)
		return
	}
	want.Cylinders = matched(have, want.Cylinders)
	if sameBooking(have, want) {
		return
	}
	outside := PersonOf(want).Outside
	b.change.Update = append(b.change.Update, conversation.PersonChange{Person: have.ID, Name: &want.Name,
		Card: &want.Card, DepthLimit: &want.DepthLimit,
		Team: &want.Team, Leader: &want.Leader, Crew: &want.Crew, Outside: &outside, Language: keep(want.Language),
		Units:     keep(want.Units),
		Cylinders: want.Cylinders})
}

// keep is nil for nothing: what a person chose for themself stays.
func keep(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// sameBooking tells whether a person is booked as wanted already. Language, units
// and labels that the document does not name are not wanted otherwise.
func sameBooking(have, want *roster.Person) bool {
	was, is := PersonOf(have), PersonOf(want)
	is.Language, is.Units = cmp.Or(is.Language, was.Language), cmp.Or(is.Units, was.Units)
	return was == is && RoleOf(have) == RoleOf(want) && slices.EqualFunc(have.InUse(), want.Cylinders, sameOrder)
}

func sameOrder(have, want *roster.Cylinder) bool {
	return have.ID == want.ID && (want.Label == "" || have.Label == want.Label) && have.Asked == want.Asked &&
		have.Dive == want.Dive && have.Size == want.Size && have.Owner == want.Owner
}

// matched gives wanted cylinders the ids of those that the person has: by label,
// then by their order on a dive.
func matched(have *roster.Person, want []*roster.Cylinder) []*roster.Cylinder {
	used := map[roster.CylinderID]bool{}
	take := func(w *roster.Cylinder, same func(*roster.Cylinder) bool) {
		for _, c := range have.InUse() {
			if w.ID == "" && !used[c.ID] && same(c) {
				w.ID, used[c.ID] = c.ID, true
			}
		}
	}
	out := []*roster.Cylinder{}
	for _, w := range want {
		w.ID = ""
		take(w, func(c *roster.Cylinder) bool {
			return roster.SameLabel(w.Label, c.Label) && c.Dive == w.Dive
		})
		out = append(out, w)
	}
	for _, w := range out {
		take(w, func(c *roster.Cylinder) bool { return c.Dive == w.Dive })
	}
	return out
}

// removeOthers takes off the trip who is not in the document.
func (b *bringing) removeOthers(wanted []*roster.Person) {
	for _, p := range b.t.People {
		if p.Erased || !p.Left.IsZero() {
			continue
		}
		stays := false
		for _, w := range wanted {
			stays = stays || strings.EqualFold(w.Name, p.Name)
		}
		if !stays {
			b.change.Remove = append(b.change.Remove, p.ID)
		}
	}
}
