package conversation

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/reminders"
	"gasmuster/internal/roster"
)

// News for the leaders: what a leader has to know without asking, whoever caused
// it. News are not events but things that are so: every look makes the list of
// all that is so now, and each leader hears what they were not told before. What
// comes within a minute of other news is one message with it.

// newsItem is one thing that leaders have to know.
type newsItem struct {
	key     string // what it is: told once under it, and again when it was over
	person  roster.PersonID
	dive    int
	place   string // what its findings are of: several of one place are said once, the gravest
	under   string // key of the graver news that its first lines say, "" for none
	own     int    // the first line that is its own
	urgent  bool   // does not wait for the minute
	lines   []message.Line
	buttons [][]message.Button
	shop    map[string]any // of the shop's fill.questioned, nil for none
}

const (
	newsTold  = "news:"      // + leader:key, in Trip.Reminded: told at
	newsSent  = "news-sent:" // + leader: when they last got any
	newsApart = time.Minute
	mostNews  = 4 // items said in full in one message; the others by their first line
	theShop   = "shop"
)

// tellNews tells every leader what is new; it runs after every event.
func (t *turn) tellNews() {
	due := t.trip.Reminded[reminders.NewsWait]
	if len(t.trip.Acts) == 0 && (due.IsZero() || t.now.Before(due)) {
		return // nothing was done
	}
	items := t.news()
	t.forgetNews(items)
	t.tellShopNews(items)
	var wait time.Time
	for _, p := range t.trip.Leaders() {
		if until := t.tellLeaderNews(p.ID, items); !until.IsZero() && (wait.IsZero() || until.Before(wait)) {
			wait = until
		}
	}
	if wait.IsZero() {
		t.trip.RemindAgain(func(key string) bool { return key == reminders.NewsWait })
		return
	}
	t.trip.Remind(reminders.NewsWait, wait)
}

// news is everything that leaders have to know as things are.
func (t *turn) news() []newsItem {
	items := slices.Concat(t.brokenNews(), t.unreachableNews(), t.airNews())
	for _, n := range t.ahead() {
		b := t.board(n)
		for i := range b.People {
			if c := &b.People[i]; c.Active {
				items = append(items, t.newsOf(c)...)
			}
		}
	}
	return append(items, t.patternNews()...)
}

// forgetNews forgets that somebody was told what is no longer so: when it comes
// again, it is news again.
func (t *turn) forgetNews(items []newsItem) {
	now := map[string]bool{}
	for _, i := range items {
		now[i.key] = true
	}
	t.trip.RemindAgain(func(key string) bool {
		rest, news := strings.CutPrefix(key, newsTold)
		_, what, _ := strings.Cut(rest, ":")
		return news && !now[what]
	})
}

// heard tells whether somebody was told an item, and notes that they are.
func (t *turn) hears(who, key string) bool {
	told := newsTold + who + ":" + key
	_, before := t.trip.Reminded[told]
	t.trip.Remind(told, t.now)
	return !before
}

// tellLeaderNews tells one leader what they were not told; it returns until when
// that waits, zero for not at all.
func (t *turn) tellLeaderNews(leader roster.PersonID, items []newsItem) (wait time.Time) {
	var fresh []newsItem
	urgent := false
	for _, i := range items {
		if _, told := t.trip.Reminded[newsTold+string(leader)+":"+i.key]; told {
			continue
		}
		if i.person == leader && i.person != "" || len(i.lines) == 0 || t.knows(leader, i) {
			t.hears(string(leader), i.key) // told as a diver, or by this turn's answer
			continue
		}
		fresh, urgent = append(fresh, i), urgent || i.urgent
	}
	if len(fresh) == 0 || !canBeTold(t.trip.Person(leader)) {
		return time.Time{}
	}
	if t.holds && !urgent && t.event.Kind == Changed {
		return t.untold.Due()
	}
	last := t.trip.Reminded[newsSent+string(leader)]
	if since := t.now.Sub(last); !urgent && since >= 0 && since < newsApart {
		return last.Add(newsApart)
	}
	for _, i := range fresh {
		t.hears(string(leader), i.key)
	}
	t.trip.Remind(newsSent+string(leader), t.now)
	t.tell(leader, roster.LevelVerdict, true, t.newsMessage(merged(gravest(fresh))))
	return time.Time{}
}

