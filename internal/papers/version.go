package papers

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Version is the board of one dive as a leader signed it, or as it stands while
// nobody has. One that was reopened stays in the record.
type Version struct {
	State      string       `json:"state"` // "signed", "reopened", "unsigned"
	SignedBy   string       `json:"signed_by,omitempty"`
	SignedAt   time.Time    `json:"signed_at,omitzero"`
	ReopenedBy string       `json:"reopened_by,omitempty"`
	ReopenedAt time.Time    `json:"reopened_at,omitzero"`
	Reason     string       `json:"reopened_for,omitempty"`
	Status     gas.Status   `json:"status"`
	Limits     []string     `json:"limits"` // of the group and of teams, in words
	Divers     []DiverLine  `json:"divers"`
	Out        []OutRecord  `json:"out"`
	Policy     []string     `json:"policy_changed"` // fields that weren't the default then
	head       []string     // what stands over it
	at         time.Time    // whose readings it shows
	board      roster.Board // what it is made of
}

// DiverLine is one person's line.
type DiverLine struct {
	ID         roster.PersonID `json:"id"`
	Number     int             `json:"number"` // their place on the trip
	Name       string          `json:"name"`
	Leader     bool            `json:"leader,omitempty"`
	Team       string          `json:"team,omitempty"`
	Left       bool            `json:"left,omitempty"`
	Status     gas.Status      `json:"status"`
	Verdict    string          `json:"verdict"` // in words
	MaxDepth   float64         `json:"max_depth,omitempty"`
	MaxMinutes int             `json:"max_minutes,omitempty"`
	Cylinders  []CylinderLine  `json:"cylinders"`
	Reasons    []string        `json:"reasons"` // in words: everything that was more than a pass
}

// CylinderLine is one cylinder of a line, with the reading that counted then.
type CylinderLine struct {
	ID       roster.CylinderID `json:"id"`
	Label    string            `json:"label,omitempty"`
	Asked    gas.Percent       `json:"asked,omitzero"`
	Percent  gas.Percent       `json:"percent,omitzero"`
	At       time.Time         `json:"taken_at,omitzero"`
	Analyser string            `json:"analyser,omitempty"`
	MOD      float64           `json:"mod,omitempty"` // as on the label
}

// OutRecord is a sit-out.
type OutRecord struct {
	ID     roster.PersonID `json:"id"`
	Name   string          `json:"name"`
	By     string          `json:"by"`
	At     time.Time       `json:"at"`
	Reason string          `json:"reason"`
}

// versions are all boards of dive n, the earliest first.
func (w teller) versions(n int, now time.Time) []Version {
	list := []Version{}
	signed := false
	for i := range w.trip.SignOffs {
		if s := &w.trip.SignOffs[i]; s.Dive == n {
			signed = signed || s.Reopened == nil
			list = append(list, w.signed(s))
		}
	}
	switch {
	case n == w.trip.CurrentDive():
		v := Version{State: "unsigned", at: now, board: w.trip.Board(now), head: []string{w.say("record.unsigned", nil)}}
		list = append(list, w.fill(v, n))
	case !signed:
		list = append(list, Version{State: "unsigned", head: []string{w.say("record.unsigned.later", nil)},
			Limits: []string{}, Divers: []DiverLine{}, Out: []OutRecord{}, Policy: []string{}})
	}
	return list
}

func (w teller) signed(s *roster.SignOff) Version {
	v := Version{State: "signed", SignedBy: w.who(s.By), SignedAt: s.At.UTC(), at: s.At, board: s.Board}
	v.head = []string{w.say("record.signed", message.Args{"who": w.whoValue(s.By), "at": message.Moment(s.At, w.trip.Zone)})}
	if s.Reopened != nil {
		v.State, v.ReopenedBy, v.ReopenedAt = "reopened", w.who(s.Reopened.By), s.Reopened.At.UTC()
		v.Reason = w.reopenedFor(s.Reopened.Reason)
		v.head = append(v.head, w.say("record.reopened", message.Args{"who": w.whoValue(s.Reopened.By),
			"at": message.Moment(s.Reopened.At, w.trip.Zone), "reason": message.Text(v.Reason)}))
	}
	return w.fill(v, s.Dive)
}

// fill writes the lines of a version from its board.
func (w teller) fill(v Version, dive int) Version {
	v.Status, v.Policy = v.board.Status, append([]string{}, v.board.Policy...)
	v.Limits, v.Divers, v.Out = w.limits(&v.board, dive), []DiverLine{}, []OutRecord{}
	for i := range v.board.People {
		pb := &v.board.People[i]
		if pb.Out != nil {
			v.Out = append(v.Out, OutRecord{pb.Person, w.who(pb.Person), w.who(pb.Out.By), pb.Out.At.UTC(), w.reason(pb.Out.Reason)})
		}
		if pb.Active {
			v.Divers = append(v.Divers, w.diver(pb, dive, v.at))
		}
	}
	return v
}

