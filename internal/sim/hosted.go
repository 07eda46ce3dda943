package sim

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/newtrip"
	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/sim/judge"
)

// hosted tells whether a day is one that a host began: nobody was booked but the leader.
func hosted(seed uint64) bool { return seed%7 == 5 }

// host leaves of a day what a host says who starts it from the phone: everybody else comes by the invite.
func host(b judge.Booked) judge.Booked {
	b.People = []judge.Person{aHost(b.People[0].ID)}
	b.FirstDiveAfter, b.Invite = 0, true
	for i := range b.Dives {
		b.Dives[i].Site = "Ledge " + string(rune('A'+i)) // a number in it would be a depth
	}
	return b
}

func aHost(id roster.PersonID) judge.Person {
	return judge.Person{ID: id, Leader: true, Card: judge.CardUnseen}
}

// startedByHost tells whether a host can start a trip as it is booked.
func startedByHost(b judge.Booked) bool {
	return b.Invite && len(b.People) == 1 && b.FirstDiveAfter == 0 &&
		fmt.Sprint(b.People[0]) == fmt.Sprint(aHost(b.People[0].ID))
}

// start is a trip as its host starts it, one question after the other.
func (p *product) start(b judge.Booked, now time.Time) *roster.Draft {
	h := roster.Host{ID: "hhhhhhhhhh", Shop: "keelhaven", Name: nameOf(b.People[0].ID), Generation: 1, Zone: "UTC"}
	form, policy := newtrip.New(h), p.policy(b.Policy)
	form.Trip, form.Policy = "abcdefghij", &policy
	desk := newtrip.Desk{Now: now, Language: "en"}
	for _, v := range b.Dives {
		if usedBefore(v) {
			desk.Sites = append(desk.Sites, p.plan(v))
		}
	}
	for _, answer := range p.hostSays(b) {
		if do, pressed := strings.CutPrefix(answer, "["); pressed {
			form.Pressed(desk, strings.Fields(do))
			continue
		}
		form.Typed(desk, answer)
	}
	d, _ := form.Draft(h, "en", now)
	p.people.keep(b.People[0].ID, d.Leaders()[0].ID)
	return d
}

// usedBefore tells whether a site is one that the shop used before: which water and how high is not asked.
func usedBefore(v judge.Dive) bool { return v.Water != gas.Salt || v.Altitude != 0 }

// hostSays are the answers of a host: what is typed, and "[" with what a button carries.
func (p *product) hostSays(b judge.Booked) []string {
	said := []string{"[day " + b.Departs.Format(time.DateOnly), b.Departs.Format("15:04")}
	for i, v := range b.Dives {
		said = append(said, v.Site)
		if !usedBefore(v) {
			said = append(said, p.said(v.Depth), p.saidBottom(v))
		}
		said = append(said, strconv.FormatFloat(v.Minutes, 'f', -1, 64)+" min")
		if i > 0 {
			said = append(said, strconv.FormatFloat(v.Interval, 'f', -1, 64))
		}
		said = append(said, map[bool]string{false: "[more", true: "[enough"}[i == len(b.Dives)-1])
	}
	return append(said, "A, B")
}

// said is a depth as somebody types it.
func (p *product) said(depth float64) string {
	return strconv.FormatFloat(depth, 'f', -1, 64) + " " + p.units.String()
}

func (p *product) saidBottom(v judge.Dive) string {
	switch {
	case v.Bottomless:
		return "[bottom none"
	case v.Bottom == 0:
		return "[bottom unknown"
	}
	return p.said(v.Bottom)
}
