package demo

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// days are what the play shows: the charter's day, and a trip that nobody's computer
// sent in.
func days(p *player) {
	script(p)
	theNextTrip(p)
}

// theNextTrip is started on the leader's own phone: somebody becomes crew, somebody
// walks up, and in the end the wind is against it.
func theNextTrip(p *player) {
	p.tell("Inês starts the next trip herself, on her phone. The shop gave her a host's link once.")
	host, err := p.s.AddHost(p.ctx, "Inês")
	if err != nil {
		p.fail("%v", err)
	}
	p.stamp("Inês fills in: 16 May, 09:00, Sunk Barge, 20 m, bottom 23 m, 30 minutes")
	to := p.sends("/h/"+host.Code, url.Values{"day": {"2027-05-16"}, "clock": {"09:00"}, "zone": {zone}, "units": {"m"},
		"site1": {"Sunk Barge"}, "depth1": {"20"}, "bottom1": {"23"}, "minutes1": {"30"}})
	p.leads("Inês", to)
	p.opens("Inês")
	p.want("the open invite of the new trip", p.trip().GateOpen(p.s.clock.Now()), true)

	p.tell("Duarte drives the boat, Rui walks up on the dock. Both open the code on Inês's phone.")
	p.comesAlong("Duarte", url.Values{"card": {"nocard 18"}, "dive1": {"none"}})
	p.comesAlong("Rui", url.Values{"card": {"card 30"}, "label": {"R7"}})
	p.says("Inês", "/crew Duarte")
	p.want("divers on the board", p.trip().Board(1, p.s.clock.Now()).Counts.Active, 1)
	p.want("Duarte as crew", p.trip().Person(p.s.person("Duarte").ID).Crew, true)
	p.says("Duarte", "/for Rui R7 38.8")
	p.want("Rui, watched by the crew", p.status("Rui", 1), gas.Go)

	p.tell("The wind turns.")
	p.says("Inês", "/calloff wind from the north")
	p.presses("Inês", "lcalloff", "yes")
	p.want("a trip that was called off", p.trip().CalledOff != nil, true)
}

// sends sends a form as a browser does, and returns where it leads.
func (p *player) sends(path string, form url.Values) string {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode())).WithContext(p.ctx)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	p.s.Handler.ServeHTTP(w, r)
	if w.Code != http.StatusSeeOther {
		p.fail("the form for %s was refused: %d", strings.SplitN(path, "/", 3)[1], w.Code)
	}
	if err := p.s.settle(p.ctx); err != nil {
		p.fail("%v", err)
	}
	return w.Header().Get("Location")
}

// leads goes on with the trip that a page belongs to, whose only person is its leader.
func (p *player) leads(name, page string) {
	t, who, err := p.s.Door.Invited(p.ctx, strings.TrimPrefix(page, "/c/"))
	if err != nil {
		p.fail("%v", err)
	}
	p.s.trip, p.s.people = t.ID, []guest{{who.ID, name, true, page}}
	p.lastRead = map[roster.PersonID]string{}
}

// comesAlong lets somebody open the open invite, wait, and be let in by the leader.
func (p *player) comesAlong(name string, form url.Values) {
	form.Set("name", name)
	p.stamp(fmt.Sprintf("%s opens the code and asks to come along", name))
	invite := p.s.OpenInvite(p.trip())
	waits := p.sends(invite, form)
	p.heard()
	if _, seen := p.offered("Inês", "gin", "seen"); seen != "" && strings.HasPrefix(form.Get("card"), "card") {
		p.presses("Inês", "gin", "seen")
	} else {
		p.presses("Inês", "gin")
	}
	in := p.trip().People[len(p.trip().People)-1]
	page, err := p.s.PageOf(p.ctx, waits)
	if err != nil {
		p.fail("%v", err)
	}
	p.s.people = append(p.s.people, guest{in.ID, name, false, page})
	p.opens(name)
}
