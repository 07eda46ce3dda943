package shopapi

import (
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// addDiver books one more diver.
func (a *api) addDiver(c *call) {
	var f faults
	v, ok := c.readDocument(&f, false, typeJSON)
	if !ok {
		return
	}
	var name string
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		found := f
		p := personReader{units: t.Units, faults: &found}.person("", v, false)
		found.judgePerson(t, p)
		freeLabels(t, p, &found)
		if n := count(t, false); n >= roster.MaxDivers {
			found.add("", "would be diver %d: at most %d are accepted on a trip", n+1, roster.MaxDivers)
		}
		name = p.Name
		return conversation.Change{Add: []*roster.Person{p}}, found.err()
	})
	if !ok {
		return
	}
	if name == "" { // the same request was stored before
		name = objectAt("", v, &f).text("name")
	}
	for _, p := range slices.Backward(t.People) {
		if p.Name == name {
			c.w.Header().Set("Location", "/v1/trips/"+string(t.ID)+"/divers/"+string(p.ID))
			answer(c.w, http.StatusCreated, a.personOut(t, p, c.now))
			return
		}
	}
	refuse(c.w, http.StatusConflict, "This diver was booked by an earlier request and has been changed since.")
}

func count(t *roster.Trip, leaders bool) (n int) {
	for _, p := range t.People {
		if p.Leader == leaders && p.Left.IsZero() {
			n++
		}
	}
	return n
}

// freeLabels reports labels that a cylinder of somebody else carries.
func freeLabels(t *roster.Trip, p *roster.Person, f *faults) {
	for i, c := range p.Cylinders {
		if c.Label == "" {
			continue
		}
		for _, other := range t.Labelled(c.Label) {
			owner, _ := t.Cylinder(other.ID)
			if other.ID != c.ID && (owner == nil || owner.ID != p.ID) {
				f.add(join(element("/cylinders", i), "label"), "is %s, which cylinder %s carries: a label belongs to one cylinder of a trip", quoted(c.Label), other.ID)
			}
		}
	}
}

// diver is the person of the path.
func (c *call) diver(t *roster.Trip) (*roster.Person, error) {
	p := t.Person(roster.PersonID(c.PathValue("diver")))
	if p == nil || p.Erased {
		return nil, roster.ErrNotFound
	}
	return p, nil
}

// patchDiver changes a booked diver or leader by a merge patch. Cylinders that
// are named by id keep their readings.
func (a *api) patchDiver(c *call) {
	var f faults
	patch, ok := c.readDocument(&f, false, typeMerge, typeJSON)
	if !ok {
		return
	}
	o := objectAt("", patch, &f)
	var before []*roster.Cylinder
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		p, err := c.diver(t)
		if err != nil {
			return conversation.Change{}, err
		}
		before = copies(p.InUse())
		found := f
		change := readPersonChange(t, p, o.fields, &found)
		return conversation.Change{Update: []conversation.PersonChange{change}}, found.err()
	})
	if !ok {
		return
	}
	p, err := c.diver(t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusOK, changedPersonJSON{a.personOut(t, p, c.now), changedCylinders(before, p)})
}

// bookedJSON is the part of a person that a shop may change.
type bookedJSON struct {
	bookingJSON
	Cylinders []bookedGasJSON `json:"cylinders"`
}

type bookedGasJSON struct {
	ID    roster.CylinderID `json:"id,omitempty"`
	Label string            `json:"label,omitempty"`
	Asked gas.Percent       `json:"asked"`
	Dive  int               `json:"dive"`
	Size  string            `json:"size,omitempty"`
	Owner string            `json:"owner,omitempty"`
}

func readPersonChange(t *roster.Trip, p *roster.Person, patch map[string]any, f *faults) conversation.PersonChange {
	before := bookedJSON{bookingOut(p), []bookedGasJSON{}}
	has := map[string]bool{}
	for _, c := range p.InUse() {
		has[string(c.ID)] = true
		asked := c.Asked
		if asked == 0 {
			asked = gas.Air // an own cylinder brought at the dock: only read when the patch names it
		}
		before.Cylinders = append(before.Cylinders, bookedGasJSON{c.ID, c.Label, asked, c.Dive, c.Size, c.Owner})
	}
	in := personReader{units: t.Units, faults: f, has: has}
	now := in.person("", merge(document(before, f), patch), p.Leader)
	now.ID = p.ID
	f.judgePerson(t, now)
	freeLabels(t, now, f)
	return differences(p, now, patch)
}

// differences keeps what the patch names.
func differences(p, now *roster.Person, patch map[string]any) conversation.PersonChange {
	change := conversation.PersonChange{Person: p.ID}
	given := func(name string) bool { _, ok := patch[name]; return ok }
	if given("name") {
		change.Name = &now.Name
	}
	if given("card") {
		change.Card = &now.Card
	}
	if given("depth_limit") {
		change.DepthLimit = &now.DepthLimit
	}
	if given("team") {
		change.Team = &now.Team
	}
	if given("language") {
		change.Language = &now.Language
	}
	if given("units") {
		change.Units = &now.Units
	}
	if given("cylinders") {
		change.Cylinders = append([]*roster.Cylinder{}, now.Cylinders...)
	}
	return change
}

// removedJSON says what became of a removed diver: nobody makes a board green
// by vanishing.
type removedJSON struct {
	ID       roster.PersonID `json:"id"`
	Left     time.Time       `json:"left_at,omitzero"`
	OnBoard  bool            `json:"on_board"`      // still a line "(left)" until the leader sits them out
	Readings int             `json:"readings_kept"` // stay in the record
}

func (a *api) removeDiver(c *call) {
	t, ok := a.apply(c, func(t *roster.Trip) (conversation.Change, error) {
		p, err := c.diver(t)
		switch {
		case err != nil:
			return conversation.Change{}, err
		case !p.Left.IsZero():
			return conversation.Change{}, nil // removed before
		case p.Leader && count(t, true) == 1:
			return conversation.Change{}, &Refusal{Status: http.StatusConflict,
				Detail: "This is the trip's only leader. Nobody else could sign off."}
		}
		return conversation.Change{Remove: []roster.PersonID{p.ID}}, nil
	})
	if !ok {
		return
	}
	out := removedJSON{ID: roster.PersonID(c.PathValue("diver"))}
	if p := t.Person(out.ID); p != nil {
		out.Left, out.OnBoard = p.Left, p.Active()
		for _, cyl := range p.Cylinders {
			out.Readings += len(cyl.Readings)
		}
	}
	answer(c.w, http.StatusOK, out)
}
