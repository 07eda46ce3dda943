package conversation

import (
	"slices"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What people were told of their clearances, dive by dive: the one place that
// notices that it is no longer so, whatever changed it, and tells them.

func (t *turn) tellChangedVerdicts() {
	dives := t.ahead()
	boards := make([]roster.Board, len(dives))
	for i, n := range dives {
		boards[i] = t.board(n)
	}
	for _, p := range slices.Clone(t.trip.People) {
		if p.Joined.IsZero() || !p.Left.IsZero() || p.Erased {
			continue
		}
		var changed []int
		for i := range boards {
			if c := boards[i].Of(p.ID); c != nil && c.Active && t.tellAnew(c) {
				changed = append(changed, c.Dive)
			}
		}
		if len(changed) > 0 {
			t.tell(p.ID, roster.LevelVerdict, true, t.verdictChanged(t.trip.Person(p.ID), changed))
		}
	}
}

// tellAnew notes how a person stands on a dive and tells whether they have to
// hear of it: not when this turn's answer said it, or nothing was ever said.
func (t *turn) tellAnew(c *roster.Clearance) bool {
	was, now := t.trip.Person(c.Person).ToldOf(c.Dive), told(c)
	now.At = was.At
	if was == now {
		return false
	}
	if answered := t.answered[standing{c.Person, c.Dive}]; t.holds && !answered && now.Status != gas.NoGo {
		return false // told with what the shop changed
	}
	first := was.At.IsZero()
	if first && now.Status == gas.NotCleared {
		return false
	}
	now.At = t.now
	t.trip.Tell(c.Person, now)
	t.happen("verdict.changed", verdictNewsOf(c))
	return !t.answered[standing{c.Person, c.Dive}]
}

// told is what a person is told of a clearance: the status, and what limits it,
// as its first line says it.
func told(c *roster.Clearance) roster.Told {
	now := roster.Told{Dive: c.Dive, Status: c.Status}
	if c.Status != gas.GoWithLimits {
		return now
	}
	for _, f := range c.Verdict.Findings {
		if f.Severity == gas.Limits && f.MaxDepth.Known() {
			now.MaxDepth = c.Max
		}
		if f.Severity == gas.Limits && f.MaxMinutes > 0 {
			now.MaxMinutes = c.MaxMinutes
		}
	}
	return now
}

// verdictChanged tells a person that something else than their own answer
// changed how they stand on some dives, with the boat question where that is what
// is missing.
func (t *turn) verdictChanged(p *roster.Person, dives []int) message.Message {
	m := message.Message{Lines: append(t.personalLines(p, t.standLines, dives...),
		message.Say("diver.changed", message.Args{"trip": message.Name(t.trip.Name)}))}
	for _, n := range dives {
		m.Buttons = append(m.Buttons, t.boatButtons(p, boatOwed(p.InUse(), t.clearance(p.ID, n)))...)
	}
	m.Buttons = append(m.Buttons, oneButton("gas", message.Say("diver.button.gas", nil)))
	return m
}

// dangerFirst makes one message of what changed for a person and of what the
// clock asks of them at the same moment: how they stand first, then what is owed.
// It never expires, since the first of it doesn't.
func (t *turn) dangerFirst() {
	says := func(l Letter, key string) bool {
		return slices.ContainsFunc(l.Message.Lines, func(line message.Line) bool { return line.Key == key })
	}
	var asks []Letter
	for _, l := range t.letters {
		if says(l, "remind.why") || says(l, "remind.boat") {
			asks = append(asks, l)
		}
	}
	for _, ask := range asks {
		changed := slices.IndexFunc(t.letters,
			func(l Letter) bool { return l.Person == ask.Person && says(l, "diver.changed") })
		if changed < 0 {
			continue
		}
		m := &t.letters[changed].Message
		m.Lines = append(append(slices.Clone(m.Lines), gap()), ask.Message.Lines...)
		m.Buttons = append(slices.Clone(m.Buttons), otherRows(ask.Message.Buttons, m.Buttons)...)
		t.letters = slices.DeleteFunc(t.letters, func(l Letter) bool {
			return l.Person == ask.Person && !says(l, "diver.changed") && (says(l, "remind.why") || says(l, "remind.boat"))
		})
	}
}

// otherRows are the rows of buttons that are not among those already there.
func otherRows(rows, there [][]message.Button) [][]message.Button {
	return slices.DeleteFunc(slices.Clone(rows), func(row []message.Button) bool {
		return slices.ContainsFunc(there, func(o []message.Button) bool { return o[0].Do == row[0].Do })
	})
}
