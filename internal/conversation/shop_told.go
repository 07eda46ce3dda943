package conversation

import (
	"encoding/json"
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What the shop changes is told once it has changed nothing more for a minute,
// or for two of changing: it is kept in the trip until then. What was planned is
// compared with what people know, so that there and back is no news. A worse
// verdict than somebody had and a broken signature never wait, and take everything else
// along.

// keptLines are lines as they are kept.
func keptLines(to roster.PersonID, lines []message.Line) []roster.Said {
	var all []roster.Said
	for _, l := range lines {
		b, err := json.Marshal(l)
		if err != nil {
			panic(err) // our own types
		}
		all = append(all, roster.Said{To: to, Line: b})
	}
	return all
}

// keepUntold keeps what the shop changed beside what waits already. What people
// know is what they knew before the first change.
func (t *turn) keepUntold(u roster.Untold) {
	changed := u.Consent || len(u.Said) > 0 || !samePlans(&u.Was, t.trip.Plan) || len(t.newlyTooRich(setOf(u.TooRich))) > 0
	if !changed {
		return
	}
	u.Since, u.Last = t.now, t.now
	if before := t.untold; before != nil {
		u.Since, u.Was, u.TooRich = before.Since, before.Was, before.TooRich
		u.Consent, u.Said = u.Consent || before.Consent, withoutRepeats(append(slices.Clone(before.Said), u.Said...))
	}
	t.untold = &u
}

// withoutRepeats drops what is said again further down.
func withoutRepeats(all []roster.Said) []roster.Said {
	var kept []roster.Said
	for i, s := range all {
		again := slices.ContainsFunc(all[i+1:],
			func(o roster.Said) bool { return o.To == s.To && string(o.Line) == string(s.Line) })
		if !again {
			kept = append(kept, s)
		}
	}
	return kept
}

// samePlans tells whether there is nothing to say of a changed plan.
func samePlans(was, now *roster.Plan) bool {
	return len(planNews(was, now)) == 0 && was.Policy == now.Policy
}

// holdShop decides whether what the shop changed goes on waiting.
func (t *turn) holdShop(broken bool) {
	u := t.untold
	if t.trip.CalledOff != nil {
		u, t.untold = nil, nil // all that matters was said
	}
	t.holds = u != nil && t.now.Before(u.Due()) && !t.leads() && t.event.Kind != Forget &&
		!(t.event.Kind == Changed && (broken || t.standsWorse()))
	kept := u
	if !t.holds {
		kept = nil
	}
	if kept != t.trip.Untold {
		t.trip.EditCourse().Untold = kept
	}
}

// leads tells whether a leader or crew member acts: they look at what is so now.
func (t *turn) leads() bool {
	return t.me() != nil && t.event.Kind != Lost && t.event.Kind != Knock && may(t.me(), false, true)
}

// standsWorse tells whether somebody has a worse verdict of a dive now than before this
// event: they go by the one that they were told.
func (t *turn) standsWorse() bool {
	for _, n := range t.ahead() {
		b := t.board(n)
		for i := range b.People {
			c := &b.People[i]
			if !c.Active || c.Status == gas.Go {
				continue
			}
			was := gas.NotCleared // who is new, and on a new dive
			if t.in.Trip.Person(c.Person) != nil && t.in.Trip.Dive(n) != nil {
				was = t.in.Trip.Clearance(c.Person, n, t.now).Status
			}
			if c.Status != was && gas.Worse(c.Status, was) == c.Status {
				return true
			}
		}
	}
	return false
}

// tellShopChanges tells everybody what the shop changed, once it need not wait.
// It is one message with what else this event has to say to them, from letter
// number first on: how they stand. What leaders have to act on stands alone.
func (t *turn) tellShopChanges(first int) {
	u := t.untold
	if u == nil || t.holds {
		return
	}
	now := t.trip.Plan
	if t.me() != nil {
		now = t.in.Trip.Plan // what a leader changes is said as theirs
	}
	rich := t.newlyTooRich(setOf(u.TooRich))
	for _, p := range t.trip.People {
		if !canBeTold(p) {
			continue
		}
		stands := slices.ContainsFunc(t.letters[first:], func(l Letter) bool { return l.Person == p.ID && !p.Leader })
		if m := t.shopNews(u, now, p, rich, stands); len(m.Lines) > 0 {
			t.tell(p.ID, roster.LevelWord, true, m)
		}
	}
	t.letters = append(t.letters[:first:first], joined(t.letters[first:])...)
}

// shopNews is what one person hears of what the shop changed.
func (t *turn) shopNews(u *roster.Untold, now *roster.Plan, p *roster.Person,
	rich map[roster.PersonID][]*roster.Cylinder, stands bool) message.Message {
	var m message.Message
	m.Lines = append(planNews(&u.Was, now), ownNews(u, p.ID, stands)...)
	requests := t.tooRichNews(p, rich[p.ID])
	m.Lines, m.Buttons = append(m.Lines, requests.Lines...), requests.Buttons
	if p.Leader {
		t.addLeadersNews(&m, u, now, rich)
	}
	return m
}

func setOf(ids []roster.CylinderID) map[roster.CylinderID]bool {
	set := map[roster.CylinderID]bool{}
	for _, id := range ids {
		set[id] = true
	}
	return set
}
