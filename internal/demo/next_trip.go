package demo

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// days are what the play shows: the charter's day, and a trip that nobody's computer
// sent in.
func days(p *player) {
	script(p)
	theNextTrip(p)
}

// inesChat is Inês's account in the chat app.
var inesChat = roster.Address{Channel: chatApp, ID: "1001"}

// theNextTrip is started on the leader's own phone, a question at a time: somebody
// becomes crew, somebody walks up, the second dive is called off, the first is signed.
func theNextTrip(p *player) {
	p.startsOnThePhone()
	p.tell("Duarte drives the boat, Rui walks up on the dock. Both open the code on Inês's phone.")
	p.comesAlong("Duarte", url.Values{"card": {"nocard 18"}, "dive1": {"none"}, "dive2": {"none"}})
	p.comesAlong("Rui", url.Values{"card": {"card 30"}, "label": {"R7"}})
	p.says("Inês", "/crew Duarte")
	p.want("divers on the board", p.trip().Board(1, p.s.clock.Now()).Counts.Active, 1)
	p.want("Duarte as crew", p.trip().Person(p.s.person("Duarte").ID).Crew, true)

	p.at(nextDay)
	p.tell("Sunday morning. Rui analyses while Duarte watches.")
	p.says("Duarte", "/for Rui R7 38.8")
	p.want("Rui, watched by the crew", p.status("Rui"), gas.Go)
	p.tell("The wind turns: one dive is enough.")
	p.says("Inês", "/drop")
	p.presses("Inês", "ldrop", "yes")
	p.want("dives after the second was called off", len(p.trip().Dives), 1)
	p.says("Inês", "/boat")
	p.says("Inês", "/signoff")
	p.signs("Inês", 1)
}

// startsOnThePhone goes from a host's link to a trip that people can come along on.
func (p *player) startsOnThePhone() {
	p.tell("Inês starts the next trip herself, in the chat on her phone. The shop gave her a host's link once.")
	p.s.people = []guest{{Name: "Inês", Leader: true, Chat: inesChat}}
	p.s.trip, p.lastRead = "", map[roster.PersonID]string{}
	p.stamp("Inês opens her host's link")
	p.does("Inês", delivery.Inbound{Kind: conversation.Text, Text: "/start " + p.s.host.Code})
	p.says("Inês", "/newtrip tomorrow 9:00")
	p.says("Inês", zone)
	p.says("Inês", "Sunk Barge 20 m")
	p.says("Inês", "bottom 23 m")
	p.says("Inês", "30 min")
	p.presses("Inês", "newtrip", "more")
	p.presses("Inês", "newtrip", "site", "1")
	p.says("Inês", "28 min after 60 min")
	p.presses("Inês", "newtrip", "enough")
	p.says("Inês", "A")
	p.presses("Inês", "newtrip", "start")
	route, err := p.s.Store.Addresses().Route(p.ctx, inesChat, "")
	if err != nil || len(route.Trips) != 1 {
		p.fail("on %d trips, %v", len(route.Trips), err)
	}
	p.s.trip, p.s.people[0].ID = route.Trips[0].Trip, route.Trips[0].Person
	p.heard()
	p.want("the open invite of the new trip", p.trip().GateOpen(p.s.clock.Now()), true)
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
	p.s.people = append(p.s.people, guest{ID: in.ID, Name: name, Page: page})
	p.opens(name)
}
