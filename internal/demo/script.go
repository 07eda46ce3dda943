package demo

import (
	"net/http"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// script is the day of the made-up charter, from the evening before to the
// second signature. Each want is what the day is about.
func script(p *player) {
	theEveningBefore(p)
	theDock(p)
	theBoat(p)
}

// theEveningBefore: 34 % at 37 m is caught before anybody fills it.
func theEveningBefore(p *player) {
	p.tell("The shop has sent in the trip “Saturday two-tank”. Everybody here is made up. Nothing is kept.")
	p.opens("Inês", "Tomasz")
	p.shows("Tomasz")
	p.want("Tomasz's request of 34 % for 37 m", p.request("Tomasz"), gas.NoGo)
	p.presses("Tomasz", "ask", "28")
	p.want("Tomasz's request after the change", p.request("Tomasz"), gas.Go)
	p.opens("Lucía", "Yusuf", "Duarte")
	p.shop("locks the fill list", http.MethodPost, "/fills/lock", "")
	p.at(announced)
	p.after(1)
}

// request is what the check says of somebody's first cylinder before the fill.
func (p *player) request(name string) gas.Status {
	t := p.trip()
	person := t.Person(p.s.person(name).ID)
	c := person.InUse()[0]
	v := t.Preview(person.ID, c.ID, c.Asked, p.s.clock.Now())
	return v.StatusOf(string(c.ID))
}

// theDock: everybody analyses. A rented air cylinder turns out to be none, a
// slip is corrected, somebody has no phone, and a card has to be seen.
func theDock(p *player) {
	p.at(early)
	p.tell("Saturday morning, at the dock. Two analysers, A and B, go round. Inês is there before the others.")
	p.says("Inês", "L1 27.9, L2 34.2 on A, air 20.9")
	p.at(dock)
	p.tell("Tomasz slips on the keys. A no-go stays until the number that was meant was analysed again.")
	p.says("Tomasz", "T1 31.6 on A")
	p.want("Tomasz's slip", p.status("Tomasz"), gas.NoGo)
	p.says("Tomasz", "no, 27.6")
	p.want("Tomasz's correction", p.status("Tomasz"), gas.NoGo)
	p.after(4)
	p.says("Tomasz", "T1 27.7, T2 33.9 on A")
	p.want("Tomasz analysed again", p.status("Tomasz"), gas.Go)
	p.tell("Yusuf has no enriched-air card. He booked air, and rented a cylinder of the shop.")
	p.says("Yusuf", "Y1 30.2 on A")
	p.want("Yusuf without a card on a cylinder that reads 30.2", p.status("Yusuf"), gas.NoGo)
	p.says("Yusuf", "new cylinder Y1")
	p.presses("Yusuf", "swap")
	p.says("Yusuf", "Y3")
	p.after(6)
	p.says("Yusuf", "Y3 20.9, Y2 20.8 on A")
	p.want("Yusuf with another cylinder", p.status("Yusuf"), gas.Go)
	p.tell("Aoife has no phone with her. Duarte, the crew, watches her analyse and writes for her.")
	p.says("Duarte", "/for Aoife A1 27.8 dock A")
	p.says("Duarte", "/for Aoife A2 33.8 dock A")
	p.want("Aoife, written for", p.status("Aoife"), gas.Go)
	p.at(dock.Add(46 * time.Minute))
	p.want("Lucía, who did not answer", p.status("Lucía"), gas.NotCleared)
	p.says("Lucía", "U1 27.8, U2 34.1 on A")
	p.want("Lucía, whose card nobody saw", p.status("Lucía"), gas.NotCleared)
	p.says("Inês", "/cardseen Lucía")
	p.want("Lucía, whose card was seen", p.status("Lucía"), gas.Go)
}

// theBoat: out of sight means analysed again; then the dives are signed off.
func theBoat(p *player) {
	p.at(boat)
	p.tell("On the boat, before anybody sets up.")
	p.says("Inês", "/boat")
	for _, name := range []string{"Inês", "Yusuf", "Lucía"} {
		p.presses(name, "boat", "kept")
	}
	p.presses("Tomasz", "boat", roster.OutOfSight)
	p.says("Inês", "/signoff")
	p.want("signatures while answers are missing", len(p.trip().SignOffs), 0)
	p.says("Tomasz", "27.8 on A")
	p.presses("Inês", "lkept")
	p.says("Inês", "/signoff")
	p.signs("Inês", 1)
	p.at(afterOne)
	p.tell("Between the dives.")
	p.says("Inês", "/dived 1 36 7 9:08")
	p.says("Inês", "/boat")
	for _, name := range []string{"Inês", "Tomasz", "Yusuf", "Lucía"} {
		p.presses(name, "boat", "kept")
	}
	p.presses("Inês", "lkept")
	p.says("Inês", "/signoff")
	p.signs("Inês", 2)
	p.says("Inês", "/record")
}

// signs presses the leader's way to a signature under dive n.
func (p *player) signs(leader string, n int) {
	for _, do := range []string{"lsigned", "lsign"} {
		if _, offered := p.offered(leader, do); len(p.trip().SignOffs) < n && offered != "" {
			p.presses(leader, do)
		}
	}
	p.want("signatures", len(p.trip().SignOffs), n)
}
