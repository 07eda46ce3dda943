package desk

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// tripPage is one trip with everything that the office does about it.
type tripPage struct {
	formPage
	ID         string
	Departs    string
	Day        string // of its fill list
	Plans      []string
	Notes      []string // head of the board: what is unusual
	Over       bool
	CalledOff  string
	Back       bool // it may take place after all
	Leaderless string
	Open       string // the link of the open invite, "" while it is shut
	WhyOff     string // asks why it is called off
	Locked     string
	Waits      bool // what the shop changed waits for a leader
	Settle     []settleView
	People     []personRow
	Board      boardView
	Signatures []string
	Announced  string
	Papers     []paperLink
	Text       string // of a message that was not sent
}

// settleView is a request that does not fit, with the tap that puts it right.
type settleView struct {
	Text     string
	Cylinder string
	Asked    string // the blend that the button orders, as typed
	Button   string
}

type personRow struct {
	ID, Name, Role, Card, Limit, State string
	Gases                              []string
	Gone                               bool
}

// boardView is the board of one dive.
type boardView struct {
	Dive           int
	Tabs           []tabView
	Status         gas.Status
	Head, Counts   string
	Plan, Group    []string
	Missing, Notes []string
	People         []boardRow
}

type tabView struct {
	Number int
	Label  string
	Now    bool
}

type boardRow struct {
	Status, Verdict string
	Why, Gases      []string
}

type paperLink struct{ Address, Label string }

func (d *Desk) trip(v *visit) {
	if t, ok := d.tripOf(v); ok {
		v.page.Done = v.note()
		d.showTrip(v, 200, t, nil)
	}
}

func (d *Desk) showTrip(v *visit, status int, t *roster.Trip, typed *form) {
	v.page.Title, v.page.Section, v.page.Live = t.Name, "days", v.page.Problem == ""
	s := tripPage{formPage: newForm(v.page), ID: string(t.ID), Over: t.Over(v.now), Waits: t.Wanted.Any()}
	s.fromPlan(t)
	s.Day = s.values["date"]
	s.values["name"] = "" // to be typed by who erases it
	s.keepTyped(typed)
	s.Text = s.values["text"]
	s.Departs = s.line(message.Say("fills.departs", message.Args{"at": message.Moment(t.Departs, t.Zone)}))
	a := message.Args{"trip": message.Name(t.Name), "day": message.Day(t.Departs, t.Zone)}
	s.WhyOff = s.line(message.Say("calloff.why", a))
	if s.CalledOff = s.calledOff(t); s.CalledOff != "" {
		_, err := booking.PutOn(v.now)(t)
		s.Back = err == nil
	}
	s.Leaderless = s.leaderless(t, v.now)
	for i, dive := range t.Dives {
		s.Plans = append(s.Plans, s.planLine(i+1, dive))
	}
	s.fillIn(t, v.now)
	s.Board = s.boardOf(t, diveOf(v, t), v.now)
	if t.GateOpen(v.now) {
		s.Open = d.Links.Open(t.ID, t.Gate.Generation)
	}
	s.Papers = d.papersOf(s.page, t)
	d.show(v.w, status, "trip", s)
}

// calledOff says that a trip is called off, "" when it isn't.
func (p page) calledOff(t *roster.Trip) string {
	if t.CalledOff == nil {
		return ""
	}
	return p.line(message.Say("calloff.is",
		message.Args{"trip": message.Name(t.Name), "reason": message.Text(t.CalledOff.Reason)}))
}

func (p page) planLine(n int, dive roster.Dive) string {
	return p.line(message.Say("desk.dive", message.Args{"dive": message.Count(n), "site": message.Name(dive.Site),
		"depth": message.Planned(dive.Depth), "minutes": message.Minutes(dive.Minutes)}))
}

