package sim

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// honest are the people of a day who, from whatever state it was left in, do what is asked of them with what
// they have on board: an analyser, air, each other's eyes, and leaders who may sit somebody out.
type honest struct {
	*play
	now   time.Time
	dive  int
	count int
	last  map[roster.CylinderID]float64 // what was read last, or ordered
	shows map[string]float64            // what analysers keep showing of a label
	tried map[roster.PersonID]int
	air   gas.Weather
	wrong *Disagreement
}

// Rescue lets the people of a day bring its next dive to a board on which everybody may go, sits out or is
// outside. It tells who is in the way for good, in words, and the first disagreement on the way.
func (p *play) Rescue(day Day, now time.Time) (stuck []string, wrong *Disagreement) {
	h := &honest{play: p, now: now, last: map[roster.CylinderID]float64{},
		shows: map[string]float64{}, tried: map[roster.PersonID]int{}}
	h.dive = h.undived()
	if h.dive == 0 || len(h.leaders("")) == 0 || len(h.present("")) < 2 {
		return nil, nil
	}
	h.remember(day)
	if early := p.product.trip.Starts(h.dive).Add(-30 * time.Minute); h.now.Before(early) {
		h.now = early // what is analysed too early is old by then
	}
	h.openCheck()
	for range 12 {
		if !h.helpEverybody() || h.wrong != nil {
			return nil, h.wrong
		}
	}
	for _, v := range h.board().Divers {
		if inTheWay(v) {
			stuck = append(stuck, fmt.Sprint(v.Person, " ", v.Status, " needs ", v.Needs, " ", weighty(v)))
		}
	}
	return stuck, nil
}

func inTheWay(v judge.DiverVerdict) bool {
	return v.Status == judge.StatusNotCleared || v.Status == judge.StatusNoGo
}

// remember takes what was read last, or ordered, for what is inside.
func (h *honest) remember(day Day) {
	for _, p := range day.Booked.People {
		for _, c := range p.Cylinders {
			h.last[c.ID] = c.Asked + 0.1
		}
	}
	for _, s := range day.Said {
		switch {
		case s.Kind == judge.SaidWeather:
			h.air = s.Weather
		case s.Kind == judge.SaidAdded:
			h.last[s.New.ID] = s.New.Asked + 0.1
		case s.Kind == judge.SaidPerson, s.Kind == judge.SaidWaits:
			for _, c := range s.NewPerson.Cylinders {
				h.last[c.ID] = c.Asked + 0.1
			}
		case s.Cylinder != "" && s.Value > 0:
			h.last[s.Cylinder] = s.Value
		}
	}
}

func (h *honest) undived() int {
	for _, v := range h.see.Dives {
		if !v.Dived {
			return v.Dive
		}
	}
	return 0
}

func (h *honest) board() *judge.DiveVerdict { return &h.see.Dives[h.dive-1] }

// say says something, and time goes on by more than two minutes.
func (h *honest) say(kind judge.Kind, by roster.PersonID, what func(*judge.Said)) {
	if h.wrong != nil || by == "" {
		return
	}
	h.now = h.now.Add(121 * time.Second)
	s := judge.Said{At: h.now, By: by, Kind: kind, Dive: h.dive}
	what(&s)
	h.wrong = h.tell([]judge.Said{s})
}

// helpEverybody does one thing for each who is in the way; false when nobody is.
func (h *honest) helpEverybody() bool {
	helped := false
	for _, v := range slices.Clone(h.board().Divers) {
		if inTheWay(v) {
			h.help(v)
			helped = true
		}
	}
	if !helped && len(h.board().Refused) > 0 {
		h.openCheck()
		helped = true
	}
	return helped
}

func (h *honest) openCheck() {
	h.say(judge.SaidBoatCheck, first(h.leaders("")), func(*judge.Said) {})
}

func (h *honest) help(v judge.DiverVerdict) {
	other := first(h.leaders(v.Person))
	about := func(s *judge.Said) { s.Person = v.Person }
	h.tried[v.Person]++
	owes := func(n judge.Need) bool { return slices.Contains(v.Needs, n) }
	switch {
	case v.Status == judge.StatusNoGo, owes(judge.NeedCylinder), owes(judge.NeedLeft) && h.tried[v.Person] > 1,
		other == "" && (owes(judge.NeedLeft) || owes(judge.NeedSpeak)):
		h.say(judge.SaidOut, first(h.leaders("")), about)
	case owes(judge.NeedLeft):
		h.say(judge.SaidBroughtBack, other, about)
	case owes(judge.NeedSpeak):
		h.speak(v, other)
	case owes(judge.NeedCard):
		h.showCard(v)
	default:
		h.analyse(v)
	}
}

// speak is a word with a leader: that helium was a slip, or that a cylinder that is gone is not dived.
func (h *honest) speak(v judge.DiverVerdict, leader roster.PersonID) {
	if v.Rules[judge.RuleSpeak] == judge.NotCleared {
		h.say(judge.SaidHeliumSlip, leader, func(s *judge.Said) { s.Person = v.Person })
		return
	}
	for _, c := range v.Cylinders {
		if !h.stands(c.Cylinder) {
			h.notUsed(v, c.Cylinder)
		}
	}
}

