package sim

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// What has to be true of everything that people are told, held against the judge.

// holds looks through what was said in the last change. was and is are the judge's verdicts before and after it.
func (v *voice) holds(was, is judge.Verdicts, now time.Time) *Disagreement {
	v.remembersMax(was)
	v.remembersMax(is)
	v.tripIsHeard()
	for _, l := range v.letters {
		for _, line := range l.Message.Lines {
			v.oneDepth(l, line, was, is)
			v.stored(l, line)
		}
	}
	v.noGosAreHeard(is, now)
	v.signedAreCleared()
	if len(v.found) == 0 {
		return nil
	}
	return &Disagreement{Differences: v.found}
}

func (v *voice) wrong(what string, who roster.PersonID, got, want any) {
	v.found = append(v.found, Difference{What: what, Who: v.people.day[who], Got: fmt.Sprint(got), Want: fmt.Sprint(want)})
}

// oneDepth: "No message names a greater depth to or about that diver as something they may do." What stands on a
// label is of the gas.
func (v *voice) oneDepth(l conversation.Letter, line message.Line, was, is judge.Verdicts) {
	about := v.subject(l, line)
	if about == "" || fixed[line.Key] {
		return // of several, which no one sentence permits anything
	}
	most := max(v.ceiling(about, was), v.ceiling(about, is))
	if most == 0 {
		return
	}
	for _, d := range named(line) {
		deepest := most
		if d.before {
			deepest = max(most, v.everMax[about])
		}
		if d.Unit != v.units || d.Value <= float64(deepest) {
			continue
		}
		if text := plain.Line(line, message.Reader{Units: v.units.String()}); strings.Contains(text, d.String()) {
			v.wrong("a greater depth is named in "+line.Key, about, text, deepest)
		}
	}
}

// remembersMax keeps the deepest that each diver's max was on this day: of what held before nothing deeper is named.
func (v *voice) remembersMax(see judge.Verdicts) {
	for _, d := range see.Dives {
		for _, c := range d.Divers {
			who := v.people.product[c.Person]
			v.everMax[who] = max(v.everMax[who], c.Ceiling)
		}
	}
}

// subject is whom a line is about: who is named in it, else its reader; "" for several, or where leader or crew read
// of somebody whom another line names.
func (v *voice) subject(l conversation.Letter, line message.Line) roster.PersonID {
	about := v.namedIn(line)
	if len(about) == 1 && !strings.Contains(plain.Line(line, message.Reader{}), v.trip.Person(about[0]).Name) {
		about = nil // that value is for another text
	}
	if reader := v.trip.Person(l.Person); len(about) == 0 && reader != nil && (reader.Leader || reader.Crew) {
		for _, other := range l.Message.Lines {
			if len(v.namedIn(other)) > 0 {
				return ""
			}
		}
	}
	switch len(about) {
	case 0:
		return l.Person
	case 1:
		return about[0]
	}
	return ""
}

// ceiling is the deepest max that a person has on a dive, 0 when they dive none, or sit one out: then nothing is
// permitted, and the product works no max out.
func (v *voice) ceiling(who roster.PersonID, see judge.Verdicts) int {
	most := 0
	for _, d := range see.Dives {
		for _, c := range d.Divers {
			switch {
			case c.Person != v.people.day[who]:
			case c.Status == judge.StatusOut || c.Status == judge.StatusOutside:
				return 0
			default:
				most = max(most, c.Ceiling)
			}
		}
	}
	return most
}

// namedIn are the people whom a line names.
func (v *voice) namedIn(line message.Line) []roster.PersonID {
	var ids []roster.PersonID
	each(line, func(val message.Value, _ string, _ bool) {
		if val.Kind != message.KindName {
			return
		}
		for _, p := range v.trip.People {
			if p.Name == val.S && !slices.Contains(ids, p.ID) {
				ids = append(ids, p.ID)
			}
		}
	})
	return ids
}

// depthNamed is a depth that a line names as what somebody may do, or might before: "33 m, now 30 m".
type depthNamed struct {
	gas.Depth
	before bool
}

// named are the depths of a line that it lets somebody go to, limits and the plan of a go, and those that it says
// held before.
func named(line message.Line) []depthNamed {
	var depths []depthNamed
	each(line, func(val message.Value, key string, before bool) {
		noLimit := strings.HasPrefix(key, "label") || strings.HasPrefix(key, "remind.keep") || fixed[key]
		goes := val.Kind == message.KindPlanned && key == "verdict.go.planned"
		if val.Kind == message.KindLimit && !noLimit || goes {
			depths = append(depths, depthNamed{gas.Depth{Value: val.N, Unit: val.U}.Floor(), before})
		}
	})
	return depths
}

