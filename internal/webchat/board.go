package webchat

import (
	"cmp"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/conversation"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// boardView is the board of one dive as a page, for leaders and crew.
type boardView struct {
	view
	Kind      string // "board", or "form" for a page behind it
	AsOf      string
	Number    int       // of the dive that the board is of
	Tabs      []diveTab // the boards of all dives, when there are several
	Status    gas.Status
	State     string // the same, as a word
	Head      string
	Plans     []string
	Counts    string
	Group     []string
	Notices   []string
	Rest      []blockView
	People    []personView
	Waiting   []waitingView  // at the open invite
	Out       []personView   // who sits it out or is outside this check
	Choices   [][]buttonView // what the board itself offers: remind, boat check, sign off
	Asked     string         // which people were asked for: "needs", "all" or ""
	Show      string         // which are shown: "needs" or "all"
	Everybody string         // the words for all
	Fine      bool           // nobody needs anything
	Open      bool           // the dive was not dived: something can still be done about it
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

// waitingView is somebody who waits to be let in.
type waitingView struct {
	Name, Line string
	Buttons    [][]buttonView
}

// diveTab is the way to the board of another dive.
type diveTab struct {
	Number int
	Label  string
}

type diveView struct {
	Number int
	Label  string
}

// showBoard is the board of a leader's link.
func (c *Pages) showBoard(w http.ResponseWriter, r *http.Request) {
	if t, p := c.onBoard(w, r); p != nil {
		c.answerBoard(w, r, http.StatusOK, t, p)
	}
}

// onBoard is who looks at a board or a page behind it. It answers itself, and
// returns nobody, when that opens nothing or is not for them.
func (c *Pages) onBoard(w http.ResponseWriter, r *http.Request) (*roster.Trip, *roster.Person) {
	t, p, err := c.Door.Invited(r.Context(), r.PathValue("token"))
	switch {
	case err != nil:
		c.closed(w, r, err, "")
	case !c.within(w, r, t, p, "look", looksAMinute):
		c.tooMany(w, c.viewOf(r, t, p))
	case !staff(p):
		c.leadersOnly(w, r, t, p)
	case !joined(t, p): // unjoined, nobody would be answered
		c.enter(w, c.viewOf(r, t, p), p, "board", http.StatusOK)
	default:
		return t, p
	}
	return nil, nil
}

func (c *Pages) leadersOnly(w http.ResponseWriter, r *http.Request, t *roster.Trip, p *roster.Person) {
	v := c.viewOf(r, t, p)
	v.Gone = v.T("page.board.leaders-only")
	c.render(w, http.StatusForbidden, v)
}

func (c *Pages) answerBoard(w http.ResponseWriter, r *http.Request, status int, t *roster.Trip, p *roster.Person) {
	if !staff(p) {
		c.leadersOnly(w, r, t, p)
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
	n := diveOf(r, t, now)
	b := conversation.ViewBoard(t, p.ID, n, now)
	v := boardView{view: c.viewOf(r, t, p), Kind: "board", Number: n, Status: b.Status, State: b.Status.String(),
		Open: !t.WasDived(n)}
	v.Tabs = tabs(v.view, t)
	v.Action = v.Base + "/board"
	v.AsOf = v.say("page.board.as-of", message.Args{"at": message.Clock(now, t.Zone)})
	v.Title = v.say("page.board.title", message.Args{"trip": message.Name(t.Name)})
	_, v.Head = signed(v.line(b.Head))
	if b.Counts.Key != "" { // not of a trip that is called off
		v.Counts = v.line(b.Counts)
	}
	v.Plans, v.Group, v.Notices = v.lines(b.Plan), v.lines(b.Group), v.lines(b.Notices)
	v.Rest = c.blocks(b.Rest, v.to)
	v.Choices = c.buttons(b.Buttons, v.to)
	for _, one := range b.People {
		v.People = append(v.People, c.personOn(v, one))
	}
	for _, one := range b.Waiting {
		v.Waiting = append(v.Waiting, waitingView{v.say("page.who", message.Args{"name": one.Name}), v.line(one.Line),
			c.buttons(one.Buttons, v.to)})
	}
	for _, one := range b.Out {
		v.Out = append(v.Out, c.personOff(v, one, t.Person(one.ID)))
	}
	v.filter(r.FormValue("show"), t.Signed(n, now))
	c.boardChoices(&v, t, p)
	if chart := conversation.Chart(t, n, now); chart.Measured() {
		v.Chart = c.chartOf(chart, v.to)
	}
	return v
}

// filter chooses who is shown: before the sign-off those who need something,
// unless everybody is asked for or nobody needs anything.
func (v *boardView) filter(asked string, done bool) {
	v.Fine = !slices.ContainsFunc(v.People, func(p personView) bool { return p.Needs })
	v.Everybody = v.say("page.board.all", message.Args{"n": message.Count(len(v.People) + len(v.Out))})
	v.Show = "needs"
	if asked == "all" || asked == "needs" {
		v.Asked, v.Show = asked, asked
	} else if v.Fine || done {
		v.Show = "all"
	}
}

// diveOf is the dive whose board is asked for: without a word the first that is
// neither signed nor dived, the last one when there is none.
func diveOf(r *http.Request, t *roster.Trip, now time.Time) int {
	if n, err := strconv.Atoi(r.FormValue("dive_shown")); err == nil && t.Dive(n) != nil {
		return n
	}
	if n := t.DefaultDive(now); n > 0 {
		return n
	}
	return len(t.Dives)
}

func tabs(v view, t *roster.Trip) []diveTab {
	if len(t.Dives) < 2 {
		return nil
	}
	var list []diveTab
	for i := range t.Dives {
		list = append(list, diveTab{i + 1, v.say("page.board.dive", message.Args{"dive": message.Count(i + 1)})})
	}
	return list
}

// Query is what leads to this board again, with the dive that is asked for and
// what is shown of it.
func (v boardView) Query(dive int, show string) template.URL {
	q := url.Values{"dive_shown": {strconv.Itoa(dive)}}
	if show != "" {
		q.Set("show", show)
	}
	return template.URL("?" + q.Encode()) // #nosec G203 -- numbers and words of ours
}

// Say is a text that names the unit in which the leader types depths.
func (v boardView) Say(key string) string {
	return v.say(key, message.Args{"unit": message.Code(v.DepthUnit)})
}

// say is a sentence of the catalogue with values.
func (v view) say(key string, a message.Args) string {
	return v.c.Renderer.Shown(message.Say(key, a), v.to)
}

// line is a line as it stands on the page.
func (v view) line(l message.Line) string { return v.c.Renderer.Shown(l, v.to) }

func (v view) lines(ls []message.Line) (out []string) {
	for _, l := range ls {
		out = append(out, v.line(l))
	}
	return out
}

// boardChoices are what the forms choose from. Depths are typed in the
// leader's own unit.
func (c *Pages) boardChoices(v *boardView, t *roster.Trip, p *roster.Person) {
	v.DepthUnit = cmp.Or(p.Units, t.Units.String())
	for n := 1; n <= len(t.Dives); n++ {
		if t.WasDived(n) {
			continue
		}
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
