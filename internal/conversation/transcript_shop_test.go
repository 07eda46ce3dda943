package conversation

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// More of what a shop does in transcripts:
//
//	shop sets policy gf=90 ppo2=1.4      shop renames the trip to Sunday two-tank
//	shop adds diver Kenji card seen: 32  shop removes Tomasz
//	shop says of Marit: card seen        shop says of Marit: team 2
//	shop says of Marit: outside rebreather
//	shop books for Marit: 30 dive 1      (in place of her cylinders, from the first)
//	shop takes 22 from Ada, and books B4=32 (another cylinder; the first goes out of use)
//	shop revokes Tomasz                  shop writes: Boat moved to pier 4

func (s *stage) moreOfTheShop(text string) *Change {
	word, rest, _ := strings.Cut(text, " ")
	switch word {
	case "renames":
		name := strings.TrimPrefix(rest, "the trip to ")
		return &Change{Name: &name}
	case "adds":
		s.bookPerson("diver", strings.TrimPrefix(rest, "diver "))
		added := s.trip.People[len(s.trip.People)-1]
		s.trip.People = s.trip.People[:len(s.trip.People)-1]
		return &Change{Add: []*roster.Person{added}}
	case "removes":
		return &Change{Remove: []roster.PersonID{s.begins(rest).ID}}
	case "revokes":
		return &Change{Revoke: []roster.PersonID{s.begins(rest).ID}}
	case "writes:":
		return &Change{Broadcast: s.text(rest)}
	case "says":
		return s.shopSays(strings.TrimPrefix(rest, "of "))
	case "takes":
		return s.shopTakes(rest)
	case "books":
		return s.shopBooks(strings.TrimPrefix(rest, "for "))
	}
	if policy, ok := strings.CutPrefix(text, "sets policy "); ok {
		was := s.trip
		s.trip = roster.Change(was).Done()
		s.trip.Plan = &roster.Plan{Policy: was.Policy}
		s.policy(policy)
		wanted := s.trip.Policy
		s.trip = was
		return &Change{Policy: &wanted}
	}
	return nil
}

func (s *stage) shopSays(text string) *Change {
	name, what, _ := strings.Cut(text, ": ")
	c := PersonChange{Person: s.begins(name).ID}
	word, rest, _ := strings.Cut(what, " ")
	switch word {
	case "card":
		card := gas.Card(rest)
		c.Card = &card
	case "team":
		c.Team = &rest
	case "limit":
		d := s.depth(rest)
		c.DepthLimit = &d
	case "name":
		c.Name = &rest
	case "outside":
		c.Outside = &rest
	default:
		s.fatalf("the shop can't say %q", what)
	}
	return &Change{Update: []PersonChange{c}}
}

func (s *stage) shopBooks(text string) *Change {
	name, what, _ := strings.Cut(text, ": ")
	p := s.begins(name)
	c := PersonChange{Person: p.ID}
	in := p.InUse()
	for i, one := range strings.Split(what, ", ") {
		booked := s.bookCylinder(one)
		booked.ID = ""
		if i < len(in) {
			booked.ID = in[i].ID
		}
		c.Cylinders = append(c.Cylinders, booked)
	}
	return &Change{Update: []PersonChange{c}}
}

func (s *stage) shopTakes(text string) *Change {
	label, rest, _ := strings.Cut(text, " from ")
	name, booked, _ := strings.Cut(rest, ", and books ")
	p, gone := s.begins(name), s.labelled(label)
	c := PersonChange{Person: p.ID, Cylinders: []*roster.Cylinder{}}
	for _, own := range p.InUse() {
		if own.ID != gone {
			c.Cylinders = append(c.Cylinders, own)
		}
	}
	if booked != "" {
		one := s.bookCylinder(booked)
		one.ID = ""
		c.Cylinders = append(c.Cylinders, one)
	}
	return &Change{Update: []PersonChange{c}}
}
