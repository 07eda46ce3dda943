package webchat

import (
	"cmp"
	"net/http"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// boardView is the leader's board as a page.
type boardView struct {
	view
	AsOf      string
	Status    gas.Status
	Head      string
	Plans     []string
	Counts    string
	Group     []string
	Missing   []string
	Notices   []string
	Rest      []blockView
	People    []personView
	Out       []personView
	Choices   [][]buttonView // what the board itself offers: remind, boat check, sign off
	Needs     bool           // only who needs something is shown
	Fine      bool           // nobody needs anything
	Open      bool           // there is a dive that is not signed off
	Dives     []diveView
	Analysers []string
	DepthUnit string
	Chart     chartView

	SaidID string      // its client message id
	Said   string      // what the leader did last, as it stands in the conversation
	Answer []entryView // and what came back
	Failed bool
	Idle   bool // nothing was entered
}

type personView struct {
	ID, Name, Verdict string
	Status            string
	Why               []string
	Cylinders         []cylinderView
	Needs             bool
	Nudge, Card       string // the button's words, "" when there is nothing to do
	Relink            string // likewise
	Act               string
}

type cylinderView struct{ ID, Name, Line string }

type diveView struct {
	Number int
	Label  string
}

// showBoard is the board of a leader's link.
func (c *Pages) showBoard(w http.ResponseWriter, r *http.Request) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	if err != nil {
		c.closed(w, r, err, "")
		return
	}
	if !c.within(w, r, t, p, "look", looksAMinute) {
		c.tooMany(w, c.viewOf(r, t, p), "")
		return
	}
	if p.Leader && firstVisit(r, t, p) {
		if c.join(r, t, p) != nil { // unjoined, nobody would be answered
			c.answerBoard(w, r, http.StatusServiceUnavailable, t, p)
			return
		}
	}
	c.answerBoard(w, r, http.StatusOK, t, p)
}

func (c *Pages) answerBoard(w http.ResponseWriter, r *http.Request, status int, t *roster.Trip, p *roster.Person) {
	if !p.Leader {
		v := c.viewOf(r, t, p)
		v.Gone = v.T("page.board.leaders-only")
		c.render(w, http.StatusForbidden, v)
		return
	}
	v := c.boardOf(r, t, p)
	v.Failed = status != http.StatusOK
	v.Idle = r.FormValue("idle") == "1"
	c.serve(w, status, "board", c.withAnswer(r, v, t, p))
}

// boardOf is the board as it is now, without what was done last.
func (c *Pages) boardOf(r *http.Request, t *roster.Trip, p *roster.Person) boardView {
	now := c.Now()
	b := conversation.ViewBoard(t, p.ID, now)
	v := boardView{view: c.viewOf(r, t, p), Status: b.Status, Needs: r.FormValue("show") == "needs", Open: b.Dive > 0}
	v.Action = v.Base + "/board"
	lines := func(ls []message.Line) (out []string) {
		for _, l := range ls {
			out = append(out, together(c.Renderer.Line(l, v.to)))
		}
		return out
	}
	v.AsOf = v.say("page.board.as-of", message.Args{"at": message.Clock(now, t.Zone)})
	v.Title = v.say("page.board.title", message.Args{"trip": message.Name(t.Name)})
	v.Head, v.Counts = lines([]message.Line{b.Head})[0], lines([]message.Line{b.Counts})[0]
	v.Plans, v.Group, v.Missing, v.Notices = lines(b.Plan), lines(b.Group), lines(b.Missing), lines(b.Notices)
	v.Rest = c.blocks(b.Rest, v.to)
	v.Choices = c.buttons(b.Buttons, v.to)
	v.Fine = true
	for _, one := range b.People {
		shown := c.personOn(v, one, lines)
		v.Fine = v.Fine && !shown.Needs
		v.People = append(v.People, shown)
	}
	for _, one := range b.Out {
		name := c.Renderer.Line(message.Say("page.who", message.Args{"name": one.Name}), v.to)
		v.Out = append(v.Out, personView{ID: string(one.ID), Name: name})
	}
	c.boardChoices(&v, t, p)
	v.Chart = c.chartOf(conversation.Chart(t, now), v.to)
	return v
}

// actsView is what the forms about one person need.
type actsView struct {
	boardView
	Person personView
}

// For is the forms about one person.
func (v boardView) For(p personView) actsView { return actsView{v, p} }

// Say is a text that names the unit in which the leader types depths.
func (v boardView) Say(key string) string {
	return v.say(key, message.Args{"unit": message.Code(v.DepthUnit)})
}

// say is a sentence of the catalogue with values.
func (v view) say(key string, a message.Args) string {
	return v.c.Renderer.Line(message.Say(key, a), v.to)
}

func (c *Pages) personOn(v boardView, one conversation.PersonView, lines func([]message.Line) []string) personView {
	name := message.Args{"name": one.Name}
	out := personView{ID: string(one.ID), Name: v.say("page.who", name), Status: one.Status.String(),
		Verdict: together(c.Renderer.Line(one.Verdict, v.to)), Why: lines(one.Why), Needs: one.Owes || one.Status != gas.Go,
		Act: v.say("page.board.act", name)}
	if one.Nudge {
		out.Nudge = v.say("page.board.nudge", name)
	}
	if one.CardUnseen {
		out.Card = v.say("page.board.card", name)
	}
	if one.Relink {
		out.Relink = v.say("page.board.revoke", name)
	}
	for _, cyl := range one.Cylinders {
		out.Cylinders = append(out.Cylinders, cylinderView{string(cyl.ID), c.Renderer.Line(cyl.Name, v.to), lines([]message.Line{cyl.Line})[0]})
	}
	return out
}

// boardChoices are what the forms choose from. Depths are typed in the
// leader's own unit.
func (c *Pages) boardChoices(v *boardView, t *roster.Trip, p *roster.Person) {
	v.DepthUnit = cmp.Or(p.Units, t.Units.String())
	for n := max(1, t.CurrentDive()); n <= len(t.Dives); n++ {
		d := t.Dives[n-1]
		v.Dives = append(v.Dives, diveView{n, v.say("page.board.site.which", message.Args{
			"dive": message.Count(n), "site": message.Name(d.Site), "depth": message.Planned(d.Depth)})})
	}
	for _, a := range t.Analysers {
		v.Analysers = append(v.Analysers, a.Name)
	}
}

// withAnswer adds what the leader did last on the board and what came back:
// the entries after it, up to the next thing that the leader said.
func (c *Pages) withAnswer(r *http.Request, v boardView, t *roster.Trip, p *roster.Person) boardView {
	said := r.FormValue("said")
	if said == "" {
		return v
	}
	entries, err := c.Chats.Read(r.Context(), t.ID, p.ID, "")
	if err != nil {
		c.Log.Error("web: answer not read", "trip", t.ID, "person", p.ID, "err", err)
		return v
	}
	inOrder(entries)
	i := len(entries) - 1
	for i >= 0 && (!entries[i].Own || clientOf(entries[i].ID) != said) {
		i--
	}
	if i < 0 {
		return v
	}
	v.Said, v.SaidID = entries[i].Text, said
	for _, e := range entries[i+1:] {
		if e.Own {
			break
		}
		one := c.entry(v.view, e)
		one.Fresh = true
		v.Answer = append(v.Answer, one)
	}
	return v
}
