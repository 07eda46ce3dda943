package desk

import (
	"strconv"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
)

// personPage is the form about one person, and their invite.
type personPage struct {
	formPage
	Trip, ID, Name string
	Page, Chat     string // the links that let them in
	State          string
	Gone, New      bool
	Cylinders      int // rows
	Readings       []readingView
}

// readingView is an analysis of the shop's own, which it may take back.
type readingView struct{ ID, Text string }

var personFields = []string{"name", "card", "depth_limit", "team", "language", "units", "outside"}

// who is the person of the path; it answers itself when it returns false.
func (d *Desk) who(v *visit, t *roster.Trip) (*roster.Person, bool) {
	p := t.Person(roster.PersonID(v.PathValue("person")))
	if p == nil || p.Erased {
		d.nothing(v.w, v.Request)
		return nil, false
	}
	return p, true
}

func (d *Desk) person(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	if p, ok := d.who(v, t); ok {
		v.page.Done = v.note()
		d.showPerson(v, 200, t, p, nil)
	}
}

func (d *Desk) showPerson(v *visit, status int, t *roster.Trip, p *roster.Person, typed *form) {
	v.page.Title, v.page.Section = p.Name, "days"
	s := personPage{formPage: newForm(v.page), Trip: string(t.ID), ID: string(p.ID), Name: p.Name, Gone: !p.Left.IsZero()}
	if !s.Gone {
		s.Page, s.Chat = d.Links.Page(t.ID, p.ID, p.Generation), d.Links.Chat(t.ID, p.ID, p.Generation)
	}
	s.State = s.row(t, p).State
	s.fromPerson(p)
	s.Cylinders = min(len(p.InUse())+1, roster.MaxCylinders)
	s.Readings = s.shopReadings(p)
	s.keepTyped(typed)
	d.show(v.w, status, "person", s)
}

func (p *formPage) keepTyped(typed *form) {
	if typed != nil {
		typed.place(&p.page)
		p.keep(*typed)
	}
}

func (p *formPage) fromPerson(one *roster.Person) {
	b := booking.PersonOf(one)
	p.values["name"], p.values["card"], p.values["team"], p.values["language"] = b.Name, string(b.Card), b.Team, b.Language
	p.values["units"], p.values["outside"], p.values["role"] = b.Units, b.Outside, string(booking.RoleOf(one))
	if b.DepthLimit > 0 {
		p.values["depth_limit"] = booking.Plain(b.DepthLimit)
	}
	for i, c := range one.InUse() {
		row := rowOf("c", i)
		p.values[row+"id"], p.values[row+"label"], p.values[row+"size"], p.values[row+"owner"] = string(c.ID), c.Label,
			c.Size, c.Owner
		p.values[row+"dive"] = strconv.Itoa(c.Dive)
		if c.Asked > 0 {
			p.values[row+"asked"] = booking.Plain(float64(c.Asked))
		}
	}
}

// shopReadings are the shop's own analyses that were not taken back.
func (p page) shopReadings(one *roster.Person) (list []readingView) {
	for _, c := range one.InUse() {
		for _, r := range c.Readings {
			if r.Entrant == "shop" && r.Undone.IsZero() {
				list = append(list, readingView{string(r.ID),
					p.line(message.Say("desk.reading", message.Args{"cylinder": booking.Called(c),
						"percent": message.Percent(r.Percent), "at": message.Moment(r.At, p.to.Zone)}))})
			}
		}
	}
	return list
}

// personOf reads the fields about a person as a merge patch.
func (f form) personOf() map[string]any {
	doc := map[string]any{}
	for _, name := range personFields {
		as := kind(asText)
		if name == "depth_limit" {
			as = booking.Number
		}
		f.put(doc, "", name, name, as)
	}
	role := f.text("role")
	doc["leader"], doc["crew"] = role == "leader", role == "crew"
	f.fields[""] = "name"
	list := []any{}
	for i := range roster.MaxCylinders {
		row := rowOf("c", i)
		if f.empty(row, "asked", "label", "size") {
			continue
		}
		at, one := "/cylinders/"+strconv.Itoa(len(list)), map[string]any{}
		f.fields[at] = row + "asked"
		if id := f.text(row + "id"); id != "" {
			one["id"] = id
		}
		f.put(one, at, "label", row+"label", asText)
		f.put(one, at, "asked", row+"asked", booking.Blended)
		f.put(one, at, "dive", row+"dive", booking.Number)
		f.put(one, at, "size", row+"size", asText)
		f.put(one, at, "owner", row+"owner", asText)
		list = append(list, one)
	}
	doc["cylinders"] = list
	return doc
}