// limits are those of the group and of teams on one dive, in words.
func (w teller) limits(b *roster.Board, dive int) []string {
	lines := []string{}
	for _, g := range b.Group {
		a := message.Args{"dive": message.Count(g.Dive), "site": message.Name(w.trip.Dives[dive-1].Site)}
		if g.Dive == dive && g.MaxDepth.Known() {
			a["depth"] = message.Limit(g.MaxDepth)
			lines = append(lines, w.say("board.group.depth", a))
		}
		if g.Dive == dive && g.MaxMinutes > 0 {
			a["minutes"] = message.Minutes(g.MaxMinutes)
			lines = append(lines, w.say("board.group.minutes", a))
		}
	}
	for _, team := range b.Teams {
		a := message.Args{"team": message.Name(team.Team), "dive": message.Count(team.Dive)}
		if team.Dive == dive && team.MaxDepth.Known() {
			a["depth"], a["who"] = message.Limit(team.MaxDepth), w.whoValue(team.DepthBy)
			lines = append(lines, w.say("board.team.depth", a))
		}
		if team.Dive == dive && team.MaxMinutes > 0 {
			a["minutes"], a["who"] = message.Minutes(team.MaxMinutes), w.whoValue(team.TimeBy)
			lines = append(lines, w.say("board.team.minutes", a))
		}
	}
	return lines
}

// diver is one person's line on one dive: the verdict with the limits that were
// theirs alone, the cylinders for this dive, and every reason.
func (w teller) diver(pb *roster.PersonBoard, dive int, at time.Time) DiverLine {
	p := w.trip.Person(pb.Person)
	line := DiverLine{ID: pb.Person, Number: number(w.trip, pb.Person), Name: w.who(pb.Person), Left: pb.Left, Status: pb.Status,
		Cylinders: []CylinderLine{}, Reasons: []string{}}
	if p != nil {
		line.Leader, line.Team = p.Leader, p.Team
	}
	var depth gas.Depth
	var minutes float64
	for _, f := range pb.Verdict.Findings {
		if f.Severity == gas.Limits && !f.Group && f.Dive == dive {
			depth, minutes = shallower(depth, f.MaxDepth), shorter(minutes, f.MaxMinutes)
		}
	}
	line.MaxDepth, line.MaxMinutes = depth.Floor().Value, int(minutes)
	line.Verdict = w.line(message.VerdictWithin(pb.Status, depth, minutes))
	for _, f := range pb.Verdict.Reasons() {
		if f.Dive == dive || f.Dive == 0 {
			text, _ := message.FindingForLeader(f)
			line.Reasons = append(line.Reasons, w.line(text))
		}
	}
	for _, n := range pb.Verdict.Numbers {
		if _, c := w.trip.Cylinder(roster.CylinderID(n.Cylinder)); c != nil && n.Dive == dive && n.Rich.Known() {
			line.Cylinders = append(line.Cylinders, cylinderLine(c, n, at))
		}
	}
	return line
}

func shallower(a, b gas.Depth) gas.Depth {
	if !a.Known() || b.Known() && a.DeeperThan(b) {
		return b
	}
	return a
}

func shorter(a, b float64) float64 {
	if a <= 0 || b > 0 && b < a {
		return b
	}
	return a
}

func cylinderLine(c *roster.Cylinder, n gas.Numbers, at time.Time) CylinderLine {
	line := CylinderLine{ID: c.ID, Label: c.Label, Asked: c.Asked, Percent: n.Rich, MOD: n.Label.Value}
	if r := readingAt(c, at); r != nil {
		line.At, line.Analyser = r.At.UTC(), r.Analyser
		if n.Lean <= r.Percent && r.Percent <= n.Rich {
			line.Percent = r.Percent
		}
	}
	return line
}

// readingAt is the reading that counted last at an instant, nil when none did.
func readingAt(c *roster.Cylinder, at time.Time) *roster.Reading {
	var last *roster.Reading
	for _, r := range c.Readings {
		came := r.Taken
		if came.IsZero() {
			came = r.At
		}
		gone := !r.Undone.IsZero() && !r.Undone.After(at) || !r.Void.IsZero() && !r.Void.After(at)
		if !came.After(at) && !gone {
			last = r
		}
	}
	return last
}