func (s *tripPage) fillIn(t *roster.Trip, now time.Time) {
	list := booking.ListFills(t, now, s.line)
	for _, one := range list.Settle {
		s.Settle = append(s.Settle, s.settle(one))
	}
	if !list.Locked.IsZero() {
		s.Locked = s.line(message.Say("fills.locked", message.Args{"at": message.Moment(list.Locked, t.Zone)}))
	}
	if !t.Announced.IsZero() {
		s.Announced = s.line(message.Say("desk.announced", message.Args{"at": message.Moment(t.Announced, t.Zone)}))
	}
	for _, p := range t.People {
		if !p.Erased {
			s.People = append(s.People, s.row(t, p))
		}
	}
	for i := range t.SignOffs {
		s.Signatures = append(s.Signatures, s.signature(t, &t.SignOffs[i], now))
	}
}

// settle offers the richest blend that still fits when it comes out a point
// rich, failing that the richest that fits at all.
func (s *tripPage) settle(one booking.Settle) settleView {
	out := settleView{Text: one.Text, Cylinder: string(one.Cylinder)}
	better := one.Recommended
	if better == 0 {
		better = one.Richest
	}
	if one.What == "does-not-fit" && better > 0 && better < one.Asked {
		out.Asked = booking.Plain(float64(better))
		out.Button = s.line(message.Say("desk.order", message.Args{"asked": message.Blend(better)}))
	}
	return out
}

func (p page) role(one *roster.Person) string { return p.T("desk.role." + string(booking.RoleOf(one))) }

func (s page) row(t *roster.Trip, p *roster.Person) personRow {
	out := personRow{ID: string(p.ID), Name: p.Name, Role: s.role(p), Gone: !p.Left.IsZero()}
	out.Card = s.T("fills.card." + string(booking.PersonOf(p).Card))
	if p.DepthLimit.Known() {
		out.Limit = s.value(message.Limit(p.DepthLimit.NamedIn(t.Units)))
	}
	for _, c := range p.InUse() {
		out.Gases = append(out.Gases, s.request(c))
	}
	switch {
	case out.Gone:
		out.State = s.T("desk.left")
	case p.Joined.IsZero():
		out.State = s.T("desk.not-joined")
	case p.Unreachable != "":
		out.State = s.T("desk.unreachable")
	default:
		out.State = s.T("desk.joined")
	}
	return out
}

// request is what is ordered for a cylinder, and which one it is.
func (p page) request(c *roster.Cylinder) string {
	asked := message.Value(message.Code("–"))
	if c.Asked > 0 {
		asked = message.Blend(c.Asked)
	}
	args := message.Args{"dive": message.Count(c.Dive), "asked": asked}
	if c.Label == "" {
		return p.line(message.Say("desk.request", args))
	}
	args["cylinder"] = message.Name(c.Label)
	return p.line(message.Say("desk.request.label", args))
}

func (p page) signature(t *roster.Trip, s *roster.SignOff, now time.Time) string {
	is := t.Standing(s, now)
	name := ""
	if by := t.Person(s.By); by != nil {
		name = by.Name
	}
	text := p.line(message.Say("desk.signed", message.Args{"dive": message.Count(s.Dive), "name": message.Name(name),
		"at": message.Moment(s.At, t.Zone)})) + " " + p.T("desk.signed."+string(is.State))
	if is.Differs != nil {
		text += " " + p.line(message.Differs(t, is.Differs))
	}
	return text
}

// diveOf is the dive that is asked for, or the first that is not done with.
func diveOf(v *visit, t *roster.Trip) int {
	if n, err := strconv.Atoi(v.URL.Query().Get("dive")); err == nil && t.Dive(n) != nil {
		return n
	}
	if n := t.DefaultDive(v.now); n > 0 {
		return n
	}
	return len(t.Dives)
}

func (p page) boardOf(t *roster.Trip, n int, now time.Time) boardView {
	b := conversation.ViewBoard(t, "", n, now)
	out := boardView{Dive: n, Status: b.Status, Head: p.line(b.Head), Counts: p.line(b.Counts), Plan: p.lines(b.Plan),
		Group: p.lines(b.Group), Missing: p.lines(b.Missing), Notes: append(p.lines(b.Notices), p.lines(b.Rest)...)}
	for i := range t.Dives {
		out.Tabs = append(out.Tabs, tabView{i + 1,
			p.line(message.Say("page.board.dive", message.Args{"dive": message.Count(i + 1),
				"site": message.Name(t.Dives[i].Site)})), i+1 == n})
	}
	for _, one := range append(b.People, b.Out...) {
		row := boardRow{Status: one.State, Verdict: p.line(one.Verdict), Why: p.lines(one.Why)}
		for _, c := range one.Cylinders {
			row.Gases = append(row.Gases, p.line(c.Line))
		}
		out.People = append(out.People, row)
	}
	return out
}