// gravest are the first of each place, and of each key: what else is the matter
// with a cylinder is seen with it.
func gravest(items []newsItem) []newsItem {
	seen := map[string]bool{}
	return slices.DeleteFunc(items, func(i newsItem) bool {
		again := seen[i.place] && i.place != "" || seen[i.key]
		seen[i.place], seen[i.key] = true, true
		return again
	})
}

// knows tells whether this turn's answer told the acting leader already, or all
// that can be told.
func (t *turn) knows(leader roster.PersonID, i newsItem) bool {
	return leader == t.actor && (t.shown[standing{i.person, i.dive}] || t.saidNews[i.key]) ||
		t.saidAll[i.key] && canBeTold(t.trip.Person(leader))
}

// newsMessage is several news in one message: the first with why and the buttons
// that do something about it, of the others who and what.
func (t *turn) newsMessage(items []newsItem) message.Message {
	var m message.Message
	several := slices.ContainsFunc(items, func(i newsItem) bool { return i.person != items[0].person })
	done := map[string]bool{}
	for n, i := range items {
		if n >= mostNews {
			m.Lines = append(m.Lines, i.lines[0])
			continue
		}
		m.Lines = append(m.Lines, i.lines...)
		for _, row := range i.buttons {
			row = slices.DeleteFunc(slices.Clone(row), func(b message.Button) bool { return done[b.Do] })
			for k := range row {
				done[row[k].Do] = true
				if several && i.person != "" {
					row[k].Label = message.Say("leader.choice.with",
						message.Args{"name": t.nameOf(i.person), "cylinder": message.Of(row[k].Label)})
				}
			}
			if len(row) > 0 {
				m.Buttons = append(m.Buttons, row)
			}
		}
	}
	if len(items) > mostNews {
		m.Lines = append(m.Lines, message.Say("news.more", message.Args{"command": message.Code("/board")}))
	}
	return m
}

// tellShopNews tells the shop's systems of fills that are off, once each.
func (t *turn) tellShopNews(items []newsItem) {
	for _, i := range items {
		if i.shop != nil && t.hears(theShop, i.key) {
			t.happen("fill.questioned", i.shop)
		}
	}
}

// brokenNews are the signatures that do not hold any more.
func (t *turn) brokenNews() []newsItem {
	var items []newsItem
	for _, n := range t.ahead() {
		s := t.trip.Signature(n)
		if s == nil || s.Broken == nil || s.Withdrawn != nil {
			continue
		}
		items = append(items, newsItem{key: "broken:" + s.ID, urgent: true, lines: []message.Line{
			message.Loud("news.broken", message.Args{"dive": message.Count(n), "site": message.Name(t.site(n))}),
			message.Differs(t.trip.Trip, s.Broken)}, buttons: [][]message.Button{t.boardOrSign(n)}})
	}
	return items
}

// boardOrSign offers a dive's board, and its signature when nothing stands in the way.
func (t *turn) boardOrSign(dive int) []message.Button {
	n := strconv.Itoa(dive)
	row := oneButton("board "+n, message.Say("news.button.board", nil))
	if t.maySign(dive) {
		row = append(row, oneButton("lsign "+n,
			message.Say("board.button.sign", message.Args{"dive": message.Count(dive)}))...)
	}
	return row
}

// unreachableNews are those whom no message reaches.
func (t *turn) unreachableNews() []newsItem {
	var items []newsItem
	for _, p := range t.trip.People {
		if p.Unreachable == "" || p.Erased || !p.Left.IsZero() || !p.Dives() && !p.Leader || p.OutOf(t.dive()) != nil {
			continue
		}
		a := message.Args{"name": t.nameOf(p.ID)}
		items = append(items, newsItem{key: "unreachable:" + string(p.ID), lines: []message.Line{
			message.Loud("unreachable.leader", a), message.Say("unreachable.instead", a)},
			buttons: [][]message.Button{oneButton("lfor "+string(p.ID), message.Say("news.button.watch", nil))}})
	}
	return items
}

// patternNews are what deviating readings have in common.
func (t *turn) patternNews() []newsItem {
	var items []newsItem
	for _, p := range t.trip.Patterns() {
		lines := t.patternLines([]gas.Pattern{p})
		if p.Kind == gas.FillOff {
			lines = nil // the fill itself is news
		}
		items = append(items, newsItem{key: "pattern:" + string(p.Kind) + ":" + p.Analyser + ":" + p.Cylinder,
			lines: lines,
			shop: map[string]any{"pattern": p.Kind, "analyser": p.Analyser, "cylinder": p.Cylinder,
				"off": math.Round(p.Points*100) / 100, "readings": p.Readings}})
	}
	return items
}
