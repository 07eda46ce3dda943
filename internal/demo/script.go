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

// theEveningBefore: 36 % at 33.5 m is caught before anybody fills it.
func theEveningBefore(p *player) {
	p.tell("The shop has sent in the trip “Saturday two-tank”. Everybody here is made up. Nothing is kept.")
	p.opens("Inês", "Tomasz")
	p.shows("Tomasz")
	p.want("Tomasz's request of 36 % for 33.5 m", p.request("Tomasz"), gas.NoGo)
	p.presses("Tomasz", "ask", "31")
	p.want("Tomasz's request after the change", p.request("Tomasz"), gas.Go)
	p.opens("Marit", "Yusuf", "Kenji", "Lucía", "Nils")
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
	return v.StatusOf(string(c.ID), c.Dive)
}

// theDock: everybody analyses. A rented air cylinder turns out to be none, a
// slip is corrected, somebody has no phone, and somebody has to be asked again.
func theDock(p *player) {
	p.at(dock)
	p.tell("Saturday morning, at the dock. The cylinders are filled; two analysers, A and B, go round.")
	p.says("Tomasz", "T1 31.2 on A, air 20.9")
	p.presses("Tomasz", "before", "no")
	p.says("Tomasz", "T2 35.7 on A")
	p.says("Marit", "M1 30.8, M2 36.1 on B, air 20.9")
	p.presses("Marit", "before", "no")
	p.after(3)
	p.tell("Yusuf has no enriched-air card. He booked air, and rented a cylinder of the shop.")
	p.says("Yusuf", "Y1 30.2 on A")
	p.want("Yusuf without a card on a cylinder that reads 30.2", p.status("Yusuf"), gas.NoGo)
	p.says("Yusuf", "new cylinder")
	p.presses("Yusuf", "swap")
	p.after(6)
	p.says("Yusuf", "20.9 on A")
	p.says("Yusuf", "Y3")
	p.says("Yusuf", "Y2 20.8 on A")
	p.want("Yusuf with another cylinder", p.status("Yusuf"), gas.Go)
	p.tell("Kenji slips on the keys. A correction that clears a no-go counts only once it was analysed again.")
	p.says("Kenji", "K1 34.1 on B")
	p.want("Kenji's slip", p.status("Kenji"), gas.NoGo)
	p.says("Kenji", "no, 31.4")
	p.want("Kenji's correction", p.status("Kenji"), gas.NoReading)
	p.after(4)
	p.says("Kenji", "K1 31.3 on B")
	p.says("Kenji", "K2 35.9 on B")
	p.want("Kenji analysed again", p.status("Kenji"), gas.Go)
	p.tell("Aoife has no phone with her. Inês watches her analyse, and writes for her.")
	p.says("Inês", "L1 31.1, L2 36.2 on A")
	p.says("Inês", "/for Aoife A1 31.0 dock A")
	p.says("Inês", "/for Aoife A2 35.8 dock A")
	p.want("Aoife, written for", p.status("Aoife"), gas.Go)
	p.says("Inês", "/out Nils ear trouble")
	p.at(dock.Add(45 * time.Minute))
	p.says("Inês", "/missing")
	p.want("Lucía, who did not answer", p.status("Lucía"), gas.NoReading)
	p.presses("Inês", "lnudge")
	p.after(5)
	p.says("Lucía", "U1 30.1, U2 32.2 on B")
	p.want("Lucía, whose card nobody saw", p.status("Lucía"), gas.NoReading)
	p.says("Inês", "/cardseen Lucía")
	p.want("Lucía, whose card was seen", p.status("Lucía"), gas.Go)
}

// theBoat: out of sight means analysed again; then the dives are signed off.
func theBoat(p *player) {
	p.at(boat)
	p.tell("On the boat, before anybody sets up.")
	p.says("Inês", "/boat")
	p.says("Inês", "/signoff")
	p.want("signatures while answers are missing", len(p.trip().SignOffs), 0)
	for _, name := range []string{"Inês", "Tomasz", "Marit", "Yusuf", "Lucía"} {
		p.presses(name, "boat", "kept")
	}
	p.presses("Kenji", "boat", roster.OutOfSight)
	p.says("Kenji", "31.2 on B")
	p.says("Inês", "/for Aoife A1 30.9 boat A")
	p.says("Inês", "/board")
	p.says("Inês", "/signoff")
	p.signs("Inês", 1)
	p.at(afterOne)
	p.tell("Between the dives.")
	p.says("Inês", "/dived 1 32 11")
	p.says("Inês", "/boat")
	for _, name := range []string{"Inês", "Tomasz", "Marit", "Yusuf", "Lucía", "Kenji"} {
		p.presses(name, "boat", "kept")
	}
	p.says("Inês", "/for Aoife A2 35.8 boat A")
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
