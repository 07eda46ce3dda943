package papers

import (
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// Version is the board of one dive as a leader signed it, or as it stands while
// nobody has. One that does not stand any more stays in the record.
type Version struct {
	State       string        `json:"state"` // "signed", "broken", "lapsed", "withdrawn", "unsigned"
	SignedBy    string        `json:"signed_by,omitempty"`
	SignedAt    time.Time     `json:"signed_at,omitzero"`
	BrokenAt    time.Time     `json:"broken_at,omitzero"`
	Differs     string        `json:"differs,omitempty"` // the first fact that differs, in words
	WithdrawnBy string        `json:"withdrawn_by,omitempty"`
	WithdrawnAt time.Time     `json:"withdrawn_at,omitzero"`
	Reason      string        `json:"withdrawn_for,omitempty"`
	Status      gas.Status    `json:"status"`
	Limits      []string      `json:"limits"` // the tightest of all and of each team, in words
	Divers      []DiverLine   `json:"divers"`
	Outside     []OutRecord   `json:"outside"` // whom this check does not cover
	Out         []OutRecord   `json:"out"`
	Policy      []string      `json:"policy_changed"` // fields that weren't the default then
	head        []string      // what stands over it
	group       []string      // the tightest of all, in words
	teams       [][]string    // and of each team: its name, depth and minutes
	at          time.Time     // whose readings it shows
	board       *roster.Board // what it is made of
}

// DiverLine is one person's clearance.
type DiverLine struct {
	ID         roster.PersonID `json:"id"`
	Number     int             `json:"number"` // their place on the trip
	Name       string          `json:"name"`
	Leader     bool            `json:"leader,omitempty"`
	Crew       bool            `json:"crew,omitempty"`
	Team       string          `json:"team,omitempty"`
	Status     string          `json:"status"`
	Needs      []roster.Need   `json:"needs,omitempty"`
	Verdict    string          `json:"verdict"`             // in words
	MaxDepth   float64         `json:"max_depth,omitempty"` // the diver's, of who may dive
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
	MOD      float64           `json:"mod,omitempty"`     // of the gas, as on the label
	NotFor   string            `json:"not_for,omitempty"` // the site, where it is a no-go there
}

// OutRecord is that somebody sat a dive out, or was outside this check. The
// reason for a sit-out is one of a few words; what else a leader wrote is the
// leader's own.
type OutRecord struct {
	ID     roster.PersonID `json:"id"`
	Name   string          `json:"name"`
	By     string          `json:"by"`
	At     time.Time       `json:"at"`
	Reason string          `json:"reason"`
	Text   string          `json:"text"`
}

// versions are all boards of dive n, the earliest first: those that were signed
// and, while no signature stands, the board as it is or as it was dived.
func (w teller) versions(n int, now time.Time) []Version {
	list := []Version{}
	for i := range w.trip.SignOffs {
		if s := &w.trip.SignOffs[i]; s.Dive == n {
			list = append(list, w.signed(s, now))
		}
	}
	if !w.trip.Signed(n, now) {
		b := w.trip.Board(n, now)
		list = append(list, w.fill(Version{State: "unsigned", at: now, board: &b,
			head: []string{w.say("record.unsigned", nil)}}))
	}
	return list
}

func (w teller) signed(s *roster.SignOff, now time.Time) Version {
	v := Version{State: "signed", SignedBy: w.who(s.By), SignedAt: s.At.UTC(), at: s.At, board: &s.Board.Board}
	v.head = []string{w.say("record.signed",
		message.Args{"who": w.whoValue(s.By), "at": message.Moment(s.At, w.trip.Zone)})}
	is := w.trip.Standing(s, now)
	if is.State != roster.StandsStanding {
		v.State = string(is.State)
	}
	if b := is.Differs; b != nil {
		v.BrokenAt, v.Differs = b.At.UTC(), w.line(message.Differs(w.trip, b))
		v.head = append(v.head, w.say("papers.broken",
			message.Args{"at": message.Moment(b.At, w.trip.Zone), "what": message.Text(v.Differs)}))
	}
	if is.State == roster.StandsLapsed {
		v.head = append(v.head, w.say("papers.lapsed", message.Args{"at": message.Moment(s.Lapses, w.trip.Zone)}))
	}
	if back := s.Withdrawn; back != nil {
		v.WithdrawnBy, v.WithdrawnAt, v.Reason = w.who(back.By), back.At.UTC(), w.reason(back.Reason)
		v.head = append(v.head, w.say("record.reopened", message.Args{"who": w.whoValue(back.By),
			"at": message.Moment(back.At, w.trip.Zone), "reason": message.Text(v.Reason)}))
	}
	return w.fill(v)
}

// old tells whether a version was signed and does not stand any more.
func (v Version) old() bool { return v.State != "signed" && v.State != "unsigned" }

// fill writes the lines of a version from its board.
func (w teller) fill(v Version) Version {
	v.Status, v.Policy = v.board.Status, append([]string{}, v.board.Policy...)
	v.group, v.teams = w.group(v.board), w.teams(v.board)
	v.Limits = append(append([]string{}, v.group...), w.teamLines(v.board)...)
	v.Divers, v.Out, v.Outside = []DiverLine{}, []OutRecord{}, []OutRecord{}
	for i := range v.board.People {
		switch c := &v.board.People[i]; {
		case c.Outside != nil:
			v.Outside = append(v.Outside, w.outside(c, v.State == "signed"))
		case c.Out != nil:
			v.Out = append(v.Out, w.out(c.Person, c.Out, w.line(message.OutReason(c.Out.Reason)), "papers.out"))
		case c.Active || c.Left:
			v.Divers = append(v.Divers, w.diver(c, v.at))
		}
	}
	return v
}

// outside names somebody whom this check does not cover: a leader who signs
// clears them by other means.
func (w teller) outside(c *roster.Clearance, signed bool) OutRecord {
	key := "papers.outside"
	if signed {
		key += ".signed"
	}
	return w.out(c.Person, c.Outside, w.reason(c.Outside.Reason), key)
}

func (w teller) out(p roster.PersonID, o *roster.Out, reason, key string) OutRecord {
	one := OutRecord{ID: p, Name: w.who(p), By: w.who(o.By), At: o.At.UTC(), Reason: reason}
	one.Text = w.say(key, message.Args{"name": w.whoValue(p), "reason": message.Text(one.Reason),
		"who": w.whoValue(o.By), "at": message.Clock(o.At, w.trip.Zone)})
	return one
}

// group is the tightest of everybody, in words.
func (w teller) group(b *roster.Board) (lines []string) {
	if g := b.Group; g.MaxDepth.Known() {
		lines = append(lines, w.say("papers.group.depth",
			message.Args{"depth": message.Limit(g.MaxDepth), "who": w.whoValue(g.DepthBy)}))
	}
	if g := b.Group; g.MaxMinutes > 0 {
		lines = append(lines, w.say("papers.group.minutes",
			message.Args{"minutes": message.Minutes(g.MaxMinutes), "who": w.whoValue(g.TimeBy)}))
	}
	return lines
}

// teamLines are the tightest of each team, in words.
func (w teller) teamLines(b *roster.Board) (lines []string) {
	for _, team := range b.Teams {
		a := message.Args{"team": message.Name(team.Team)}
		if team.MaxDepth.Known() {
			a["depth"], a["who"] = message.Limit(team.MaxDepth), w.whoValue(team.DepthBy)
			lines = append(lines, w.say("board.team.depth", a))
		}
		if team.MaxMinutes > 0 {
			a["minutes"], a["whose"] = message.Minutes(team.MaxMinutes), w.whoValue(team.TimeBy)
			lines = append(lines, w.say("board.team.minutes", a))
		}
	}
	return lines
}

// teams are the same as the rows of a table.
func (w teller) teams(b *roster.Board) (rows [][]string) {
	for _, team := range b.Teams {
		row := []string{message.Clean(team.Team), "", ""}
		if team.MaxDepth.Known() {
			row[1] = w.say("papers.tightest", message.Args{"limit": message.Limit(team.MaxDepth),
				"who": w.whoValue(team.DepthBy)})
		}
		if team.MaxMinutes > 0 {
			row[2] = w.say("papers.tightest", message.Args{"limit": message.Minutes(team.MaxMinutes),
				"who": w.whoValue(team.TimeBy)})
		}
		rows = append(rows, row)
	}
	return rows
}

// diver is one person's line: the clearance, the cylinders for this dive, and
// every reason.
func (w teller) diver(c *roster.Clearance, at time.Time) DiverLine {
	p := w.trip.Person(c.Person)
	line := DiverLine{ID: c.Person, Number: number(w.trip, c.Person), Name: w.who(c.Person), Status: c.State(),
		Needs:   c.Needs,
		Verdict: w.line(message.Cleared(w.trip, c)), Cylinders: []CylinderLine{}, Reasons: []string{}}
	if p != nil {
		line.Leader, line.Crew, line.Team = p.Leader, p.Crew, p.Team
	}
	if c.Goes() {
		line.MaxDepth, line.MaxMinutes = c.Max.Floor().Value, int(c.MaxMinutes)
	}
	for _, f := range c.Verdict.Reasons() {
		text, _ := message.FindingForLeader(f)
		line.Reasons = append(line.Reasons, w.line(text))
	}
	for i := range c.Verdict.Numbers {
		n := &c.Verdict.Numbers[i]
		if _, cyl := w.trip.Cylinder(roster.CylinderID(n.Cylinder)); cyl != nil {
			line.Cylinders = append(line.Cylinders, w.cylinder(c, cyl, n, at))
		}
	}
	return line
}

// cylinder is one cylinder of a clearance. One that is a no-go says for which
// site it is none.
func (w teller) cylinder(c *roster.Clearance, cyl *roster.Cylinder, n *gas.Numbers, at time.Time) CylinderLine {
	line := CylinderLine{ID: cyl.ID, Label: cyl.Label, Asked: cyl.Asked, Percent: n.Rich,
		MOD: w.trip.Policy.OnLabel(n.Rich, n.Label).Value}
	if c.Verdict.StatusOf(n.Cylinder) == gas.NoGo {
		line.NotFor = site(w.trip, c.Dive)
	}
	if r := readingAt(cyl, n, at); r != nil {
		line.At, line.Analyser, line.Percent = r.When().UTC(), r.Analyser, r.Percent
	}
	return line
}

// readingAt is the newest reading that a figure of an instant may be of: within
// what counted, said by then, not taken back by then, and not the shop's.
func readingAt(c *roster.Cylinder, n *gas.Numbers, at time.Time) *roster.Reading {
	var last *roster.Reading
	for _, r := range c.Readings {
		gone := !r.Undone.IsZero() && !r.Undone.At.After(at)
		if !r.Said.After(at) && !gone && r.Entrant != gas.ByShop && n.Lean <= r.Percent && r.Percent <= n.Rich {
			last = r
		}
	}
	return last
}
