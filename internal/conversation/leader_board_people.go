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

// goLines are the plain go's, a line each; in a long roster the verdict is
// said once for all of them.
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
	lines = append(lines, message.Loud("board.goes", message.Args{
		"verdict": verdictOf(gas.Go, gas.Depth{}), "count": message.Count(len(plain))}))
	for _, pb := range plain {
		lines = append(lines, t.compactGo(pb))
	}
	return lines
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
		"verdict": boardVerdict(pb, t.onDive()), "name": t.nameOf(pb.Person)})}
	lines = append(lines, t.whyLines(pb)...)
	p := t.trip.Person(pb.Person)
	for _, c := range p.InUse() {
		if n := numbersOf(pb, c.ID); n != nil {
			lines = append(lines, t.cylinderLine(c, n))
		}
	}
	return lines
}

// boardVerdict is a person's verdict on a board about a dive: the limits are
// that dive's, without what the whole group shares.
func boardVerdict(pb *roster.PersonBoard, dive int) message.Value {
	var l limits
	for _, f := range pb.Verdict.Findings {
		if f.Severity == gas.Limits && !f.Group && f.Dive == dive {
			l.tighten(f.MaxDepth, f.MaxMinutes)
		}
	}
	return l.verdict(pb.Status)
}

// ownVerdict is a person's verdict for a dive as they are told it themselves.
func ownVerdict(pb *roster.PersonBoard, dive int) message.Value {
	var l limits
	for _, n := range pb.Verdict.Numbers {
		if n.Dive == dive {
			l.tighten(n.MaxDepth, n.MaxMinutes)
		}
	}
	return l.verdict(pb.Own)
}

// limits are a depth and a time not to exceed; zero is none.
type limits struct {
	depth   gas.Depth
	minutes float64
}

// tighten takes another limit in, if it is one and stricter.
func (l *limits) tighten(d gas.Depth, minutes float64) {
	if d.Known() && (!l.depth.Known() || l.depth.DeeperThan(d)) {
		l.depth = d
	}
	if minutes > 0 && (l.minutes == 0 || minutes < l.minutes) {
		l.minutes = minutes
	}
}

func (l limits) verdict(s gas.Status) message.Value {
	return message.Of(message.VerdictWithin(s, l.depth, l.minutes))
}

// onDive is the dive that a board is about now: the current one, the last one
// when all are signed off.
func (t *turn) onDive() int {
	if n := t.trip.CurrentDive(); n > 0 {
		return n
	}
	return len(t.trip.Dives)
}

// whyLines are what decides a person's status, a line for each cylinder, and
// what to do about it.
func (t *turn) whyLines(pb *roster.PersonBoard) []message.Line {
	if pb.Left {
		return []message.Line{message.Say("board.left", message.Args{"name": t.nameOf(pb.Person)})}
	}
	return t.findingLines(decisive(pb.Verdict, pb.Status, lifted))
}

// lifted tells whether a finding says only what the whole group shares.
func lifted(f gas.Finding) bool { return f.Group }

// decisive are the findings that make a status, without those that but says
// are not to count: every limit, but only the first reason of each cylinder
// for anything worse.
func decisive(v gas.Verdict, status gas.Status, but func(gas.Finding) bool) []gas.Finding {
	want := map[gas.Status]gas.Severity{gas.NoGo: gas.Stop, gas.NoReading: gas.Missing, gas.GoWithLimits: gas.Limits}
	severity, ok := want[status]
	if !ok {
		return nil
	}
	var found []gas.Finding
	seen := map[string]bool{}
	for _, f := range v.Reasons() {
		if f.Severity != severity || seen[f.Cylinder] || (but != nil && but(f)) {
			continue
		}
		seen[f.Cylinder] = status != gas.GoWithLimits
		found = append(found, f)
	}
	return found
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
func (t *turn) cylinderLine(c *roster.Cylinder, n *gas.Numbers) message.Line {
	a := message.Args{"cylinder": message.Of(t.cylinderOn(c)), "percent": message.Percent(shown(c, n)),
		"mod": message.Limit(n.Label), "rich": message.Percent(n.Rich)}
	if countsRicher(c, n) {
		return message.Say("board.cylinder.richer", a)
	}
	return message.Say("board.cylinder", a)
}

// countsRicher tells whether a cylinder counts as so much richer than its
// newest reading, because of the one before, that it has to be said.
func countsRicher(c *roster.Cylinder, n *gas.Numbers) bool { return n.Rich-shown(c, n) > worthSaying }

// worthSaying is a difference in points that half a point for missing decimals
// doesn't explain.
const worthSaying gas.Percent = 0.6

// shown is the reading as the analyser showed it; on a board of the past, the
// value that was held against the depth.
func shown(c *roster.Cylinder, n *gas.Numbers) gas.Percent {
	if r := c.Current(); r != nil && n.Lean <= r.Percent && r.Percent <= n.Rich {
		return r.Percent
	}
	return n.Rich
}

// goLine is one plain go with its cylinders.
func (t *turn) goLine(pb *roster.PersonBoard) message.Line {
	return message.Say("board.go", message.Args{"verdict": verdictOf(gas.Go, gas.Depth{}),
		"name": t.nameOf(pb.Person), "cylinders": message.Of(t.cylinders(pb))})
}

// compactGo is a go in a long roster, without the verdict.
func (t *turn) compactGo(pb *roster.PersonBoard) message.Line {
	return message.Say("board.go.compact", message.Args{"name": t.nameOf(pb.Person), "cylinders": message.Of(t.cylinders(pb))})
}

// cylinders are a person's readings in one line; no key when there is none.
func (t *turn) cylinders(pb *roster.PersonBoard) message.Line {
	var all message.Line
	for _, c := range t.trip.Person(pb.Person).Cylinders { // a board of the past has retired ones too
		n := numbersOf(pb, c.ID)
		if n == nil {
			continue
		}
		one := message.Say("board.go.cylinder", message.Args{"cylinder": message.Of(t.cylinderOn(c)),
			"percent": message.Percent(shown(c, n)), "mod": message.Limit(n.Label)})
		if all.Key == "" {
			all = one
			continue
		}
		all = message.Say("board.go.cylinders", message.Args{"first": message.Of(all), "next": message.Of(one)})
	}
	return all
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