// showCard shows a card to leader or crew; a sole leader's is seen by a named witness.
func (h *honest) showCard(v judge.DiverVerdict) {
	by := first(h.crew(v.Person))
	if by == "" {
		by = v.Person
	}
	h.say(judge.SaidCard, by, func(s *judge.Said) {
		s.Person, s.Card, s.Witness = v.Person, judge.CardSeen, first(h.present(v.Person))
	})
}

// analyse answers what is asked of a diver's cylinders: with words first, then with a number that somebody watches.
func (h *honest) analyse(v judge.DiverVerdict) {
	for _, c := range v.Cylinders {
		switch {
		case !h.stands(c.Cylinder):
			h.notUsed(v, c.Cylinder)
		case h.tried[v.Person] > 4 && c.Unsettled: // two cylinders under one label: no look settles that
			h.count++
			by := first(append(h.crew(v.Person), v.Person))
			h.say(judge.SaidAnother, by, func(s *judge.Said) { s.Cylinder, s.Label = c.Cylinder, fmt.Sprint("honest", h.count) })
		case slices.Contains(v.Needs, judge.NeedBoatAnswer) && len(c.Counting) == 0 && !c.Left:
			h.say(judge.SaidBoatAnswer, v.Person, func(s *judge.Said) { s.Cylinder, s.Boat = c.Cylinder, judge.BoatKept })
		case slices.Contains(v.Needs, judge.NeedAnswer):
			h.answer(v)
			h.watch(v, c.Cylinder)
		default:
			h.watch(v, c.Cylinder)
		}
	}
}

// stands tells whether the cylinder of a place is in use for the dive.
func (h *honest) stands(c roster.CylinderID) bool {
	q := h.product.inUse(h.product.trip, c)
	return q != nil && q.Retired.IsZero() && q.Dive == h.dive
}

// notUsed is a leader's word that a cylinder that was taken away is not dived here; of their own a sole leader
// can't say it, and sits out.
func (h *honest) notUsed(v judge.DiverVerdict, c roster.CylinderID) {
	if other := first(h.leaders(v.Person)); other != "" {
		h.say(judge.SaidNotUsed, other, func(s *judge.Said) { s.Cylinder = c })
		return
	}
	h.say(judge.SaidOut, first(h.leaders("")), func(s *judge.Said) { s.Person = v.Person })
}

// answer answers what numbers are being asked about.
func (h *honest) answer(v judge.DiverVerdict) {
	for q := range h.product.questions {
		h.say(judge.SaidAnswer, v.Person, func(s *judge.Said) { s.Question, s.Dive = q, 0 })
	}
}

// watch is a number that somebody else sees, on an analyser that was in air just now.
func (h *honest) watch(v judge.DiverVerdict, c roster.CylinderID) {
	by, witness := first(h.crew(v.Person)), roster.PersonID("")
	if by == "" {
		by, witness = v.Person, first(h.present(v.Person))
	}
	h.count++
	h.say(judge.SaidReading, by, func(s *judge.Said) {
		s.Cylinder, s.Value, s.Witness = c, h.inside(c), witness
		s.Analyser, s.AirPoint = "A", h.inAir()
		s.Reading = roster.ReadingID(fmt.Sprint("honest", h.count))
	})
}

// inside is what an analyser shows of a cylinder: of one label always the same, wherever it stands.
func (h *honest) inside(c roster.CylinderID) float64 {
	label := string(c)
	if q := h.product.inUse(h.product.trip, c); q != nil && q.Label != "" {
		label = "label " + strings.ToUpper(q.Label)
	}
	if h.shows[label] == 0 {
		h.shows[label] = h.last[c]
	}
	return h.shows[label]
}

// inAir is what a good analyser shows in the air of that day.
func (h *honest) inAir() float64 {
	if expected := h.air.Oxygen(h.product.trip.Dive(h.dive).Altitude); expected > 0 {
		return math.Round(float64(expected)*10) / 10
	}
	return 20.9
}

func first(list []roster.PersonID) roster.PersonID {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// present are who is on board, but for one; crew and leaders are those of them who are.
func (h *honest) present(but roster.PersonID) []roster.PersonID {
	return h.those(func(p *roster.Person) bool { return h.product.people.day[p.ID] != but })
}

func (h *honest) crew(but roster.PersonID) []roster.PersonID {
	return h.those(func(p *roster.Person) bool { return (p.Leader || p.Crew) && h.product.people.day[p.ID] != but })
}

func (h *honest) leaders(but roster.PersonID) []roster.PersonID {
	return h.those(func(p *roster.Person) bool { return p.Leader && h.product.people.day[p.ID] != but })
}

func (h *honest) those(are func(*roster.Person) bool) []roster.PersonID {
	var list []roster.PersonID
	for _, p := range h.product.trip.People {
		if p.Left.IsZero() && are(p) {
			list = append(list, h.product.people.day[p.ID])
		}
	}
	return list
}
