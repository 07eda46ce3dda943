package webchat

import (
	"net/http"
	"slices"
	"strings"

	"gasmuster/internal/conversation"
	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// personView is one person: a row of the board, and the page behind it.
type personView struct {
	ID, Name, Word string
	Status         string
	Gas            string // cylinders and readings, in short
	Why            []string
	Cylinders      []cylinderView
	Needs          bool
	Act            *actView // the one thing to do about them, nil for none
	acts           []actView
}

type cylinderView struct{ ID, Name, Label, Line string }

// actView is something that can be done about a person: a button that does it
// at once, or the way to a page that asks for more.
type actView struct {
	Label string
	Do    string // a button of the conversation
	Act   string // or a command about the person
	Href  string // or a page
}

// onPerson is one person with what the forms about them need.
type onPerson struct {
	boardView
	Person personView
	Acts   []actView
}

// For is a row's one act.
func (v boardView) For(p personView) onPerson { return onPerson{boardView: v, Person: p} }

// With is one of a person's acts.
func (v onPerson) With(a actView) onPerson {
	v.Person.Act = &a
	return v
}

func (c *Pages) personOn(v boardView, one conversation.PersonView) personView {
	out := c.person(v, one)
	out.Needs, out.Why = one.Owes || one.Status != gas.Go, v.lines(one.Why)
	var short []string
	for _, cyl := range one.Cylinders {
		out.Cylinders = append(out.Cylinders, cylinderView{string(cyl.ID), c.Renderer.Shown(cyl.Name, v.to), cyl.Label,
			v.line(cyl.Line)})
		short = append(short, v.shortly(cyl))
	}
	out.Gas = strings.Join(slices.DeleteFunc(short, func(s string) bool { return s == "" }), " · ")
	out.acts = c.actsFor(v, one)
	out.Act = chosen(one, out.acts)
	return out
}

// person is what stands on everybody's row.
func (c *Pages) person(v boardView, one conversation.PersonView) personView {
	out := personView{ID: string(one.ID), Name: v.say("page.who", message.Args{"name": one.Name}), Status: one.State}
	_, out.Word = signed(v.line(one.Word))
	return out
}

// shortly is a cylinder on a row: its label and reading.
func (v view) shortly(c conversation.CylinderView) string {
	a := message.Args{"label": message.Name(c.Label), "percent": message.Percent(c.Read)}
	switch {
	case c.Label == "" && !c.Read.Known():
		return ""
	case c.Label == "":
		return v.say("page.board.read", a)
	case !c.Read.Known():
		return v.say("page.board.label", a)
	}
	return v.say("page.board.label.read", a)
}

// personOff is somebody who does not dive: sits out, or is outside this check.
func (c *Pages) personOff(v boardView, one conversation.PersonView, p *roster.Person) personView {
	out := c.person(v, one)
	_, line := signed(v.line(one.Verdict))
	out.Why = []string{line}
	if !v.Leader {
		return out
	}
	form := "back"
	if p.OutsideOf(v.Number) != nil {
		form = "inside"
	}
	out.acts = []actView{v.page(one.ID, form)}
	return out
}

// actsFor is everything that can be done about a person, the conversation's own
// first.
func (c *Pages) actsFor(v boardView, one conversation.PersonView) []actView {
	var acts []actView
	for _, row := range c.buttons(one.Buttons, v.to) {
		for _, b := range row {
			if !strings.HasPrefix(b.Do, "lout ") { // has a page below, with the dive or the trip
				acts = append(acts, actView{Label: b.Label, Do: b.Do})
			}
		}
	}
	at := func(when bool, a actView) {
		if when {
			acts = append(acts, a)
		}
	}
	at(one.Nudge && v.Leader, actView{Label: v.T("page.board.do.nudge"), Do: "lnudge " + string(one.ID)})
	at(one.BoatOpen, actView{Label: v.T("page.board.do.kept"), Act: "kept"})
	at(one.CardUnseen, actView{Label: v.T("page.board.do.cardseen"), Act: "cardseen"})
	at(len(one.Cylinders) > 0, v.page(one.ID, "for"))
	at(v.Leader, v.page(one.ID, "limit"))
	at(v.Leader, v.page(one.ID, "out"))
	at(v.Leader, v.page(one.ID, "outside"))
	at(v.Leader && one.Relink, actView{Label: v.T("page.board.do.revoke"), Act: "revoke"})
	return acts
}

// page is the way to a page of one form.
func (v boardView) page(id roster.PersonID, form string) actView {
	return actView{Label: v.T("page.board.do." + form), Href: v.Base + "/board/" + string(id) + "/" +
		form + string(v.Query(v.Number, ""))}
}

// mends is what settles a need, the first that there is.
var mends = map[string][]string{
	"verdict.need.reading":      {"lnudge", "/for"},
	"verdict.need.card":         {"cardseen"},
	"verdict.need.boat-answer":  {"kept", "lnudge"},
	"verdict.need.witness":      {"/for"},
	"verdict.need.air-point":    {"/for"},
	"verdict.need.answer":       {"/for"},
	"verdict.need.answer.which": {"lnudge", "/for"},
	"verdict.need.answer.again": {"lnudge", "/for"},
	"verdict.need.cylinder":     {"/out"},
}

// chosen is the one act of a row: the one that settles what its verdict names,
// else the first that the conversation offers. Who may go needs none.
func chosen(one conversation.PersonView, acts []actView) *actView {
	if !one.Owes {
		return nil
	}
	for _, what := range mends[one.Word.Key] {
		i := slices.IndexFunc(acts, func(a actView) bool {
			path, _, _ := strings.Cut(a.Href, "?")
			return a.Act == what || strings.HasPrefix(a.Do, what+" ") || strings.HasSuffix(path, what)
		})
		if i >= 0 {
			return &acts[i]
		}
	}
	if len(one.Buttons) == 0 {
		return nil
	}
	if acts[0].Do != "" {
		return &acts[0]
	}
	i := slices.IndexFunc(acts, func(a actView) bool { return strings.Contains(a.Href, "/out?") })
	if i < 0 {
		return nil
	}
	return &acts[i]
}

// showPerson is the page behind a row.
func (c *Pages) showPerson(w http.ResponseWriter, r *http.Request) {
	if v, ok := c.behind(w, r); ok {
		v.Title = v.Person.Name
		c.serve(w, http.StatusOK, "board-person", v)
	}
}

// behind is one person of the board that a page behind it is about; it answers
// itself when there is none.
func (c *Pages) behind(w http.ResponseWriter, r *http.Request) (onPerson, bool) {
	t, p := c.onBoard(w, r)
	if p == nil {
		return onPerson{}, false
	}
	v := onPerson{boardView: c.boardOf(r, t, p)}
	v.Kind = "form"
	for _, one := range slices.Concat(v.People, v.Out) {
		if one.ID == r.PathValue("person") {
			v.Person, v.Acts = one, one.acts
			return v, true
		}
	}
	http.Redirect(w, r, v.Base+"/board"+string(v.Query(v.Number, "")), http.StatusSeeOther) // #nosec G710 -- stays on this host
	return v, false
}

// formView is a page with one form.
type formView struct {
	onPerson
	Form, Heading, Do string
	Reasons           []reasonView // for sitting out, that others may see
}

type reasonView struct{ Word, Text string }

// showForm is a page of one form about one person.
func (c *Pages) showForm(w http.ResponseWriter, r *http.Request) {
	v, ok := c.behind(w, r)
	if !ok {
		return
	}
	form := r.PathValue("form")
	i := slices.IndexFunc(v.Acts, func(a actView) bool { return a == v.page(roster.PersonID(v.Person.ID), form) })
	if i < 0 || !v.Open { // not theirs to do, or nothing that can be done now
		http.Redirect(w, r, v.Base+"/board/"+v.Person.ID+string(v.Query(v.Number, "")), http.StatusSeeOther) // #nosec G710 -- stays on this host
		return
	}
	v.Title = v.Person.Name
	f := formView{onPerson: v, Form: form, Do: v.Acts[i].Label,
		Heading: v.say("page.board.did", message.Args{"name": message.Name(v.Person.Name),
			"what": message.Code(v.Acts[i].Label)})}
	for _, word := range orders.OutReasons {
		f.Reasons = append(f.Reasons, reasonView{word, v.T("reason.out." + word)})
	}
	c.serve(w, http.StatusOK, "board-form", f)
}

// showSite is the page that changes a site.
func (c *Pages) showSite(w http.ResponseWriter, r *http.Request) {
	t, p := c.onBoard(w, r)
	if p == nil {
		return
	}
	if !p.Leader {
		c.leadersOnly(w, r, t, p)
		return
	}
	v := onPerson{boardView: c.boardOf(r, t, p)}
	v.Kind, v.Title = "form", v.T("page.board.site")
	c.serve(w, http.StatusOK, "board-form", formView{onPerson: v, Form: "site", Heading: v.Title})
}
