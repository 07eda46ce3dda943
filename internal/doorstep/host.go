package doorstep

import (
	"errors"
	"net/http"
	"strconv"
	"time"

	"gasmuster/internal/conversation/newtrip"
	"gasmuster/internal/delivery"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// hostView is a host's form for a new trip.
type hostView struct {
	Hello string
	Trip  string // the id that the trip will have: sent twice it is one trip
	Zone  string
	Day   string
	Units []choice
	Sites []string
	Dives []diveRow
}

type diveRow struct {
	N      string
	Legend string
	Later  bool // needs an interval
}

func (p *Pages) showHost(w http.ResponseWriter, r *http.Request) {
	h, err := p.Door.Hosted(r.Context(), r.PathValue("code"))
	if err != nil {
		p.closed(w, r, err)
		return
	}
	v, err := p.hostPage(r, h)
	if err != nil {
		p.closed(w, r, err)
		return
	}
	p.render(w, http.StatusOK, "host", v)
}

func (p *Pages) hostPage(r *http.Request, h roster.Host) (view, error) {
	v := p.view(r)
	sites, err := p.Door.Sites(r.Context(), h.Shop)
	if err != nil {
		return v, err
	}
	body := hostView{Hello: v.say("host.welcome", message.Args{"name": message.Name(h.Name)}),
		Trip: string(roster.NewTripID()), Zone: h.Zone}
	if loc, err := roster.Zone(h.Zone); err == nil {
		body.Day = p.Now().In(loc).AddDate(0, 0, 1).Format(time.DateOnly)
	}
	if id := roster.TripID(v.Get("trip")); id.Valid() {
		body.Trip, body.Zone, body.Day = string(id), v.Get("zone"), v.Get("day")
	}
	units := v.Get("units")
	if units == "" {
		units = h.Units
	}
	for _, u := range []string{"m", "ft"} {
		body.Units = append(body.Units, choice{u, v.T("diver.units." + u), units == u})
	}
	for _, s := range sites {
		body.Sites = append(body.Sites, s.Site)
	}
	for n := 1; n <= newtrip.FormDives; n++ {
		body.Dives = append(body.Dives, diveRow{strconv.Itoa(n), v.say("step.dive", message.Args{"dive": message.Count(n)}),
			n > 1})
	}
	v.Title, v.Body = v.T("step.new"), body
	return v, nil
}

// start starts the trip and leads its host to their own page.
func (p *Pages) start(w http.ResponseWriter, r *http.Request) {
	h, err := p.Door.Hosted(r.Context(), r.PathValue("code"))
	if err != nil {
		p.closed(w, r, err)
		return
	}
	language := message.MatchHeader(r.Header.Get("Accept-Language"))
	f := newtrip.Form{Trip: roster.TripID(r.PostFormValue("trip"))}
	if !f.Trip.Valid() {
		f.Trip = roster.NewTripID()
	}
	if f.Policy, err = p.Door.PolicyOf(r.Context(), h.Shop); err != nil {
		p.closed(w, r, err)
		return
	}
	problems := f.Fill(newtrip.Desk{Now: p.Now(), Language: language}, r.PostFormValue)
	if len(problems) > 0 {
		p.notStarted(w, r, h, problems)
		return
	}
	t, err := p.Door.StartTrip(r.Context(), h, &f, language)
	if faulty := (delivery.FaultyTrip{}); errors.As(err, &faulty) {
		p.notStarted(w, r, h, []newtrip.Problem{{Line: message.Say("newtrip.wrong",
			message.Args{"typed": message.FaultyTrip(faulty.Faults)})}})
		return
	}
	if err == nil && t.Shop != h.Shop {
		err = delivery.ErrInviteWrong // somebody else's trip has that id
	}
	if err != nil {
		p.closed(w, r, err)
		return
	}
	leader := t.Leaders()[0]
	http.Redirect(w, r, "/c/"+p.Links.Invites.Code(t.ID, leader.ID, leader.Generation), http.StatusSeeOther) // #nosec G710 -- stays on this host
}

// notStarted shows the form again with what was typed and what is wrong with it.
func (p *Pages) notStarted(w http.ResponseWriter, r *http.Request, h roster.Host, problems []newtrip.Problem) {
	v, err := p.hostPage(r, h)
	if err != nil {
		p.closed(w, r, err)
		return
	}
	for _, problem := range problems {
		v.Problems = append(v.Problems, v.line(problem.Line))
	}
	p.render(w, http.StatusUnprocessableEntity, "host", v)
}
