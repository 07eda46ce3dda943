package sim

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// product is the trip as the product keeps it, told in the words of the judge. The ids of a day are its own,
// so that a day without one entry is still the same day; the product gives its ids by itself.
type product struct {
	trip       *roster.Trip
	units      gas.Unit
	people     names[roster.PersonID]
	cylinders  names[roster.CylinderID] // of a place: the first that stood there
	readings   names[roster.ReadingID]
	questions  map[string]string
	newcomers  map[roster.PersonID]newcomer
	signatures map[string]string // by the product's id
	voice      *voice            // of a day on which people talk, nil of another
	closely    bool              // what costs much is compared after every change
	loaded     *roster.Trip      // the trip when it was loaded last
	stored     string            // how that would be stored again
}

// names are the ids of a day and those of the product.
type names[ID ~string] struct{ product, day map[ID]ID }

func newNames[ID ~string]() names[ID] { return names[ID]{map[ID]ID{}, map[ID]ID{}} }

func (n names[ID]) keep(day, product ID) { n.product[day], n.day[product] = product, day }

// bookProduct stores a trip as it was booked.
func bookProduct(b judge.Booked, now time.Time) *product {
	p := &product{units: b.Units, people: newNames[roster.PersonID](), cylinders: newNames[roster.CylinderID](),
		readings: newNames[roster.ReadingID](), questions: map[string]string{}, signatures: map[string]string{},
		newcomers: map[roster.PersonID]newcomer{}}
	d := roster.Change(roster.NewTrip("abcdefghij", "keelhaven"))
	if startedByHost(b) {
		d = p.start(b, now)
		b.People = nil
	} else {
		p.book(d, b)
	}
	for _, who := range b.People {
		p.add(d, who, "", now)
	}
	if b.Invite && !d.Gate.Open {
		d.OpenGate("", now)
	}
	p.trip = d.Done()
	p.trip.Version = 1
	return p
}

// book writes down the plan of a trip.
func (p *product) book(d *roster.Draft, b judge.Booked) {
	plan := d.EditPlan()
	plan.Name, plan.Zone, plan.Units = "a day", "UTC", b.Units
	plan.Departs, plan.FirstDiveAfter, plan.Policy = b.Departs, b.FirstDiveAfter, p.policy(b.Policy)
	plan.Analysers = []roster.Analyser{{Name: "A"}, {Name: "B"}}
	for _, v := range b.Dives {
		plan.Dives = append(plan.Dives, p.plan(v))
	}
}

func (p *product) depth(value float64) gas.Depth {
	if value == 0 {
		return gas.Depth{}
	}
	return gas.Depth{Value: value, Unit: p.units}
}

func (p *product) plan(v judge.Dive) roster.Dive {
	return roster.Dive{Site: v.Site, Depth: p.depth(v.Depth), Bottom: p.depth(v.Bottom), Bottomless: v.Bottomless,
		Minutes: v.Minutes, Interval: v.Interval, Water: v.Water, Altitude: v.Altitude}
}

func (p *product) policy(v judge.Policy) gas.Policy {
	return gas.Policy{PPO2: gas.PPO2(v.PPO2), PPO2Max: gas.PPO2(v.PPO2Max), MaxO2: gas.Percent(v.MaxO2),
		Deepest: p.depth(v.Deepest),
		MaxCO:   v.MaxCO, Tolerance: v.Tolerance, TellShop: v.TellShop, GF: v.GF, FreshFor: v.FreshFor,
		BoatCheck: gas.BoatCheck(v.BoatCheck), OxygenCredit: v.OxygenCredit}
}

// add puts somebody on the trip.
func (p *product) add(d *roster.Draft, who judge.Person, by roster.PersonID, now time.Time) {
	person := &roster.Person{Name: nameOf(who.ID), Leader: who.Leader, Crew: who.Crew, Diver: who.Diver,
		Card: gas.Card(who.Card), DepthLimit: who.Qualification, Team: who.Team}
	if who.Outside != "" {
		person.Outsides = []roster.Out{{At: now, Reason: who.Outside}}
	}
	for _, c := range who.Cylinders {
		person.Cylinders = append(person.Cylinders, &roster.Cylinder{Label: c.Label, Asked: gas.Percent(c.Asked),
			Dive: c.Dive})
	}
	d.AddPerson(person, by, now)
	if person.ID == "" || d.Person(person.ID) == nil {
		return // not let in
	}
	p.people.keep(who.ID, person.ID)
	for i, c := range d.Person(person.ID).Cylinders {
		p.cylinders.keep(who.Cylinders[i].ID, c.ID)
	}
}

// by is who speaks, as the product knows them: the shop is nobody.
func (p *product) by(id roster.PersonID) roster.PersonID {
	if id == judge.Shop {
		return ""
	}
	return p.people.product[id]
}

