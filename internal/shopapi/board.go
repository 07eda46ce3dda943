package shopapi

import (
	"math"
	"net/http"
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// boardJSON is the go / no-go summary. Depths are in the trip's units.
type boardJSON struct {
	Trip        roster.TripID     `json:"trip"`
	At          time.Time         `json:"at"` // when it was computed
	Status      gas.Status        `json:"status"`
	Dive        int               `json:"dive"` // the current one; 0 when every dive is signed off
	Units       gas.Unit          `json:"units"`
	Counts      roster.Counts     `json:"counts"`
	Divers      []lineJSON        `json:"divers"` // leaders too: they dive and are checked like everybody
	Group       []groupJSON       `json:"group_limits"`
	Teams       []teamJSON        `json:"teams"`
	Patterns    []patternJSON     `json:"patterns"`
	Unreachable []roster.PersonID `json:"unreachable"`
	NotJoined   []roster.PersonID `json:"not_joined"`
	Policy      []string          `json:"policy_changed"` // fields that are not the default
	Caution     string            `json:"caution"`
}

type lineJSON struct {
	ID        roster.PersonID     `json:"id"`
	Name      string              `json:"name"`
	Leader    bool                `json:"leader"`
	Active    bool                `json:"active"`
	Left      bool                `json:"left"`
	Out       *outJSON            `json:"out,omitempty"`
	Status    gas.Status          `json:"status"` // limits that the whole group shares are lifted
	Own       gas.Status          `json:"own"`    // by itself, as the diver is told
	Verdict   string              `json:"verdict"`
	Cylinders []boardCylinderJSON `json:"cylinders"`
	Findings  []findingJSON       `json:"findings"`
	Owes      []owedJSON          `json:"owes"`
	// Evening is what became of the evening-before message; none once they left.
	Evening *heardJSON `json:"evening,omitempty"`
}

type outJSON struct {
	By     roster.PersonID `json:"by"`
	At     time.Time       `json:"at"`
	Reason string          `json:"reason"`
}

type boardCylinderJSON struct {
	ID       roster.CylinderID `json:"id"`
	Label    string            `json:"label,omitempty"`
	Dive     int               `json:"dive"`
	Asked    gas.Percent       `json:"asked,omitzero"`
	Reading  *readingJSON      `json:"reading"` // the last that counts
	MOD      int               `json:"mod,omitempty"`
	MaxDepth int               `json:"max_depth,omitempty"`
	Minutes  int               `json:"max_minutes,omitempty"`
}

type readingJSON struct {
	ID       roster.ReadingID `json:"id"`
	Percent  gas.Percent      `json:"percent"`
	At       time.Time        `json:"taken_at"`
	Stage    gas.Stage        `json:"stage"`
	By       gas.Entrant      `json:"by"`
	Analyser string           `json:"analyser,omitempty"`
}

type owedJSON struct {
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	Why      string            `json:"why"`
}

type groupJSON struct {
	Dive     int      `json:"dive"`
	Rule     gas.Rule `json:"rule"`
	MaxDepth int      `json:"max_depth,omitempty"`
	Minutes  int      `json:"max_minutes,omitempty"`
}

type teamJSON struct {
	Team     string          `json:"team"`
	Dive     int             `json:"dive"`
	MaxDepth int             `json:"max_depth,omitempty"`
	DepthBy  roster.PersonID `json:"depth_by,omitempty"`
	Minutes  int             `json:"max_minutes,omitempty"`
	TimeBy   roster.PersonID `json:"time_by,omitempty"`
}

// patternJSON is what deviating readings have in common; see gas.Pattern.
type patternJSON struct {
	Kind     gas.PatternKind   `json:"kind"`
	Analyser string            `json:"analyser,omitempty"`
	Cylinder roster.CylinderID `json:"cylinder,omitempty"`
	Points   float64           `json:"points"` // richer than asked when positive
	Readings int               `json:"readings"`
}

func patternsOut(t *roster.Trip) []patternJSON {
	out := []patternJSON{}
	for _, p := range t.Patterns() {
		out = append(out, patternJSON{p.Kind, p.Analyser, roster.CylinderID(p.Cylinder), math.Round(p.Points*100) / 100, p.Readings})
	}
	return out
}

func (a *api) board(c *call) {
	t, ok := a.trip(c)
	if !ok {
		return
	}
	b := t.Board(c.now)
	out := boardJSON{Trip: t.ID, At: c.now, Status: b.Status, Dive: b.Dive, Units: t.Units, Counts: b.Counts,
		Divers: []lineJSON{}, Group: []groupJSON{}, Teams: []teamJSON{},
		Patterns: patternsOut(t), Unreachable: []roster.PersonID{}, NotJoined: []roster.PersonID{}, Policy: append([]string{}, b.Policy...),
		Caution: a.say("page.caution")}
	heard, err := a.announcements(c.Context(), t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	for i := range b.People {
		line := a.lineOut(t, &b.People[i])
		if n := slices.IndexFunc(heard, func(h heardJSON) bool { return h.ID == line.ID }); n >= 0 {
			line.Evening = &heard[n]
		}
		out.Divers = append(out.Divers, line)
	}
	for _, g := range b.Group {
		out.Group = append(out.Group, groupJSON{g.Dive, g.Rule, whole(g.MaxDepth), int(g.MaxMinutes)})
	}
	for _, m := range b.Teams {
		out.Teams = append(out.Teams, teamJSON{m.Team, m.Dive, whole(m.MaxDepth), m.DepthBy, int(m.MaxMinutes), m.TimeBy})
	}
	for _, p := range t.People {
		switch {
		case p.Erased || !p.Left.IsZero():
		case p.Unreachable != "":
			out.Unreachable = append(out.Unreachable, p.ID)
		case p.Joined.IsZero():
			out.NotJoined = append(out.NotJoined, p.ID)
		}
	}
	answer(c.w, http.StatusOK, out)
}

// whole is a limit as people read it: rounded down.
func whole(d gas.Depth) int { return int(d.Floor().Value) }

func (a *api) lineOut(t *roster.Trip, pb *roster.PersonBoard) lineJSON {
	p := t.Person(pb.Person)
	out := lineJSON{ID: p.ID, Name: p.Name, Leader: p.Leader, Active: pb.Active, Left: pb.Left, Status: pb.Status,
		Own: pb.Own, Cylinders: []boardCylinderJSON{}, Findings: []findingJSON{}, Owes: []owedJSON{}}
	if pb.Out != nil {
		out.Out = &outJSON{pb.Out.By, pb.Out.At, pb.Out.Reason}
	}
	var deepest gas.Depth
	for _, n := range pb.Verdict.Numbers {
		if n.MaxDepth.Known() && (!deepest.Known() || deepest.DeeperThan(n.MaxDepth)) {
			deepest = n.MaxDepth
		}
	}
	out.Verdict = a.Renderer.Line(message.Verdict(pb.Own, deepest), message.Reader{})
	for _, c := range p.InUse() {
		out.Cylinders = append(out.Cylinders, boardCylinder(c, pb.Verdict.Numbers))
	}
	for _, f := range pb.Verdict.Reasons() {
		out.Findings = append(out.Findings, a.findingOut(f))
	}
	for _, o := range pb.Owes {
		out.Owes = append(out.Owes, owedJSON{o.Cylinder, o.Why})
	}
	return out
}

func boardCylinder(c *roster.Cylinder, numbers []gas.Numbers) boardCylinderJSON {
	out := boardCylinderJSON{ID: c.ID, Label: c.Label, Dive: c.Dive, Asked: c.Asked}
	if r := c.Current(); r != nil {
		out.Reading = &readingJSON{r.ID, r.Percent, r.At, r.Stage, r.Entrant, r.Analyser}
	}
	for _, n := range numbers {
		if n.Cylinder == string(c.ID) && n.Rich > 0 {
			out.MOD, out.MaxDepth, out.Minutes = whole(n.Label), whole(n.MaxDepth), int(n.MaxMinutes)
		}
	}
	return out
}

// say is a sentence of the catalogue without values.
func (a *api) say(key string) string {
	return a.Renderer.Line(message.Say(key, nil), message.Reader{})
}
