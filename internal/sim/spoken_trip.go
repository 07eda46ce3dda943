package sim

import (
	"fmt"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// What is said of the trip as a whole, and of who runs it.

func (v *voice) invite(by *roster.Person, s judge.Said) string {
	switch g := v.trip.Gate; {
	case !by.Leader:
		return ""
	case !g.Open && s.Yes:
		return "/letin"
	case g.Open && s.Yes:
		return fmt.Sprint("[gnew ", g.Generation)
	case g.Open:
		return fmt.Sprint("[gshut ", g.Generation)
	}
	return ""
}

func (v *voice) comesIn(by *roster.Person, s judge.Said) string {
	n := v.trip.Newcomer(v.newcomers[s.Person].id)
	switch {
	case n == nil || !by.Leader && !by.Crew:
		return ""
	case s.Card != judge.CardSeen:
		return "[gin " + n.ID
	case n.Card == gas.CardNone:
		return "" // no card is seen of who has none
	}
	return "[gin " + n.ID + " seen"
}

func (v *voice) sendAway(by *roster.Person, s judge.Said) string {
	n := v.trip.Newcomer(v.newcomers[s.Person].id)
	if n == nil || !by.Leader && !by.Crew {
		return ""
	}
	return "[gno " + n.ID
}

func (v *voice) callOff(by *roster.Person, _ judge.Said) string {
	if !by.Leader {
		return ""
	}
	return or(map[string]string{"de": "/calloff Wind", "fr": "/calloff trop de vent"}[by.Language], "/calloff wind")
}

func (v *voice) putOn(by *roster.Person, _ judge.Said) string {
	if !by.Leader || v.trip.CalledOff == nil {
		return ""
	}
	return "[lputon"
}

func (v *voice) drop(by *roster.Person, s judge.Said) string {
	if !by.Leader || s.Dive != len(v.trip.Dives) {
		return ""
	}
	return "/drop"
}

// postpone is typed with the hour, where the day is the same. What the shop wanted meanwhile is said otherwise.
func (v *voice) postpone(by *roster.Person, s judge.Said) string {
	sameDay := s.Departs.YearDay() == v.trip.Departs.YearDay() && s.Departs.Second() == 0
	more := s.FirstDiveAfter != v.trip.FirstDiveAfter || v.trip.Wanted.Starts != nil
	if !by.Leader || !sameDay || s.Departs.Before(s.At) || more {
		return ""
	}
	return "/postpone " + s.Departs.Format("15:04")
}

func (v *voice) role(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if !by.Leader || who == by || who.Erased {
		return ""
	}
	switch {
	case s.Leader && (who.Leader || who.Crew != s.Crew):
		return "" // it is asked whether they are to lead no more; crew who lead stay crew
	case s.Leader:
		return "[llead " + string(who.ID) + " too"
	case s.Crew:
		return "/crew " + who.Name
	case who.Crew:
		return "[llead " + string(who.ID) + " diver"
	}
	return "[llead " + string(who.ID) + " back"
}

func (v *voice) handOver(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if !by.Leader || who == by || !atHand(who) {
		return "" // chat hands over only to who can be reached
	}
	return "[llead " + string(who.ID) + " instead"
}

func atHand(p *roster.Person) bool {
	return !p.Joined.IsZero() && p.Left.IsZero() && p.Unreachable == "" && !p.Erased
}

func (v *voice) leave(by *roster.Person, s judge.Said) string {
	if v.about(s) != by || by.Leader && v.handsOverFirst(by) {
		return ""
	}
	return "[leave yes"
}

// handsOverFirst tells whether a leader is asked to hand over before leaving: others are at hand,
// and none of them leads.
func (v *voice) handsOverFirst(by *roster.Person) bool {
	others := slices.DeleteFunc(slices.Clone(v.trip.People), func(p *roster.Person) bool { return p == by || !atHand(p) })
	return len(others) > 0 && !slices.ContainsFunc(others, func(p *roster.Person) bool { return p.Leader })
}
