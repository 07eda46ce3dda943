package conversation

import (
	"cmp"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The people on the board: who needs something first.

// personLines are the active people, those who need something first; plain
// go's share a line when there are many.
func (t *turn) personLines(b *roster.Board) []message.Line {
	var people []*roster.PersonBoard
	for i := range b.People {
		if pb := &b.People[i]; pb.Active {
			people = append(people, pb)
		}
	}
	slices.SortStableFunc(people, func(x, y *roster.PersonBoard) int { return cmp.Compare(urgency(x), urgency(y)) })
	var lines []message.Line
	var plain []*roster.PersonBoard
	for _, pb := range people {
		if pb.Status == gas.Go {
			plain = append(plain, pb)
			continue
		}
		lines = append(lines, gap())
		lines = append(lines, t.needyLines(pb)...)
	}
	return append(lines, t.goLines(plain)...)
}

// goLines are the plain go's: a line each, or one for all of a long roster.
func (t *turn) goLines(plain []*roster.PersonBoard) []message.Line {
	if len(plain) == 0 {
		return nil
	}
	lines := []message.Line{gap()}
	if len(plain) < compactFrom {
		for _, pb := range plain {
			lines = append(lines, t.goLine(pb))
		}
		return lines
	}
	var names []message.Value
	for _, pb := range plain {
		names = append(names, t.compactGo(pb))
	}
	return append(lines, message.Say("board.goes", message.Args{
		"verdict": verdictOf(gas.Go, gas.Depth{}), "names": message.List(names...)}))
}

// urgency orders the board: stop, analyse, limits, go.
func urgency(pb *roster.PersonBoard) int {
	return slices.Index([]gas.Status{gas.NoGo, gas.NoReading, gas.GoWithLimits, gas.Go}, pb.Status)
}

// blocks tells whether a person stands in the way of the sign-off.
func blocks(pb *roster.PersonBoard) bool {
	return pb.Active && (pb.Status == gas.NoGo || pb.Status == gas.NoReading)
}

// needyLines are a person who is no plain go: verdict, cylinders, and the one
// thing to do.
func (t *turn) needyLines(pb *roster.PersonBoard) []message.Line {
	key := "board.person"
	if pb.Left {
		key = "board.person.left"
	}
	lines := []message.Line{message.Loud(key, message.Args{
		"verdict": verdictOf(pb.Status, ownLimit(pb)), "name": t.nameOf(pb.Person)})}
	if why := t.whyLine(pb); why.Key != "" {
		lines = append(lines, why)
	}
	p := t.trip.Person(pb.Person)
	for _, c := range p.InUse() {
		if n := numbersOf(pb, c.ID); n != nil {
			lines = append(lines, cylinderLine(c, n))
		}
	}
	return lines
}

// ownLimit is the depth that makes a person differ from the group.
func ownLimit(pb *roster.PersonBoard) gas.Depth {
	var max gas.Depth
	for _, f := range pb.Verdict.Findings {
		if f.Severity == gas.Limits && !f.Group && f.MaxDepth.Known() && (!max.Known() || max.DeeperThan(f.MaxDepth)) {
			max = f.MaxDepth
		}
	}
	return max
}

// whyLine is what is wrong and what to do about it, from the worst finding.
func (t *turn) whyLine(pb *roster.PersonBoard) message.Line {
	if pb.Left {
		return message.Say("board.left", message.Args{"name": t.nameOf(pb.Person)})
	}
	f, ok := worst(pb)
	if !ok {
		return message.Line{}
	}
	return t.findingFor(f)
}

// worst is the finding that decides a person's status, the first in the
// order of the rules.
func worst(pb *roster.PersonBoard) (gas.Finding, bool) {
	want := map[gas.Status]gas.Severity{gas.NoGo: gas.Stop, gas.NoReading: gas.Missing, gas.GoWithLimits: gas.Limits}
	severity, ok := want[pb.Status]
	if !ok {
		return gas.Finding{}, false
	}
	for _, f := range pb.Verdict.Findings {
		if f.Severity == severity && !f.Group {
			return f, true
		}
	}
	return gas.Finding{}, false
}

// numbersOf are the figures of a cylinder on the board, nil without a reading.
func numbersOf(pb *roster.PersonBoard, c roster.CylinderID) *gas.Numbers {
	for i := range pb.Verdict.Numbers {
		if n := &pb.Verdict.Numbers[i]; n.Cylinder == string(c) && n.Rich.Known() {
			return n
		}
	}
	return nil
}

// cylinderLine is what one cylinder holds: the reading and the label's depth.
func cylinderLine(c *roster.Cylinder, n *gas.Numbers) message.Line {
	return message.Say("board.cylinder", cylinderArgs(c, n))
}

func cylinderArgs(c *roster.Cylinder, n *gas.Numbers) message.Args {
	percent := n.Rich
	if r := c.Current(); r != nil {
		percent = r.Percent
	}
	return message.Args{"cylinder": message.Of(cylinderName(c)), "percent": message.Percent(percent),
		"mod": message.Limit(n.Label)}
}

// goLine is one plain go with its cylinders.
func (t *turn) goLine(pb *roster.PersonBoard) message.Line {
	return message.Say("board.go", message.Args{"verdict": verdictOf(gas.Go, gas.Depth{}),
		"name": t.nameOf(pb.Person), "cylinders": t.cylinders(pb)})
}

// compactGo is a go in a long roster: the name, the readings.
func (t *turn) compactGo(pb *roster.PersonBoard) message.Value {
	return message.Of(message.Say("board.go.compact", message.Args{
		"name": t.nameOf(pb.Person), "cylinders": t.cylinders(pb)}))
}

func (t *turn) cylinders(pb *roster.PersonBoard) message.Value {
	var parts []message.Value
	for _, c := range t.trip.Person(pb.Person).InUse() {
		if n := numbersOf(pb, c.ID); n != nil {
			parts = append(parts, message.Of(message.Say("board.go.cylinder", cylinderArgs(c, n))))
		}
	}
	return message.List(parts...)
}

// teamLines say each team's depth and time and whose gas sets them.
func (t *turn) teamLines(b *roster.Board) []message.Line {
	var lines []message.Line
	for _, team := range b.Teams {
		a := message.Args{"team": message.Name(team.Team), "dive": message.Count(team.Dive)}
		if team.MaxDepth.Known() {
			a["depth"], a["who"] = message.Limit(team.MaxDepth), t.nameOf(team.DepthBy)
			lines = append(lines, message.Say("board.team.depth", a))
		}
		if team.MaxMinutes > 0 {
			lines = append(lines, message.Say("board.team.minutes", message.Args{"team": a["team"], "dive": a["dive"],
				"minutes": message.Minutes(team.MaxMinutes), "who": t.nameOf(team.TimeBy)}))
		}
	}
	return section("board.teams", lines)
}
