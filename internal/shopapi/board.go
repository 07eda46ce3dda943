package shopapi

import (
	"math"
	"net/http"
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// boardJSON is the board of one dive: the clearance of everybody. Depths are in
// the trip's units.
type boardJSON struct {
	Trip        roster.TripID     `json:"trip"`
	At          time.Time         `json:"at"` // when it was computed
	Dive        int               `json:"dive"`
	Status      gas.Status        `json:"status"`
	Signed      bool              `json:"signed"` // a signature under this dive stands
	Dived       bool              `json:"dived"`  // then it is the board as it was
	Units       gas.Unit          `json:"units"`
	Counts      roster.Counts     `json:"counts"`
	Divers      []clearanceJSON   `json:"divers"` // leaders too: they dive and are checked like everybody
	Group       tightestJSON      `json:"group"`
	Teams       []teamJSON        `json:"teams"`
	Patterns    []patternJSON     `json:"patterns"`
	Unreachable []roster.PersonID `json:"unreachable"`
	NotJoined   []roster.PersonID `json:"not_joined"`
	Policy      []string          `json:"policy_changed"` // fields that are not the default
	Caution     string            `json:"caution"`
}

// clearanceJSON is one diver on one dive.
type clearanceJSON struct {
	ID     roster.PersonID `json:"id"`
	Name   string          `json:"name"`
	Leader bool            `json:"leader"`
	Crew   bool            `json:"crew"`
	// Status is the verdict's word, or "outside" or "out".
	Status  string        `json:"status"`
	Needs   []roster.Need `json:"needs"`
	Verdict string        `json:"verdict"` // as people read it
	// MaxDepth is the one depth that may be named to or about this diver: only
	// who may dive has one.
	MaxDepth   int                 `json:"max_depth,omitempty"`
	MaxMinutes int                 `json:"max_minutes,omitempty"`
	Outside    *outJSON            `json:"outside,omitempty"`
	Out        *outJSON            `json:"out,omitempty"`
	Cylinders  []boardCylinderJSON `json:"cylinders"` // for this dive
	Findings   []booking.Finding   `json:"findings"`
	Owes       []owedJSON          `json:"owes"`
	// Evening is what became of the evening-before message; none once they left.
	Evening *heardJSON `json:"evening,omitempty"`
}

type outJSON struct {
	By     roster.PersonID `json:"by,omitempty"` // "" for the shop
	At     time.Time       `json:"at"`
	Reason string          `json:"reason"`
}

func outOf(o *roster.Out) *outJSON {
	if o == nil {
		return nil
	}
	return &outJSON{o.By, o.At, o.Reason}
}

// satOut has a reason that everybody may read: what else a leader wrote is the
// leader's own.
func satOut(o *roster.Out) *outJSON {
	out := outOf(o)
	if out != nil {
		out.Reason = message.SharedReason(out.Reason)
	}
	return out
}

type boardCylinderJSON struct {
	ID      roster.CylinderID `json:"id"`
	Label   string            `json:"label,omitempty"`
	Asked   gas.Percent       `json:"asked,omitzero"`
	Reading *readingJSON      `json:"reading"` // the newest that counts
	// MOD is of the gas, as on the label; it says nothing of what its diver may do.
	MOD int `json:"mod,omitempty"`
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
	Why      roster.Need       `json:"why"`
}

// tightestJSON is the shallowest depth and the shortest time, and whose they are.
type tightestJSON struct {
	MaxDepth int             `json:"max_depth,omitempty"`
	DepthBy  roster.PersonID `json:"depth_by,omitempty"`
	Minutes  int             `json:"max_minutes,omitempty"`
	TimeBy   roster.PersonID `json:"time_by,omitempty"`
}

type teamJSON struct {
	Team string `json:"team"`
	tightestJSON
}

func tightestOut(t roster.Tightest) tightestJSON {
	return tightestJSON{booking.Whole(t.MaxDepth), t.DepthBy, int(t.MaxMinutes), t.TimeBy}
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
		out = append(out, patternJSON{p.Kind, p.Analyser, roster.CylinderID(p.Cylinder), math.Round(p.Points*100) / 100,
			p.Readings})
	}
	return out
}

