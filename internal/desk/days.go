package desk

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// daysPage is the boats of today and tomorrow, then of the week.
type daysPage struct {
	page
	Days          []dayView
	More          bool
	From          string // first day shown
	Before, After string // the weeks around
	Fine          bool   // nothing is planned
}

type dayView struct {
	Label string
	Date  string
	Boats []boatView
}

// boatView is one trip as the office looks at it the evening before.
type boatView struct {
	ID, Time, Name, Leaders string
	Status                  gas.Status
	Word, Cleared           string
	Needs                   []string // what is missing, and of whom
	NotJoined, Misfits      string
	Over                    bool
	Leaderless              string // that no leader can be reached
}

// mostBoats bounds one page.
const mostBoats = 300

// days shows a week from the day that "from" names, today without it.
func (d *Desk) days(v *visit) {
	from := v.now.Add(-20 * time.Hour) // what left this morning, in any zone
	if day, err := time.Parse(time.DateOnly, v.URL.Query().Get("from")); err == nil {
		from = day.Add(-14 * time.Hour)
	}
	trips, more, err := d.office.Between(v.Context(), v.shop.ID, from, from.AddDate(0, 0, 8), mostBoats)
	if err != nil {
		d.failed(v, err)
		return
	}
	p := v.page
	p.Title, p.Section, p.Live, p.Done = p.T("desk.days"), "days", true, v.note()
	show := daysPage{page: p, More: more, From: v.URL.Query().Get("from"), Fine: len(trips) == 0,
		Before: from.AddDate(0, 0, -6).Format(time.DateOnly), After: from.AddDate(0, 0, 8).Format(time.DateOnly)}
	for _, t := range trips {
		show.add(t, v.now)
	}
	d.show(v.w, 200, "days", show)
}

// add puts a boat on its day, by the trip's own zone.
func (s *daysPage) add(t *roster.Trip, now time.Time) {
	date := t.Departs.In(zoneOf(t)).Format(time.DateOnly)
	i := slices.IndexFunc(s.Days, func(d dayView) bool { return d.Date == date })
	if i < 0 {
		i = len(s.Days)
		s.Days = append(s.Days, dayView{Date: date, Label: s.value(message.Day(t.Departs, t.Zone))})
	}
	s.Days[i].Boats = append(s.Days[i].Boats, boatOf(s.page.of(t), t, now))
}

func boatOf(p page, t *roster.Trip, now time.Time) boatView {
	n := t.DefaultDive(now)
	if n == 0 {
		n = len(t.Dives)
	}
	b := t.Board(n, now)
	out := boatView{ID: string(t.ID), Name: t.Name, Time: p.value(message.Clock(t.Departs, t.Zone)), Status: b.Status,
		Over: t.Over(now),
		Word: p.line(message.Say(wordOf(b.Status), nil))}
	out.Cleared = p.line(message.Say("desk.cleared",
		message.Args{"dive": message.Count(n), "go": message.Count(b.Counts.Go + b.Counts.Limits),
			"active": message.Count(b.Counts.Active)}))
	if t.CalledOff != nil {
		out.Word, out.Cleared = p.calledOff(t), ""
		return out
	}
	out.Leaders = p.names(func(one *roster.Person) bool { return one.Leader && one.Left.IsZero() }, t)
	out.NotJoined = p.names(func(one *roster.Person) bool {
		return one.Joined.IsZero() && one.Left.IsZero() && !one.Erased
	}, t)
	out.Leaderless = p.leaderless(t, now)
	out.Needs = p.needs(t, &b)
	if n := misfits(t, now); n > 0 {
		out.Misfits = p.line(message.Say("desk.misfits", message.Args{"count": message.Count(n)}))
	}
	return out
}

// wordOf is the word for a whole boat: who has which limit stands on its board.
func wordOf(s gas.Status) string {
	if s == gas.GoWithLimits {
		return "verdict.limits.other"
	}
	return "verdict." + s.String()
}

// leaderless says that every leader who came can't be reached any more, "" while one
// can. Who has not come yet is named with the others.
func (p page) leaderless(t *roster.Trip, now time.Time) string {
	came := func(one *roster.Person) bool { return one.Leader && !one.Joined.IsZero() && !one.Erased }
	if t.LeaderAtHand() || t.Over(now) || !slices.ContainsFunc(t.People, came) {
		return ""
	}
	return p.line(message.Say("leaderless", message.Args{"leader": message.Name(p.names(came, t))}))
}

// names are the people of a kind, in one line.
func (p page) names(which func(*roster.Person) bool, t *roster.Trip) string {
	var list []message.Value
	for _, one := range t.People {
		if which(one) {
			list = append(list, message.Name(one.Name))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return p.value(message.List(list...))
}

// needs are the people in the way of a dive, by what it takes.
func (p page) needs(t *roster.Trip, b *roster.Board) (lines []string) {
	var words []string
	who := map[string][]message.Value{}
	for i := range b.People {
		c := &b.People[i]
		if !c.Active || c.Goes() {
			continue
		}
		word := p.line(message.Cleared(t, c))
		if who[word] == nil {
			words = append(words, word)
		}
		who[word] = append(who[word], message.Name(t.Person(c.Person).Name))
	}
	for _, w := range words {
		lines = append(lines, w+": "+p.value(message.List(who[w]...)))
	}
	return lines
}