// changePerson does what the pressed button says.
func (d *Desk) changePerson(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	p, ok := d.who(v, t)
	if !ok {
		return
	}
	f := v.form()
	var change booking.Change
	to := "/desk/trips/" + string(t.ID)
	switch f.text("do") {
	case "remove":
		change = booking.Remove(p.ID)
	case "revoke":
		change = func(*roster.Trip) (conversation.Change, error) {
			return conversation.Change{Revoke: []roster.PersonID{p.ID}}, nil
		}
		to += "/people/" + string(p.ID)
	case "erase":
		d.erasePerson(v, t, p)
		return
	case "undo":
		change = booking.TakeBack(roster.ReadingID(f.text("reading")))
		to += "/people/" + string(p.ID)
	default:
		change = f.after(booking.ChangePerson(p.ID, booking.Parsed(asJSON(f.personOf())), v.now))
	}
	_, err := d.apply(v, t, change)
	switch {
	case err == nil:
		v.done(to + "?done=stored")
	case d.refused(v, err):
		d.showPerson(v, 422, t, p, &f)
	}
}

// erasePerson erases somebody on this trip for good. The only leader of a trip that is not
// over stays: nobody else could sign.
func (d *Desk) erasePerson(v *visit, t *roster.Trip, p *roster.Person) {
	_, err := booking.Remove(p.ID)(t)
	if err == nil || t.Over(v.now) {
		err = d.Eraser.ErasePerson(v.Context(), t.ID, p.ID, v.source())
	}
	switch {
	case err == nil:
		v.done("/desk/trips/" + string(t.ID) + "?done=erased")
	case d.refused(v, err):
		d.showPerson(v, 422, t, p, nil)
	}
}

// after is a change that is refused for what could not be read of the form, too.
func (f form) after(change booking.Change) booking.Change {
	return func(t *roster.Trip) (conversation.Change, error) {
		c, err := change(t)
		return c, f.bad.Before(err)
	}
}

func (d *Desk) newPerson(v *visit) {
	if t, ok := d.tripOf(v); ok {
		d.showNewPerson(v, 200, t, nil)
	}
}

func (d *Desk) showNewPerson(v *visit, status int, t *roster.Trip, typed *form) {
	v.page.Title, v.page.Section = v.page.T("desk.person.new"), "days"
	s := personPage{formPage: newForm(v.page), Trip: string(t.ID), New: true,
		Cylinders: min(len(t.Dives), roster.MaxCylinders)}
	s.values["role"], s.values["card"] = "diver", "unseen"
	for i := range s.Cylinders {
		s.values[rowOf("c", i)+"dive"] = strconv.Itoa(i + 1)
	}
	s.keepTyped(typed)
	d.show(v.w, status, "person", s)
}

func (d *Desk) addPerson(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	f := v.form()
	_, err := d.apply(v, t, f.after(booking.AddPerson(booking.Parsed(asJSON(f.personOf())), v.now)))
	switch {
	case err == nil:
		v.done("/desk/trips/" + string(t.ID) + "?done=stored")
	case d.refused(v, err):
		d.showNewPerson(v, 422, t, &f)
	}
}

// inviteCode is the picture of a person's link.
func (d *Desk) inviteCode(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	p, ok := d.who(v, t)
	if !ok {
		return
	}
	body, err := papers.QRSVG(d.Links.Page(t.ID, p.ID, p.Generation))
	d.file(v, "image/svg+xml", "", body, err)
}

// openCode is the picture of the open invite, none while that is shut.
func (d *Desk) openCode(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	if !t.GateOpen(v.now) {
		d.nothing(v.w, v.Request)
		return
	}
	body, err := papers.QRSVG(d.Links.Open(t.ID, t.Gate.Generation))
	d.file(v, "image/svg+xml", "", body, err)
}
