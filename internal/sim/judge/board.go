package judge

import (
	"slices"
	"time"

	"gasmuster/internal/roster"
)

// At tells the verdicts of a moment, of all that was heard so far.
func (d *Day) At(now time.Time) Verdicts {
	var v Verdicts
	for _, dive := range d.dives {
		v.Dives = append(v.Dives, d.boardAt(dive, now))
	}
	for _, s := range d.signatures {
		v.Signatures = append(v.Signatures, d.standing(s, now))
	}
	return v
}

// boardAt is the board of a dive; once it was dived, as it was then.
func (d *Day) boardAt(v *dive, now time.Time) DiveVerdict {
	if v.dived {
		return v.frozen
	}
	return d.board(v, now)
}

// board puts the clearances of a dive together. "A board is of one dive."
func (d *Day) board(v *dive, now time.Time) DiveVerdict {
	b := DiveVerdict{Dive: v.number}
	for _, p := range d.people {
		if d.isDiver(p) {
			b.Divers = append(b.Divers, d.look(p, v, now).verdict())
		}
	}
	b.Counts = countsOf(b.Divers)
	b.Status = b.Counts.status()
	b.Group = groupOf(b.Divers, v.plan.Minutes)
	b.Teams = d.teams(b.Divers, v.plan.Minutes)
	b.Refused = d.refused(v, b, now)
	return b
}

func countsOf(divers []DiverVerdict) Counts {
	var c Counts
	for _, v := range divers {
		switch v.Status {
		case StatusGo:
			c.Go++
		case StatusLimits:
			c.Limits++
		case StatusNoGo:
			c.NoGo++
		case StatusOutside:
			c.Outside++
		case StatusOut:
			c.Out++
		default:
			c.NotCleared++
		}
	}
	return c
}

// status is the worst of those who dive. "With no active diver a dive is not cleared." Outside and out
// are never counted as go, never in the way.
func (c Counts) status() Status {
	switch {
	case c.NoGo > 0:
		return StatusNoGo
	case c.NotCleared > 0, c.Go+c.Limits == 0:
		return StatusNotCleared
	case c.Limits > 0:
		return StatusLimits
	}
	return StatusGo
}

// "The group: the shallowest max and whose it is; the shortest time and whose, only when it is under one
// and a half times the planned minutes. Never the loosest of anything."
func groupOf(divers []DiverVerdict, planned float64) Group {
	var g Group
	for _, v := range divers {
		if v.Status != StatusGo && v.Status != StatusLimits {
			continue
		}
		if g.DepthBy == "" || v.MaxDepth < g.MaxDepth {
			g.MaxDepth, g.DepthBy = v.MaxDepth, v.Person
		}
		short := v.MaxMinutes > 0 && float64(v.MaxMinutes) < 1.5*planned-exactly
		if short && (g.TimeBy == "" || v.MaxMinutes < g.MaxMinutes) {
			g.MaxMinutes, g.TimeBy = v.MaxMinutes, v.Person
		}
	}
	return g
}

// "Each team the same in one line."
func (d *Day) teams(divers []DiverVerdict, planned float64) []TeamVerdict {
	members := map[string][]DiverVerdict{}
	var names []string
	for _, v := range divers {
		team := d.person(v.Person).team()
		if team == "" {
			continue
		}
		if members[team] == nil {
			names = append(names, team)
		}
		members[team] = append(members[team], v)
	}
	slices.Sort(names)
	var teams []TeamVerdict
	for _, n := range names {
		teams = append(teams, TeamVerdict{n, groupOf(members[n], planned)})
	}
	return teams
}

// team is where somebody dives, whatever other teams' limits still hold for them.
func (p *person) team() string { return p.teams[len(p.teams)-1] }

// "Sign-off is refused while anybody active is no-go or not cleared, and while a boat check that the
// policy asks for was not opened"; it waits for another one "when the start has moved later by more than
// an hour".
func (d *Day) refused(v *dive, b DiveVerdict, now time.Time) []Refusal {
	var list []Refusal
	for _, why := range []struct {
		status Status
		why    Why
	}{{StatusNoGo, WhyNoGo}, {StatusNotCleared, WhyNotCleared}} {
		if who := withStatus(b.Divers, why.status); len(who) > 0 {
			list = append(list, Refusal{why.why, who})
		}
	}
	if b.Counts.NoGo+b.Counts.NotCleared+b.Counts.Go+b.Counts.Limits == 0 {
		list = append(list, Refusal{Why: WhyNobody})
	}
	if slices.ContainsFunc(d.dives, func(later *dive) bool { return later.number > v.number && later.dived }) {
		list = append(list, Refusal{Why: WhyLaterDived})
	}
	switch {
	case len(v.checks) == 0:
		list = append(list, Refusal{Why: WhyBoatCheck})
	case d.start(v.number).Sub(v.startAt) > startMoved+time.Millisecond:
		list = append(list, Refusal{Why: WhyStartMoved})
	}
	return list
}

func withStatus(divers []DiverVerdict, s Status) []roster.PersonID {
	var who []roster.PersonID
	for _, v := range divers {
		if v.Status == s {
			who = append(who, v.Person)
		}
	}
	return who
}
