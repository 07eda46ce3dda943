package sim

import (
	"fmt"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// What is said of people, of the dives that were dived, and of signatures.

// about is the person that something is said of.
func (v *voice) about(s judge.Said) *roster.Person { return v.trip.Person(v.people.product[s.Person]) }

func (v *voice) cardSeen(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if s.Card != judge.CardSeen || s.Witness != "" || who == by || !by.Leader && !by.Crew || who.Erased {
		return ""
	}
	return "/cardseen " + who.Name
}

func (v *voice) limit(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if who == nil || !by.Leader || !who.Dives() || who.Erased || s.Limit == (judge.Limit{}) {
		return ""
	}
	depth := v.depth(s.Limit.Depth)
	u, card := v.trip.Units, who.DepthLimit.NamedIn(v.trip.Units)
	if card.Known() && depth.NamedIn(u).DeeperThan(card) {
		return "" // chat says that it is beyond the qualification
	}
	text := "/limit " + who.Name + " all"
	if s.Dive > 0 {
		text = fmt.Sprintf("/limit %s dive %d", who.Name, s.Dive)
	}
	if depth.Known() {
		text += " " + typedDepth(depth)
	}
	if s.Limit.Minutes > 0 {
		text += fmt.Sprintf(" %v min", s.Limit.Minutes)
	}
	return text + " because first dive"
}

func typedDepth(d gas.Depth) string { return fmt.Sprintf("%v%s", d.Value, d.Unit) }

func onDive(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" dive %d", n)
}

func (v *voice) sitsOut(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if !by.Leader || !who.Dives() || who.Erased || len(who.Outs) > 0 {
		return ""
	}
	return "/out " + who.Name + onDive(s.Dive) + " gear"
}

func (v *voice) goesOutside(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if !by.Leader || !who.Dives() || who.Erased || len(who.Outsides) > 0 {
		return ""
	}
	return "/outside " + who.Name + onDive(s.Dive) + " rebreather"
}

func (v *voice) trimix(by *roster.Person, s judge.Said) string {
	if v.about(s) != by || len(by.InUse()) == 0 {
		return ""
	}
	return or(map[string]string{"de": "ich habe Trimix 21/35", "es": "tengo trimix 21/35"}[by.Language], "trimix 21/35")
}

func (v *voice) slip(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	if !by.Leader || who.Erased || len(who.Speak) == 0 {
		return ""
	}
	settles := "[lslip " + string(who.ID)
	for _, said := range who.Speak {
		settles += " " + said.ID
	}
	return settles
}

func (v *voice) brought(by *roster.Person, s judge.Said) string {
	if !by.Leader || v.about(s).Erased {
		return ""
	}
	return "[lbring " + string(v.about(s).ID)
}

func (v *voice) last24(by *roster.Person, s judge.Said) string {
	switch {
	case v.about(s) != by:
		return ""
	case s.Yes:
		return "[before yes"
	}
	return "[before no"
}

// saysDived is a leader's word: as planned by a button, other values typed.
func (v *voice) saysDived(by *roster.Person, s judge.Said) string {
	who := v.about(s)
	switch {
	case !by.Leader:
		return ""
	case s.Dived == (judge.Dived{}) && who == nil && !v.trip.WasDived(s.Dive):
		return fmt.Sprintf("[ldived %d yes 0", s.Dive)
	case s.Dived.Depth == 0 || s.Dived.Minutes == 0 || who != nil && who.Erased || v.asksFirst(by, s):
		return ""
	}
	text := fmt.Sprintf("/dived %d %s %v", s.Dive, typedDepth(v.depth(s.Dived.Depth)), s.Dived.Minutes)
	if who != nil {
		text += " " + who.Name
	}
	return text
}

// asksFirst tells whether a leader is asked: before the planned start nothing is recorded by the words alone.
func (v *voice) asksFirst(by *roster.Person, s judge.Said) bool {
	return by.Leader && s.At.Before(v.trip.Starts(s.Dive))
}

func (v *voice) saysDivedMyself(by *roster.Person, s judge.Said) string {
	if s.Dived.Depth == 0 || s.Dived.Minutes == 0 || v.asksFirst(by, s) {
		return ""
	}
	return fmt.Sprintf("/dived %d %s %v", s.Dive, typedDepth(v.depth(s.Dived.Depth)), s.Dived.Minutes)
}

func (v *voice) notDivedAtAll(by *roster.Person, s judge.Said) string {
	switch {
	case !by.Leader:
		return ""
	case s.Kind == judge.SaidNotDived:
		return fmt.Sprintf("[ldived %d no 0", s.Dive)
	}
	return fmt.Sprintf("[ldived %d back 0", s.Dive)
}

// sign signs once it was said what became of the dives before, and only what is not signed.
func (v *voice) sign(by *roster.Person, s judge.Said) string {
	if !by.Leader || v.trip.Signed(s.Dive, s.At) {
		return ""
	}
	for n := 1; n < s.Dive; n++ {
		if v.trip.Dive(n).Outcome == nil {
			return ""
		}
	}
	return fmt.Sprintf("[lsign %d", s.Dive)
}

func (v *voice) reopen(by *roster.Person, s judge.Said) string {
	if !by.Leader {
		return ""
	}
	return fmt.Sprintf("/reopen dive %d plan changed", s.Dive)
}
