package desk

import (
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// planPage is the form about a trip's plan.
type planPage struct {
	formPage
	ID    string
	Dives int  // rows
	Read  bool // there are readings: the units stay
}

// policyNumbers are the numbers of a policy by the names of the interface.
var policyNumbers = []string{"ppo2", "ppo2_max", "max_o2", "deepest", "max_co", "tolerance", "tell_shop", "gf",
	"fresh_for_hours"}

func (d *Desk) plan(v *visit) {
	if t, ok := d.tripOf(v); ok {
		d.showPlan(v, 200, t, nil)
	}
}

func (d *Desk) showPlan(v *visit, status int, t *roster.Trip, typed *form) {
	v.page.Title, v.page.Section = v.page.T("desk.plan"), "days"
	s := planPage{formPage: newForm(v.page), ID: string(t.ID), Dives: min(len(t.Dives)+1, roster.MaxDives),
		Read: booking.HasReadings(t)}
	s.fromPlan(t)
	if typed != nil {
		typed.place(&s.page)
		s.keep(*typed)
	}
	d.show(v.w, status, "plan", s)
}

// fromPlan fills the fields with what is planned.
func (p *formPage) fromPlan(t *roster.Trip) {
	p.values["name"], p.values["time_zone"], p.values["units"] = t.Name, t.Zone, t.Units.String()
	at := t.Departs.In(zoneOf(t))
	p.values["date"], p.values["time"] = at.Format(time.DateOnly), at.Format("15:04")
	p.values["first_dive_after"] = booking.Plain(t.FirstDiveAfter)
	p.values["cylinders_ready_at"] = readyAt(t)
	var analysers []string
	for _, a := range t.Analysers {
		analysers = append(analysers, a.Name)
	}
	p.values["analysers"] = strings.Join(analysers, ", ")
	for i, d := range t.Dives {
		p.fromDive(rowOf("d", i), d)
	}
	p.fromPolicy(t.Policy, t.Units)
}

// readyAt is when the cylinders are planned to be ready, as a clock on the trip shows it; ""
// for the usual time.
func readyAt(t *roster.Trip) string {
	if t.CylindersReady.IsZero() {
		return ""
	}
	return t.CylindersReady.In(zoneOf(t)).Format("2006-01-02T15:04")
}

func (p *formPage) fromDive(row string, d roster.Dive) {
	one := booking.DiveOf(d)
	p.values[row+"site"], p.values[row+"water"] = one.Site, one.Water.String()
	for name, x := range map[string]float64{"depth": one.Depth, "minutes": one.Minutes, "interval": one.Interval,
		"altitude": one.Altitude} {
		if x != 0 {
			p.values[row+name] = booking.Plain(x)
		}
	}
	switch bottom := one.Bottom.(type) {
	case string:
		p.values[row+"bottom"] = bottom
	case float64:
		p.values[row+"bottom"] = booking.Plain(bottom)
	}
}

func (p *formPage) fromPolicy(policy gas.Policy, u gas.Unit) {
	one := booking.PolicyOf(policy, u)
	for name, x := range map[string]float64{"ppo2": float64(one.PPO2), "ppo2_max": float64(one.PPO2Max),
		"max_o2": float64(one.MaxO2), "deepest": one.Deepest,
		"max_co": one.MaxCO, "tolerance": one.Tolerance, "tell_shop": one.TellShop, "gf": one.GF,
		"fresh_for_hours": one.FreshFor} {
		p.values[name] = booking.Plain(x)
	}
	p.values["boat_check"] = string(one.BoatCheck)
	if one.OxygenCredit {
		p.values["oxygen_credit"] = "1"
	}
}

// policy reads the fields of a policy.
func (f form) policy() map[string]any {
	doc := map[string]any{}
	for _, name := range policyNumbers {
		f.put(doc, "/policy", name, name, booking.Number)
	}
	f.put(doc, "/policy", "boat_check", "boat_check", asText)
	doc["oxygen_credit"] = f.text("oxygen_credit") == "1"
	return doc
}

// planOf reads the whole plan as typed.
func (f form) planOf(dives int) map[string]any {
	doc := map[string]any{"policy": f.policy()}
	f.put(doc, "", "name", "name", asText)
	f.put(doc, "", "units", "units", asText)
	f.put(doc, "", "time_zone", "time_zone", asText)
	f.put(doc, "", "first_dive_after", "first_dive_after", booking.Number)
	f.departs(doc)
	f.fields["/cylinders_ready_at"] = "cylinders_ready_at"
	f.moment(doc, "cylinders_ready_at", f.text("cylinders_ready_at"))
	doc["analysers"] = asList(f.text("analysers"))
	f.fields["/analysers"] = "analysers"
	doc["dives"] = f.dives(dives)
	f.fields["/dives"] = "d0.site"
	return doc
}

// changePlan stores what differs from the plan as it is.
func (d *Desk) changePlan(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	f := v.form()
	patch := f.planOf(roster.MaxDives)
	if booking.HasReadings(t) {
		delete(patch, "units")
	}
	_, err := d.apply(v, t, f.after(func(t *roster.Trip) (conversation.Change, error) {
		var found booking.Faults
		sameMinute(t, patch)
		if f.text("cylinders_ready_at") == readyAt(t) {
			delete(patch, "cylinders_ready_at") // it moves along with the departure
		}
		change := booking.ReadTripChange(t, booking.Parsed(asJSON(patch)), v.shop.Policy, v.now, &found)
		return change, found.Err()
	}))
	switch {
	case err == nil:
		v.done("/desk/trips/" + string(t.ID) + "?done=told")
	case d.refused(v, err):
		d.showPlan(v, 422, t, &f)
	}
}

// sameMinute leaves a departure alone that the form shows without its seconds,
// and one that has passed.
func sameMinute(t *roster.Trip, patch map[string]any) {
	at, ok := patch["departs_at"].(string)
	if to, err := time.Parse(time.RFC3339, at); ok && err == nil && to.Equal(t.Departs.Truncate(time.Minute)) {
		delete(patch, "departs_at")
	}
}

// copyPage is the form that books a trip again.
type copyPage struct {
	formPage
	ID string
}

func (d *Desk) copyForm(v *visit) {
	if t, ok := d.tripOf(v); ok {
		d.showCopy(v, 200, t, nil)
	}
}

func (d *Desk) showCopy(v *visit, status int, t *roster.Trip, typed *form) {
	v.page.Title, v.page.Section = v.page.T("desk.copy"), "days"
	s := copyPage{formPage: newForm(v.page), ID: string(t.ID)}
	s.fromPlan(t)
	s.values["date"], s.values["people"] = "", "1"
	if typed != nil {
		typed.place(&s.page)
		s.keep(*typed)
		s.values["people"] = typed.text("people")
	}
	d.show(v.w, status, "copy", s)
}

// copyTrip books the same again on another day, with its people when they are
// wanted.
func (d *Desk) copyTrip(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	f := v.form()
	doc := map[string]any{}
	f.typed.Set("time_zone", t.Zone)
	f.departs(doc)
	at, _ := doc["departs_at"].(string)
	made, err := (*roster.Trip)(nil), f.bad.Err()
	if err == nil {
		made, err = d.create(v, booking.Copy(t, at, f.text("people") == "1"))
	}
	switch {
	case err == nil:
		v.done("/desk/trips/" + string(made.ID) + "?done=copied")
	case d.refused(v, err):
		d.showCopy(v, 422, t, &f)
	}
}
