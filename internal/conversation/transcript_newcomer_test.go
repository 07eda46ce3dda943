package conversation

import (
	"strconv"

	"gasmuster/internal/roster"
)

// newcomer is somebody who opened the open invite and said who they are: the rest is
// as of a booked diver.
func (s *stage) newcomer(text string) {
	people := s.trip.People
	s.bookPerson("diver", text)
	p := s.trip.People[len(people)]
	s.trip.People = people
	n := roster.Newcomer{Name: p.Name, Card: p.Card, DepthLimit: p.DepthLimit, Language: p.Language, From: p.Name,
		Address: roster.Address{Channel: "test", ID: "account of " + strconv.Quote(p.Name)}}
	for range s.trip.Dives {
		n.Asked = append(n.Asked, 0)
	}
	for _, c := range p.Cylinders {
		n.Asked[c.Dive-1] = c.Asked
	}
	d := roster.Change(s.trip)
	id, err := d.Knock(n, s.now.UTC())
	if err != nil {
		s.print("  not let wait: %v", err)
		return
	}
	s.trip = d.Done()
	s.do(Event{Kind: Knock, Newcomer: id})
}