// fixed are lines whose depth is no permission: what a card says, what the policy allows, where a gas ends. Nor is
// one the table for no signal: it is of readings that were not taken yet.
var fixed = map[string]bool{"board.policy": true, "consent.policy": true, "broken.policy": true,
	"newcomer.said": true, "newcomer.said.no-card": true,
	"finding.depth-limit.beyond": true, "finding.depth.too-deep": true, "finding.deepest.beyond": true}

// each calls for every value of a line, within other lines and lists too, with the key of the line that it is in and
// whether the line says that it held before: it stands under "was" beside what holds now.
func each(line message.Line, do func(val message.Value, key string, before bool)) {
	eachIn(line, false, do)
}

func eachIn(line message.Line, before bool, do func(message.Value, string, bool)) {
	_, changed := line.Values.Of("now")
	var in func(message.Value, bool)
	in = func(val message.Value, before bool) {
		do(val, line.Key, before)
		if val.Rare == nil {
			return
		}
		if val.Line != nil {
			eachIn(*val.Line, before, do)
		}
		for _, o := range val.L {
			in(o, before)
		}
	}
	for _, value := range line.Values {
		in(value.Value, before || changed && value.Name == "was")
	}
}

// stored: "nothing is acknowledged that is not stored". Who is told that a number was recorded finds it in the trip.
func (v *voice) stored(l conversation.Letter, line message.Line) {
	if !strings.HasPrefix(line.Key, "diver.recorded") && !strings.HasPrefix(line.Key, "for.recorded") {
		return
	}
	percent, _ := line.Values.Of("percent")
	for _, p := range v.trip.People {
		for _, c := range p.Cylinders {
			for _, r := range c.Readings {
				if float64(r.Percent) == percent.N && r.By == l.Person {
					return
				}
			}
		}
	}
	v.wrong("acknowledged and not stored", l.Person, "nothing", percent.N)
}

// signedAreCleared: nobody who was no-go or not cleared when it was given stands under a signature that stands.
func (v *voice) signedAreCleared() {
	for i := range v.trip.SignOffs {
		s := &v.trip.SignOffs[i]
		if v.trip.WasDived(s.Dive) || v.trip.Standing(s, s.At).State != roster.StandsStanding {
			continue
		}
		b := v.trip.Board(s.Dive, s.At)
		for j := range b.People {
			if c := &b.People[j]; c.Active && !c.Goes() {
				v.wrong("stands under a signature", c.Person, c.Status, "go or limits")
			}
		}
	}
}

// noGosAreHeard: every no-go reached every leader who can be reached, when there was a little time for it.
func (v *voice) noGosAreHeard(is judge.Verdicts, now time.Time) {
	v.namesHeard(now)
	stopped := map[stop]time.Time{}
	for _, d := range is.Dives {
		for _, c := range d.Divers {
			if c.Status != judge.StatusNoGo || d.Dived {
				continue
			}
			s := stop{c.Person, d.Dive}
			if stopped[s] = v.stops[s]; stopped[s].IsZero() {
				stopped[s] = now
			}
			if now.Sub(stopped[s]) > heardWithin {
				v.heard(v.people.product[c.Person], stopped[s])
			}
		}
	}
	v.stops = stopped
}

// namesHeard remembers whose names were in the letters.
func (v *voice) namesHeard(now time.Time) {
	for _, l := range v.letters {
		for _, line := range l.Message.Lines {
			for _, who := range v.namedIn(line) {
				v.named[[2]roster.PersonID{l.Person, who}] = now
			}
		}
	}
}

// stop is a no-go that lasts.
type stop struct {
	who  roster.PersonID
	dive int
}

// heardWithin is how long news for the leaders may wait for others.
const heardWithin = 3 * time.Minute

func (v *voice) heard(who roster.PersonID, since time.Time) {
	if v.trip.Person(who).Erased {
		return // there is no name to hear
	}
	for _, p := range v.trip.Leaders() {
		if p.Joined.IsZero() || !p.Left.IsZero() || p.Unreachable != "" || p.ID == who {
			continue
		}
		if v.named[[2]roster.PersonID{p.ID, who}].IsZero() {
			v.wrong("a no-go that a leader did not hear of", who, p.Name+" heard nothing", since.Format(time.TimeOnly))
		}
	}
}
