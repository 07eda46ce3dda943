package sim

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/sim/judge"
)

// Shrink makes a day that shows a disagreement as short and plain as it can be and still shows the same one.
func Shrink(d Day, wrong *Disagreement) (Day, *Disagreement) {
	s := &shrinker{day: d, wrong: wrong}
	if closer := Play(d); closer != nil {
		s.wrong = closer // it is looked at closely, and may be found sooner
	}
	for before := -1; before != s.size(); {
		before = s.size()
		s.dropEntries()
		s.dropBooked()
		s.plainEntries()
	}
	return s.day, s.wrong
}

type shrinker struct {
	day   Day
	wrong *Disagreement
	tries int
}

const mostTries = 4000

func (s *shrinker) size() int {
	return len(Tell(s.day))
}

// try takes a smaller day when it still shows the same.
func (s *shrinker) try(d Day) bool {
	s.tries++
	if s.tries > mostTries {
		return false
	}
	if wrong := Play(d); wrong.same(s.wrong) {
		s.day, s.wrong = d, wrong
		return true
	}
	return false
}

// dropEntries leaves out what was said, in halves, quarters and single entries.
func (s *shrinker) dropEntries() {
	for n := max(1, len(s.day.Said)/2); ; n /= 2 {
		for i := 0; i < len(s.day.Said); {
			d := s.day
			d.Said = slices.Delete(slices.Clone(d.Said), i, min(i+n, len(d.Said)))
			if !s.try(d) {
				i += n
			}
		}
		if n <= 1 {
			return
		}
	}
}

// dropBooked leaves out people, cylinders and dives, and makes plan and policy plain.
func (s *shrinker) dropBooked() {
	for i := len(s.day.Booked.People) - 1; i >= 0; i-- {
		if s.booked(func(b *judge.Booked) { b.People = slices.Delete(b.People, i, i+1) }) {
			continue
		}
		for j := len(s.day.Booked.People[i].Cylinders) - 1; j >= 0; j-- {
			s.booked(func(b *judge.Booked) {
				b.People[i].Cylinders = slices.Delete(slices.Clone(b.People[i].Cylinders), j, j+1)
			})
		}
		s.plainPerson(i)
	}
	s.booked(func(b *judge.Booked) { b.Policy = judge.DefaultPolicy(b.Units) })
	s.booked(func(b *judge.Booked) { b.FirstDiveAfter = 0 })
	for i := range s.day.Booked.Dives {
		s.plainDive(i)
	}
	if n := len(s.day.Booked.Dives); n > 1 {
		s.booked(func(b *judge.Booked) {
			b.Dives = b.Dives[:n-1]
			for i := range b.People {
				b.People[i].Cylinders = slices.DeleteFunc(slices.Clone(b.People[i].Cylinders),
					func(c judge.Cylinder) bool { return c.Dive == n })
			}
		})
	}
}

func (s *shrinker) booked(change func(*judge.Booked)) bool {
	d := s.day
	d.Booked.People, d.Booked.Dives = slices.Clone(d.Booked.People), slices.Clone(d.Booked.Dives)
	change(&d.Booked)
	return s.try(d)
}

func (s *shrinker) plainPerson(i int) {
	for _, plain := range []func(*judge.Person){
		func(p *judge.Person) { p.Card = judge.CardSeen }, func(p *judge.Person) { p.Qualification = gas.Depth{} },
		func(p *judge.Person) { p.Team = "" }, func(p *judge.Person) { p.Outside = "" },
	} {
		s.booked(func(b *judge.Booked) { plain(&b.People[i]) })
	}
}

func (s *shrinker) plainDive(i int) {
	for _, plain := range []func(*judge.Dive){
		func(v *judge.Dive) { v.Bottom, v.Bottomless = 0, false }, func(v *judge.Dive) { v.Water = gas.Salt },
		func(v *judge.Dive) { v.Altitude = 0 }, func(v *judge.Dive) { v.Depth = 18 }, func(v *judge.Dive) { v.Minutes = 20 },
		func(v *judge.Dive) { v.Site = "" },
	} {
		s.booked(func(b *judge.Booked) { plain(&b.Dives[i]) })
	}
}

// plainEntries leaves out what was said along with something.
func (s *shrinker) plainEntries() {
	for i := range s.day.Said {
		for _, plain := range plains {
			d := s.day
			d.Said = slices.Clone(d.Said)
			plain(&d.Said[i])
			if tellSaid(d.Said[i], d.Booked.Departs) != tellSaid(s.day.Said[i], d.Booked.Departs) {
				s.try(d)
			}
		}
	}
}

var plains = []func(*judge.Said){
	func(s *judge.Said) { s.AirPoint = 0 }, func(s *judge.Said) { s.Weather = gas.Weather{} },
	func(s *judge.Said) { s.HasCO, s.CO = false, 0 }, unnamed,
	func(s *judge.Said) { s.Taken = time.Time{} }, func(s *judge.Said) { s.Change, s.Message = 0, "" },
	func(s *judge.Said) { s.Witness = "" }, func(s *judge.Said) { s.NoDecimals = false },
	func(s *judge.Said) { s.Limit.Depth = 0 }, func(s *judge.Said) { s.Limit.Minutes = 0 },
	func(s *judge.Said) { s.Dived.Depth = 0 }, func(s *judge.Said) { s.Dived.Minutes = 0 },
}

// unnamed leaves out the analyser, but for what it showed in air: that is nothing without it.
func unnamed(s *judge.Said) {
	if s.Kind != judge.SaidAirPoint {
		s.Analyser = ""
	}
}