// board is the board of a dive: the one that is asked for, or the first that is
// not signed.
func (a *api) board(c *call) {
	t, ok := a.trip(c)
	if !ok {
		return
	}
	dive, err := c.dive(t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	heard, err := a.announcements(c.Context(), t)
	if err != nil {
		a.failed(c.w, c.Request, err)
		return
	}
	answer(c.w, http.StatusOK, a.boardOut(t, dive, heard, c.now))
}

// dive is the number that the query asks for.
func (c *call) dive(t *roster.Trip) (int, error) {
	var f booking.Faults
	f.KnownQuery(c.URL.Query(), "dive")
	n := shownDive(t, c.now)
	if s := c.URL.Query().Get("dive"); s != "" {
		asked, err := strconv.Atoi(s)
		if err != nil || t.Dive(asked) == nil {
			f.Add("?dive", "is %s: 1 to %d is accepted", booking.Quoted(s), len(t.Dives))
		}
		n = asked
	}
	return n, f.Err()
}

// shownDive is the dive that a board is of unless one is asked for: the first
// that is neither signed nor dived, the last one when there is none.
func shownDive(t *roster.Trip, now time.Time) int {
	if n := t.DefaultDive(now); n > 0 {
		return n
	}
	return len(t.Dives)
}

func (a *api) boardOut(t *roster.Trip, dive int, heard []heardJSON, now time.Time) boardJSON {
	b := t.Board(dive, now)
	out := boardJSON{Trip: t.ID, At: now, Dive: dive, Status: b.Status, Signed: t.Signed(dive, now), Dived: b.Dived,
		Units:  t.Units,
		Counts: b.Counts, Divers: []clearanceJSON{}, Group: tightestOut(b.Group), Teams: []teamJSON{},
		Patterns:    patternsOut(t),
		Unreachable: []roster.PersonID{}, NotJoined: []roster.PersonID{}, Policy: append([]string{}, b.Policy...),
		Caution: a.say("page.caution")}
	for i := range b.People {
		line := a.clearanceOut(t, &b.People[i], now)
		if n := slices.IndexFunc(heard, func(h heardJSON) bool { return h.ID == line.ID }); n >= 0 {
			line.Evening = &heard[n]
		}
		out.Divers = append(out.Divers, line)
	}
	for _, team := range b.Teams {
		out.Teams = append(out.Teams, teamJSON{team.Team, tightestOut(team.Tightest)})
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
	return out
}

func (a *api) clearanceOut(t *roster.Trip, c *roster.Clearance, now time.Time) clearanceJSON {
	p := t.Person(c.Person)
	out := clearanceJSON{ID: p.ID, Name: p.Name, Leader: p.Leader, Crew: p.Crew, Status: c.State(),
		Needs:   append([]roster.Need{}, c.Needs...),
		Verdict: a.Renderer.Line(message.Cleared(t, c), message.Reader{}),
		Outside: outOf(c.Outside), Out: satOut(c.Out), Cylinders: []boardCylinderJSON{}, Findings: []booking.Finding{},
		Owes: []owedJSON{}}
	if c.Goes() {
		out.MaxDepth, out.MaxMinutes = booking.Whole(c.Max), int(c.MaxMinutes)
	}
	for _, cyl := range p.Cylinders {
		n := c.Verdict.NumbersOf(string(cyl.ID))
		if n != nil || cyl.Retired.IsZero() && cyl.Dive == c.Dive {
			out.Cylinders = append(out.Cylinders, boardCylinder(t, cyl, n, now))
		}
	}
	for _, f := range c.Verdict.Reasons() {
		out.Findings = append(out.Findings, booking.FindingOf(f, a.english))
	}
	for _, o := range c.Owes {
		out.Owes = append(out.Owes, owedJSON{o.Cylinder, o.Why})
	}
	return out
}

func boardCylinder(t *roster.Trip, c *roster.Cylinder, n *gas.Numbers, now time.Time) boardCylinderJSON {
	out := boardCylinderJSON{ID: c.ID, Label: c.Label, Asked: c.Asked}
	if n != nil {
		out.MOD = booking.Whole(t.Policy.OnLabel(n.Rich, n.Label))
	}
	if r := counting(t, c.ID, now); r != nil {
		out.Reading = &readingJSON{r.ID, r.Percent, r.When(), r.Stage, r.Entrant, r.Analyser}
	}
	return out
}

// counting is the newest reading that counts for a cylinder's diver and dive,
// nil when none does.
func counting(t *roster.Trip, c roster.CylinderID, now time.Time) *roster.Reading {
	list := t.Evidence(c, now).Counting
	if len(list) == 0 {
		return nil
	}
	_, r := t.Reading(roster.ReadingID(list[len(list)-1].ID))
	return r
}

// say is a sentence of the catalogue without values.
func (a *api) say(key string) string {
	return a.Renderer.Line(message.Say(key, nil), message.Reader{})
}

// english writes a line as the API says it.
func (a *api) english(l message.Line) string { return a.Renderer.Line(l, message.Reader{}) }
