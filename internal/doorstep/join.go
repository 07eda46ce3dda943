package doorstep

import (
	"crypto/rand"
	"encoding/base64"
	"errors"
	"html/template"
	"net/http"
	"strconv"

	"gasmuster/internal/conversation/newcomer"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/papers"
	"gasmuster/internal/roster"
	"gasmuster/internal/web"
)

// refusals are the reasons for which a page opens nothing, with their status and text.
var refusals = []struct {
	err    error
	status int
	key    string
}{
	{delivery.ErrInviteWrong, http.StatusNotFound, "page.wrong"},
	{delivery.ErrInviteRevoked, http.StatusGone, "page.revoked"},
	{delivery.ErrInviteGone, http.StatusGone, "door.invite-gone"},
	{roster.ErrGateShut, http.StatusGone, "door.invite-gone"},
	{roster.ErrGateFull, http.StatusTooManyRequests, "newcomer.full"},
	{delivery.ErrTooMany, http.StatusTooManyRequests, "newcomer.full"},
	{roster.ErrGateRefused, http.StatusForbidden, "newcomer.refused-before"},
}

func refusalOf(err error) (status int, key string) {
	for _, r := range refusals {
		if errors.Is(err, r.err) {
			return r.status, r.key
		}
	}
	return 0, ""
}

// joinView is the form of whoever comes by the open invite.
type joinView struct {
	Trip  string
	Cards []choice
	Dives []diveChoice
}

type choice struct {
	Value, Label string
	Chosen       bool
}

type diveChoice struct {
	Field, Label string
	Blends       []choice
}

func (p *Pages) showJoin(w http.ResponseWriter, r *http.Request) {
	t, err := p.Door.Opened(r.Context(), r.PathValue("code"))
	if err != nil {
		p.closed(w, r, err)
		return
	}
	p.render(w, http.StatusOK, "join", p.joinPage(r, t))
}

func (p *Pages) joinPage(r *http.Request, t *roster.Trip) view {
	v := p.view(r)
	v.to.Units, v.to.Zone = t.Units.String(), t.Zone
	body := joinView{Trip: v.say("step.trip",
		message.Args{"trip": message.Name(t.Name), "day": message.Day(t.Departs, t.Zone)})}
	v.Title = body.Trip
	for _, card := range []string{"card", "nocard"} {
		for _, d := range newcomer.Depths(t.Units) {
			value := card + " " + strconv.Itoa(int(d.Value))
			body.Cards = append(body.Cards, choice{value,
				v.say("newcomer.button."+card, message.Args{"depth": message.Limit(d)}), v.Get("card") == value})
		}
	}
	most := newcomer.Form{Card: gas.CardUnseen}
	for _, n := range most.Ahead(t) {
		body.Dives = append(body.Dives, v.diveChoice(t, n))
	}
	v.Body = body
	return v
}

// diveChoice offers what suits, which depends on the card, then each blend.
func (v view) diveChoice(t *roster.Trip, n int) diveChoice {
	field := "dive" + strconv.Itoa(n)
	chosen := v.Get(field)
	d := diveChoice{Field: field, Label: v.say("step.dive", message.Args{"dive": message.Count(n)}),
		Blends: []choice{{"", v.T("step.recommended"), chosen == ""}}}
	most := newcomer.Form{Card: gas.CardUnseen}
	_, richest := most.Fits(t, n)
	for b := gas.Air; b <= richest; b++ {
		value := strconv.Itoa(int(b))
		d.Blends = append(d.Blends, choice{value, v.say("newcomer.button.blend", message.Args{"blend": message.Blend(b)}),
			chosen == value})
	}
	d.Blends = append(d.Blends, choice{newcomer.None, v.T("newcomer.button.no-cylinder"), chosen == newcomer.None})
	return d
}

// join lets somebody wait.
func (p *Pages) join(w http.ResponseWriter, r *http.Request) {
	code := r.PathValue("code")
	t, err := p.Door.Opened(r.Context(), code)
	if err != nil {
		p.closed(w, r, err)
		return
	}
	f := newcomer.Form{Trip: t.ID, Generation: t.Gate.Generation}
	if problems := f.Fill(t, r.PostFormValue); len(problems) > 0 {
		v := p.joinPage(r, t)
		for _, problem := range problems {
			v.Problems = append(v.Problems, v.line(problem))
		}
		p.render(w, http.StatusUnprocessableEntity, "join", v)
		return
	}
	n := f.Newcomer(t, p.Now())
	n.Label, n.Language = roster.CleanName(r.PostFormValue("label")), message.MatchHeader(r.Header.Get("Accept-Language"))
	n.From = web.Client(r, p.ClientHeader).String()
	if runes := []rune(n.Label); len(runes) > maxLabel {
		n.Label = string(runes[:maxLabel])
	}
	id, err := p.Door.Knock(r.Context(), t.ID, n, "step:"+rand.Text())
	if err != nil {
		p.closed(w, r, err)
		return
	}
	http.Redirect(w, r, "/j/"+code+"/w/"+id+"/"+p.Links.Invites.Ticket(t.ID, id), http.StatusSeeOther) // #nosec G710 -- stays on this host
}

// maxLabel is how long a cylinder's label may be, in characters.
const maxLabel = 20

// again is how often a waiting page looks, in seconds.
const again = 8

// wait is where somebody waits.
func (p *Pages) wait(w http.ResponseWriter, r *http.Request) {
	waiting, err := p.Door.Waits(r.Context(), r.PathValue("code"), r.PathValue("id"), r.PathValue("ticket"))
	if err != nil {
		p.closed(w, r, err)
		return
	}
	v, t := p.view(r), waiting.Trip
	v.to.Units, v.to.Zone = t.Units.String(), t.Zone
	a := message.Args{"trip": message.Name(t.Name)}
	switch n := t.Newcomer(r.PathValue("id")); {
	case waiting.Page != "":
		v.Next = "/c/" + waiting.Page
		v.Body = []string{v.T("step.in")}
	case waiting.Refused || n == nil:
		v.Body = []string{v.say("newcomer.refused", a)}
	default:
		a["name"] = message.Name(n.Name)
		v.Refresh = again
		v.Body = []string{v.say("newcomer.waits", a), v.line(newcomer.Line(n))}
	}
	p.render(w, http.StatusOK, "wait", v)
}

// codeView is the QR code of an open invite.
type codeView struct {
	Trip, Link string
	Picture    template.URL
}

func (p *Pages) showCode(w http.ResponseWriter, r *http.Request) {
	t, err := p.Door.Opened(r.Context(), r.PathValue("code"))
	if err != nil {
		p.closed(w, r, err)
		return
	}
	link := p.Links.Open(t.ID, t.Gate.Generation)
	svg, err := papers.QRSVG(link)
	if err != nil {
		p.closed(w, r, err)
		return
	}
	v := p.view(r)
	v.to.Zone = t.Zone
	v.Title = v.say("step.trip", message.Args{"trip": message.Name(t.Name), "day": message.Day(t.Departs, t.Zone)})
	v.Body = codeView{v.Title, link, template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(svg))} // #nosec G203 -- our own picture
	p.render(w, http.StatusOK, "code", v)
}
