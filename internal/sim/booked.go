package sim

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// pick is one of a list; what stands in it twice comes twice as often.
func pick[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

// booked is the trip of a seed as it was booked.
func booked(seed uint64) judge.Booked {
	b := book(newRand(seed))
	if hosted(seed) {
		return host(b)
	}
	return b
}

// book makes a trip as it was booked: mostly a small group on a sensible plan.
func book(r *rand.Rand) judge.Booked {
	b := judge.Booked{Units: pick(r, gas.Metres, gas.Metres, gas.Feet), FirstDiveAfter: pick(r, 0.0, 30, 30, 60)}
	b.Departs = time.Date(2027, 5, 15, 6+r.IntN(5), 5*r.IntN(12), 0, 0, time.UTC)
	b.Policy = policy(r, b.Units)
	altitude := 0.0
	if r.IntN(8) == 0 {
		altitude = pick(r, 300.0, 1200)
	}
	for n := range pick(r, 1, 2, 2, 2, 3) {
		v := plan(r, b.Units, b.Policy, n+1)
		v.Altitude = altitude
		b.Dives = append(b.Dives, v)
	}
	number := &numbers{}
	for range pick(r, 1, 1, 1, 2) {
		b.People = append(b.People, person(r, b, number, judge.Person{Leader: true}))
	}
	if r.IntN(2) == 0 {
		b.People = append(b.People, person(r, b, number, judge.Person{Crew: true}))
	}
	for range pick(r, 1, 1, 2, 2, 3, 3, 4, 5, 6, 8) {
		b.People = append(b.People, person(r, b, number, judge.Person{Diver: true}))
	}
	return b
}

// numbers count the people and the cylinders of a day.
type numbers struct{ people, cylinders, labels int }

func (n *numbers) person() roster.PersonID {
	n.people++
	return roster.PersonID(fmt.Sprint("p", n.people))
}

func (n *numbers) cylinder() roster.CylinderID {
	n.cylinders++
	return roster.CylinderID(fmt.Sprint("c", n.cylinders))
}

// label is one that nothing on the trip carries yet.
func (n *numbers) label() string {
	n.labels++
	return fmt.Sprint(10 + n.labels)
}

// policy is mostly the default one.
func policy(r *rand.Rand, u gas.Unit) judge.Policy {
	p := judge.DefaultPolicy(u)
	if r.IntN(3) == 0 {
		p.BoatCheck = judge.BoatCheckAll
	}
	if r.IntN(2) == 0 {
		return p
	}
	switch r.IntN(8) {
	case 0:
		p.PPO2 = pick(r, 1.2, 1.3, 1.35)
	case 1:
		p.PPO2Max = pick(r, 1.4, 1.5)
	case 2:
		p.MaxO2 = pick(r, 32.0, 36, 38)
	case 3:
		p.Deepest = map[gas.Unit]float64{gas.Metres: pick(r, 18.0, 30, 45, 60), gas.Feet: pick(r, 60.0, 100, 150, 190)}[u]
	case 4:
		p.GF = pick(r, 50.0, 70, 95)
	case 5:
		p.FreshFor = pick(r, 1.0, 2, 4, 12)
	case 6:
		p.Tolerance, p.TellShop = pick(r, 0.1, 0.5, 1), pick(r, 1, 1.5)
	case 7:
		p.MaxCO, p.OxygenCredit = pick(r, 3.0, 10), r.IntN(2) == 0
	}
	return p
}

// plan is the plan of a dive within the policy's deepest.
func plan(r *rand.Rand, u gas.Unit, p judge.Policy, number int) judge.Dive {
	d := judge.Dive{Site: fmt.Sprint("site ", r.IntN(100)), Minutes: pick(r, 15.0, 20, 22, 25, 30, 40, 60)}
	d.Depth = math.Min(depth(r, u), p.Deepest)
	if number > 1 {
		d.Interval = pick(r, 45.0, 60, 60, 90, 120)
	}
	switch r.IntN(4) {
	case 0:
		d.Bottom = d.Depth + pick(r, 0.0, 2, 4, 10)
	case 1:
		d.Bottomless = r.IntN(2) == 0
	}
	if r.IntN(6) == 0 {
		d.Water = gas.Fresh
	}
	return d
}

// depth is a planned depth in whole units, or rarely a half.
func depth(r *rand.Rand, u gas.Unit) float64 {
	metres := pick(r, 12.0, 14, 16, 18, 18, 20, 22, 24, 26, 28, 28, 30, 30, 30, 32, 33, 34, 36, 40, 45)
	switch {
	case u == gas.Feet:
		return math.Round(metres / gas.MetresPerFoot)
	case r.IntN(12) == 0:
		return metres + 0.5
	}
	return metres
}

// person fills in somebody: most have a card, a cylinder for every dive and a request that fits.
func person(r *rand.Rand, b judge.Booked, number *numbers, p judge.Person) judge.Person {
	p.ID = number.person()
	p.Card = pick(r, judge.CardSeen, judge.CardSeen, judge.CardSeen, judge.CardSeen, judge.CardSeen, judge.CardUnseen,
		judge.CardNone)
	p.Qualification = qualification(r, b.Units)
	p.Team = pick(r, "", "", "1", "1", "2")
	if r.IntN(30) == 0 {
		p.Outside = "rebreather"
	}
	if p.Crew && r.IntN(4) > 0 || p.Leader && r.IntN(3) == 0 {
		return p
	}
	p.Cylinders = cylindersFor(r, b, number)
	return p
}

// cylindersFor are one for each dive mostly; one that is used twice has the same label on both.
func cylindersFor(r *rand.Rand, b judge.Booked, number *numbers) []judge.Cylinder {
	var list []judge.Cylinder
	label := ""
	for i, dive := range b.Dives {
		n := pick(r, 0, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2)
		for range n {
			c := judge.Cylinder{ID: number.cylinder(), Asked: request(r, b, dive), Dive: i + 1}
			switch {
			case label != "" && r.IntN(5) == 0 && list[len(list)-1].Dive != i+1:
				c.Label = label // the same cylinder again
			case r.IntN(4) > 0:
				c.Label = number.label()
			}
			label = c.Label
			list = append(list, c)
		}
	}
	return list
}

// request is mostly a blend that fits the plan.
func request(r *rand.Rand, b judge.Booked, d judge.Dive) float64 {
	place := gas.Place{Unit: b.Units, Water: d.Water, Altitude: d.Altitude}
	for _, asked := range []float64{36, 34, 32, 30, 28, 25} {
		fits := place.MOD(gas.Percent(asked), gas.PPO2(b.Policy.PPO2)).Value >= d.Depth && asked <= b.Policy.MaxO2
		if fits && r.IntN(3) > 0 {
			return asked
		}
	}
	return pick(r, 21.0, 21, 28, 32, 36, 40)
}

func qualification(r *rand.Rand, u gas.Unit) gas.Depth {
	if r.IntN(3) == 0 {
		return gas.Depth{}
	}
	if (u == gas.Feet) != (r.IntN(6) == 0) {
		return gas.Ft(pick(r, 60.0, 100, 100, 130, 130, 130))
	}
	return gas.M(pick(r, 18.0, 30, 30, 40, 40, 40))
}
