package roster

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"gasmuster/internal/gas"
)

// Facts are what a signature stands for: values with names, canonical, so that
// equal facts have equal bytes. They hold no names of people, no labels and no
// texts; ids only say whose a fact is and are not compared.
type Facts struct {
	Trip   []Fact        `json:"trip"`
	People []PersonFacts `json:"people"`
}

// Fact is one value with its name.
type Fact struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// PersonFacts are those of one person.
type PersonFacts struct {
	Person PersonID `json:"person"`
	Facts  []Fact   `json:"facts"`
}

// FactsOf are the facts of dive n as of an instant.
func (t *Trip) FactsOf(n int, now time.Time) Facts {
	if t.Dive(n) == nil {
		return Facts{}
	}
	l := t.look(now)
	return l.facts(n, l.board(n))
}

func (l *look) facts(n int, b Board) Facts {
	d := l.Dive(n)
	f := Facts{Trip: []Fact{
		{FactSite, d.Site}, {FactDepth, depthText(d.Depth)}, {FactBottom, bottomText(*d)}, {FactMinutes, number(d.Minutes)},
		{FactWater, d.Water.String()}, {FactAltitude, number(d.Altitude)}, {FactInterval, number(d.Interval)},
		{FactStart, timeText(l.Starts(n))},
	}}
	for _, v := range l.Policy.Values() {
		f.Trip = append(f.Trip, Fact{FactPolicy + " " + v[0], v[1]})
	}
	for _, p := range l.People {
		f.People = append(f.People, PersonFacts{p.ID, l.factsOf(p, n, b.Of(p.ID))})
	}
	return f
}

// factsOf are a person's facts, causes before what follows from them, so that
// the first that differs says why. Of who sits out or is outside they are the same:
// what would be found if they were not. Who does not dive has a role and a team
// alone.
func (l *look) factsOf(p *Person, n int, c *Clearance) []Fact {
	facts := []Fact{{FactRole, p.role()}, {FactTeam, p.Team}, {FactLeft, yes(!p.Left.IsZero())},
		{FactDives, yes(c != nil)}}
	if c == nil {
		return facts
	}
	v := &c.Verdict
	if out := c.Out != nil || c.Outside != nil; out {
		all := l.assess(p, n)
		v = &all
		facts = append(facts, Fact{FactOut, c.State()})
	} else {
		facts = append(facts, Fact{FactOut, ""}, Fact{FactSpeak, p.speakText()},
			Fact{FactDivedBefore, yes(p.DivedBefore == "yes")})
	}
	facts = append(facts, Fact{FactCard, string(p.Card)},
		Fact{FactQualification, depthText(p.DepthLimit.NamedIn(l.Units))}, Fact{FactLimit, limitText(p.LimitOn(n), l.Units)},
		Fact{FactTeamLimit, limitText(l.TeamLimitOn(p, n), l.Units)})
	for _, leg := range l.legs(p, n) {
		text := legText(leg)
		if !leg.AtSurface {
			_, minutes := l.dived(leg.Number, p.ID)
			text += ", " + number(minutes) + " min"
		}
		facts = append(facts, Fact{FactDived, text})
	}
	return append(facts, Fact{FactCylinders, l.cylindersText(p, n)}, Fact{FactStatus, c.State()},
		Fact{FactLimits, limitingText(v)}, Fact{FactMax, depthText(c.Max)}, Fact{FactMaxMinutes, number(c.MaxMinutes)})
}

// speakText is of what kind the newest is that is to be settled.
func (p *Person) speakText() string {
	if n := len(p.Speak); n > 0 {
		return string(p.Speak[n-1].Kind)
	}
	return ""
}

func (p *Person) role() string {
	switch {
	case p.Leader:
		return "leader"
	case p.Crew:
		return "crew"
	default:
		return "diver"
	}
}

// limitingText are the rules that found limits.
func limitingText(v *gas.Verdict) string {
	var rules []string
	for i := range v.Findings {
		if f := &v.Findings[i]; v.SeverityOf(f.Rule) == gas.Limits && f.Severity == gas.Limits {
			rules = append(rules, string(f.Rule))
		}
	}
	slices.Sort(rules)
	return strings.Join(slices.Compact(rules), " ")
}

func (l *look) cylindersText(p *Person, n int) string {
	var cylinders []string
	for _, c := range p.claiming(n) {
		cylinders = append(cylinders, l.cylinderText(p, c, n))
	}
	slices.Sort(cylinders)
	return strings.Join(cylinders, "; ")
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// limitText is a limit in the trip's unit, whatever unit it was said in.
func limitText(l gas.Limit, u gas.Unit) string {
	if l.Depth.Known() && l.Depth.Unit != u {
		l.Depth = l.Depth.LimitIn(u)
	}
	return strings.TrimSpace(depthText(l.Depth) + " " + number(l.Minutes))
}

// legText is what was dived before: how long somebody stayed at the surface is none of it, and tells in the times.
func legText(l gas.Leg) string {
	switch {
	case l.AtSurface && l.Minutes == 0:
		return fmt.Sprintf("%d: not dived", l.Number)
	case l.AtSurface:
		return fmt.Sprintf("%d: at the surface", l.Number)
	}
	return fmt.Sprintf("%d: %s %v min, %v to %v", l.Number, depthText(l.Depth), l.Minutes, l.Lean, l.Rich)
}

// cylinderText is what counts of a cylinder: whether it is in use, how often it was changed for
// another, the set of values that count with analyser and air point, carbon
// monoxide, the boat answer.
func (l *look) cylinderText(p *Person, c *Cylinder, n int) string {
	changed := 0
	for _, o := range p.Cylinders {
		if o.At() == c.At() && o.Swapped && o.Dive == n {
			changed++
		}
	}
	e, _ := l.find(p, c, n)
	var values []string
	for _, v := range e.Counting {
		values = append(values, fmt.Sprintf("%v %s %v %.3f %.3f", float64(v.Percent), v.Analyser, float64(v.AirPoint),
			float64(v.Rich), float64(v.Lean)))
	}
	slices.Sort(values)
	answer := l.answerOn(c, n).Answer
	co := ""
	if e.CO.Known {
		co = fmt.Sprint(e.CO.Value)
	}
	return fmt.Sprintf("in use %t, changed %d, values %s, co %s, boat %s", c.stands(n), changed,
		strings.Join(slices.Compact(values), " / "), co, answer)
}

// storedFacts are facts as they are stored: packed, as a signed board is.
type storedFacts Facts

// MarshalJSON is the stored form.
func (f Facts) MarshalJSON() ([]byte, error) { return json.Marshal(pack(storedFacts(f))) }

// UnmarshalJSON reads the stored form.
func (f *Facts) UnmarshalJSON(b []byte) error {
	var packed []byte
	if err := json.Unmarshal(b, &packed); err != nil {
		return fmt.Errorf("the facts of a signature are not packed: %w", err)
	}
	if err := unpack(packed, (*storedFacts)(f)); err != nil {
		return fmt.Errorf("the facts of a signature can't be read: %w", err)
	}
	return nil
}