// inUse is the cylinder that stands in a place now, or stood there last.
func (p *product) inUse(t *roster.Trip, id roster.CylinderID) *roster.Cylinder {
	place, ok := p.cylinders.product[id]
	if !ok {
		return nil
	}
	if _, c := t.InPlace(place); c != nil {
		return c
	}
	var last *roster.Cylinder
	for _, person := range t.People {
		for _, c := range person.Cylinders {
			if c.At() == place {
				last = c
			}
		}
	}
	return last
}

// knows tells whether everybody and everything that is named is on the trip. In a day that was made shorter
// it may not be; then nobody is told.
func (p *product) knows(s judge.Said) bool {
	if byNewcomer[s.Kind] {
		return p.knowsNewcomer(s)
	}
	for _, who := range []roster.PersonID{s.By, s.Person, s.Witness, s.Consent} {
		if who != "" && who != judge.Shop && p.people.product[who] == "" {
			return false
		}
	}
	if s.Cylinder != "" && p.cylinders.product[s.Cylinder] == "" {
		return false
	}
	for _, c := range s.Cylinders {
		if p.cylinders.product[c] == "" {
			return false
		}
	}
	if s.Of != "" && p.readings.product[s.Of] == "" {
		return false
	}
	by := p.trip.Person(p.by(s.By))
	switch {
	case s.Kind == judge.SaidDivedMyself && (by == nil || by.Leader): // a leader's is SaidDived
		return false
	case s.Kind == judge.SaidRemoved && s.By != judge.Shop && !by.Leader: // removed by nobody who may
		return false
	// let in by nobody who may
	case s.Kind == judge.SaidPerson && s.By != judge.Shop && (!by.Leader && !by.Crew || !by.Left.IsZero()):
		return false
	}
	for _, c := range append(s.NewPerson.Cylinders, s.New) {
		if c.Dive > len(p.trip.Dives) {
			return false
		}
	}
	_, asked := p.questions[s.Question]
	return s.Dive <= len(p.trip.Dives) && (s.Question == "" || asked || s.Kind == judge.SaidQuestion)
}

// tell tells one change: one draft, and what comes of it is the trip. Every so often the draft is asked for its
// boards before and after: what it remembers is what the trip then says.
func (p *product) tell(said []judge.Said, boards bool) *Disagreement {
	if p.voice != nil {
		p.voice.tell(said)
		return nil
	}
	d := roster.Change(p.trip)
	if boards {
		p.boards(d, said[0].At)
	}
	p.into(d, said)
	remembered := ""
	if boards {
		remembered = p.boards(d, said[0].At)
	}
	p.trip = d.Done()
	p.trip.Version++
	if boards {
		if is := p.boards(roster.Change(p.trip), said[0].At); is != remembered {
			return &Disagreement{Differences: []Difference{{What: "boards that a draft remembers", Got: remembered, Want: is}}}
		}
	}
	return nil
}

// into tells a draft.
func (p *product) into(d *roster.Draft, said []judge.Said) {
	for _, s := range said {
		if say := sayings[s.Kind]; say != nil {
			say(p, d, s)
		}
	}
}

// change tells the trip itself, past the dialogue.
func (p *product) change(said []judge.Said) {
	d := roster.Change(p.trip)
	p.into(d, said)
	d.Remind(reminders.NewsWait, said[0].At) // else the dialogue looks for news only when it did something
	p.trip = d.Done()
	p.trip.Version++
}

// boards are those of all dives, to tell whether they are the same.
func (p *product) boards(d *roster.Draft, now time.Time) string {
	var all strings.Builder
	for n := range d.Dives {
		b := d.Board(n+1, now)
		fmt.Fprintln(&all, b.Counts, b.Group, b.Teams)
		for i := range b.People {
			fmt.Fprintln(&all, b.People[i].State(), b.People[i].Max, b.People[i].MaxMinutes, b.People[i].Needs)
		}
	}
	return all.String()
}

// reload stores the trip and loads it, as another process would.
func (p *product) reload() *Disagreement {
	p.loaded = roster.NewTrip(p.trip.ID, p.trip.Shop)
	if err := json.Unmarshal([]byte(stored(p.trip)), p.loaded); err != nil {
		return &Disagreement{Differences: []Difference{{What: "stored form", Got: err.Error()}}}
	}
	p.trip, p.stored = p.loaded, stored(p.loaded)
	return nil
}

// asLoaded looks again at a trip that was loaded some changes ago: what was published is never written.
func (p *product) asLoaded() *Disagreement {
	if p.loaded == nil {
		return nil
	}
	if is := stored(p.loaded); is != p.stored {
		return &Disagreement{Differences: []Difference{{What: "published value written", Got: is, Want: p.stored}}}
	}
	return nil
}

// stored is a trip as it would be stored.
func stored(t *roster.Trip) string {
	text, err := json.Marshal(t)
	if err != nil {
		return err.Error()
	}
	return string(text)
}