// misfits counts the requests of a trip that do not fit.
func misfits(t *roster.Trip, now time.Time) (n int) {
	for _, p := range t.People {
		if !p.Left.IsZero() {
			continue
		}
		for _, c := range p.InUse() {
			if c.Asked > 0 && p.OutOf(c.Dive) == nil && booking.Misfit(t, p, c, now) != "" {
				n++
			}
		}
	}
	return n
}

// actOnTrip does what one button of the trip's page says.
func (d *Desk) actOnTrip(v *visit) {
	t, ok := d.tripOf(v)
	if !ok {
		return
	}
	f := v.form()
	done, err := d.act(v, t, f)
	switch {
	case err == nil && done == "erased":
		v.done("/desk?done=" + done)
	case err == nil:
		v.done("/desk/trips/" + string(t.ID) + "?done=" + done)
	case d.refused(v, err):
		d.showTrip(v, 422, t, &f)
	}
}

// act makes the change of a button, and says what was done.
func (d *Desk) act(v *visit, t *roster.Trip, f form) (done string, err error) {
	done = "stored"
	var change booking.Change
	switch f.text("do") {
	case "announce":
		done, change = "sent", booking.Announce(v.now)
	case "ready":
		done, change = "told", booking.Ready(v.now)
	case "gate-open", "gate-shut":
		change = booking.OpenInvite(f.text("do") == "gate-open")
	case "calloff":
		f.fields["/reason"] = "reason"
		done, change = "told", booking.CallOff(f.text("reason"), booking.Faults{})
	case "puton":
		_, err = d.office.PutOn(v.Context(), v.shop.ID, t.ID, v.source())
		return "told", err
	case "move":
		done, change = "told", f.move(t.Zone, v)
	case "erase":
		return "erased", d.eraseTrip(v, t, f)
	case "lock":
		done, change = "locked", func(*roster.Trip) (conversation.Change, error) {
			return conversation.Change{Lock: true},
				nil
		}
	case "write":
		f.fields["/text"] = "text"
		done, change = "sent", booking.Write(f.text("text"), booking.Faults{})
		if err := booking.MayWrite(v.Context(), d.Limiter, t.ID, v.now); err != nil {
			return "", err
		}
	case "order":
		change = booking.ChangeRequest(roster.CylinderID(f.text("cylinder")), f.text("asked"))
	default:
		return "", booking.Refused(message.Say("desk.no-such-act", nil))
	}
	_, err = d.apply(v, t, change)
	return done, err
}

// move is another departure: the plan is as it was otherwise.
func (f form) move(zone string, v *visit) booking.Change {
	patch := map[string]any{}
	f.typed.Set("time_zone", zone)
	f.departs(patch)
	return f.after(func(t *roster.Trip) (conversation.Change, error) {
		var found booking.Faults
		change := booking.ReadTripChange(t, booking.Parsed(asJSON(patch)), v.shop.Policy, v.now, &found)
		return change, found.Err()
	})
}

// eraseTrip erases a trip that is over or called off, by who typed its name.
func (d *Desk) eraseTrip(v *visit, t *roster.Trip, f form) error {
	f.fields["/name"] = "name"
	switch {
	case !t.Over(v.now):
		return booking.Refused(message.Say("refuse.running", nil))
	case !strings.EqualFold(roster.CleanName(f.text("name")), t.Name):
		var bad booking.Faults
		bad.Wrong("/name", message.Say("refuse.name", nil))
		return bad.Err()
	}
	return d.Eraser.EraseTrip(v.Context(), v.shop.ID, t.ID)
}

// apply changes a trip once: a form that is sent twice carries the same id.
func (d *Desk) apply(v *visit, t *roster.Trip, change func(*roster.Trip) (conversation.Change, error)) (*roster.Trip,
	error) {
	return d.office.Apply(v.Context(), v.shop.ID, t.ID, v.source(), change)
}
