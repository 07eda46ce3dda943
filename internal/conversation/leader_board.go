package conversation

import (
	"slices"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The board: one screen that says first whether the group may go, then what
// holds for everybody, then who needs what, those who need something first.

// compactFrom is the number of plain go's from which they share one line: a
// long roster must not bury what needs doing.
const compactFrom = 12

// showBoard shows the board, with the chart once there is something to draw.
func showBoard(t *turn, _ string) {
	m := t.boardMessage()
	if p := Chart(t.trip, t.now); p.Measured() {
		m.Picture = &p
	}
	t.send(m)
}

// boardMessage is the whole board for a leader.
func (t *turn) boardMessage() message.Message {
	b := t.board()
	lines := []message.Line{t.headline(&b), t.diveLine(&b)}
	lines = append(lines, t.reopenedLines(&b)...)
	lines = append(lines, countsLine(&b))
	lines = append(lines, t.groupLines(&b)...)
	lines = append(lines, t.missingLine(&b)...)
	lines = append(lines, t.patternLines(t.trip.Patterns())...)
	lines = append(lines, t.personLines(&b)...)
	lines = append(lines, t.teamLines(&b)...)
	lines = append(lines, t.outLines()...)
	lines = append(lines, t.unreachableLines()...)
	lines = append(lines, policyLines(t.trip)...)
	lines = append(lines, gap(), caution())
	return message.Message{Lines: lines, Buttons: t.boardButtons(&b)}
}

// headline is the go / no-go for the group.
func (t *turn) headline(b *roster.Board) message.Line {
	c := b.Counts
	n := map[gas.Status]int{gas.Go: c.Active, gas.GoWithLimits: c.Limits, gas.NoGo: c.NoGo, gas.NoReading: c.NoReading}[b.Status]
	switch {
	case b.Dive == 0:
		return message.Loud("board.all-signed", nil)
	case c.Active == 0:
		return message.Loud("board.nobody", message.Args{"verdict": verdictOf(gas.NoReading, gas.Depth{})})
	}
	return message.Loud("board.head."+b.Status.String(), message.Args{
		"verdict": verdictOf(b.Status, gas.Depth{}), "count": message.Count(n)})
}

func verdictOf(s gas.Status, max gas.Depth) message.Value {
	return message.Of(message.Verdict(s, max))
}

// diveLine says which dive the board is about.
func (t *turn) diveLine(b *roster.Board) message.Line {
	n := b.Dive
	if n == 0 {
		n = len(t.trip.Dives)
	}
	return message.Say("board.dive", message.Args{"dive": message.Count(n), "of": message.Count(len(t.trip.Dives)),
		"plan": message.Of(message.Plan(t.trip.Dives[n-1])), "departs": message.Clock(t.trip.Departs, t.trip.Zone)})
}

// reopenedLines say that the current dive was signed off before.
func (t *turn) reopenedLines(b *roster.Board) []message.Line {
	for _, s := range slices.Backward(t.trip.SignOffs) {
		if s.Dive == b.Dive && s.Reopened != nil {
			return []message.Line{message.Loud("board.reopened", message.Args{
				"at": t.clock(s.Reopened.At), "who": t.nameOf(s.Reopened.By), "reason": message.Of(reopenedFor(s.Reopened.Reason))})}
		}
	}
	return nil
}

func countsLine(b *roster.Board) message.Line {
	c := b.Counts
	var parts []message.Value
	for _, p := range []struct {
		key string
		n   int
	}{{"go", c.Go}, {"limits", c.Limits}, {"no-go", c.NoGo}, {"no-reading", c.NoReading}} {
		if p.n > 0 {
			parts = append(parts, message.Of(message.Say("board.count."+p.key, message.Args{"count": message.Count(p.n)})))
		}
	}
	a := message.Args{"count": message.Count(c.Active), "parts": message.List(parts...)}
	if c.Out > 0 {
		a["out"] = message.Count(c.Out)
		return message.Say("board.counts.out", a)
	}
	return message.Say("board.counts", a)
}

// groupLines say each limit that everybody shares, once.
func (t *turn) groupLines(b *roster.Board) []message.Line {
	var lines []message.Line
	for _, g := range b.Group {
		a := message.Args{"dive": message.Count(g.Dive), "site": message.Name(t.site(g.Dive))}
		if g.MaxDepth.Known() {
			a["depth"] = message.Limit(g.MaxDepth)
			lines = append(lines, message.Loud("board.group.depth", a))
		}
		if g.MaxMinutes > 0 {
			a["minutes"] = message.Minutes(g.MaxMinutes)
			lines = append(lines, message.Loud("board.group.minutes", a))
		}
	}
	return lines
}

func (t *turn) site(dive int) string {
	if dive < 1 || dive > len(t.trip.Dives) {
		return ""
	}
	return t.trip.Dives[dive-1].Site
}

// missingLine names those who still owe something.
func (t *turn) missingLine(b *roster.Board) []message.Line {
	names := t.owing(b)
	if len(names) == 0 {
		return nil
	}
	return []message.Line{message.Say("board.missing", message.Args{"count": message.Count(len(names)), "names": t.names(names)})}
}

// owing are the active people who owe a reading or an answer.
func (t *turn) owing(b *roster.Board) []*roster.Person {
	var found []*roster.Person
	for i := range b.People {
		if pb := &b.People[i]; pb.Active && len(pb.Owes) > 0 {
			found = append(found, t.trip.Person(pb.Person))
		}
	}
	return found
}

func (t *turn) names(people []*roster.Person) message.Value {
	var names []message.Value
	for _, p := range people {
		names = append(names, t.nameOf(p.ID))
	}
	return message.List(names...)
}

// outLines are those who sit out, with the reason.
func (t *turn) outLines() []message.Line {
	var lines []message.Line
	for _, p := range t.trip.People {
		if p.Out != nil {
			lines = append(lines, message.Say("board.out", message.Args{"name": t.nameOf(p.ID),
				"reason": message.Of(reasonLine(p.Out.Reason)), "who": t.nameOf(p.Out.By), "at": t.clock(p.Out.At)}))
		}
	}
	return section("board.outs", lines)
}

// unreachableLines are those who can't be written to, and those who never
// opened their invite: somebody has to speak to them.
func (t *turn) unreachableLines() []message.Line {
	var lines []message.Line
	var unjoined []*roster.Person
	for _, p := range t.trip.People {
		switch {
		case !p.Active() || !p.Left.IsZero():
		case p.Unreachable != "":
			lines = append(lines, message.Say("board.unreachable", message.Args{"name": t.nameOf(p.ID)}))
		case p.Joined.IsZero():
			unjoined = append(unjoined, p)
		}
	}
	if len(unjoined) > 0 {
		lines = append(lines, message.Say("board.unjoined", message.Args{
			"count": message.Count(len(unjoined)), "names": t.names(unjoined)}))
	}
	return section("board.not-in-chat", lines)
}

// section puts a heading over lines; without lines there is none.
func section(heading string, lines []message.Line) []message.Line {
	if len(lines) == 0 {
		return nil
	}
	return append([]message.Line{gap(), message.Say(heading, nil)}, lines...)
}

func gap() message.Line { return message.Line{Style: message.Gap} }

func caution() message.Line { return message.Line{Key: "board.caution", Style: message.Quiet} }

// clock is a time of day on the trip.
func (t *turn) clock(at time.Time) message.Value { return message.Clock(at, t.trip.Zone) }

// nudgeButton reminds those who owe something and can be written to.
func (t *turn) nudgeButton(b *roster.Board) [][]message.Button {
	owing := t.owing(b)
	n := len(reachable(owing))
	key := "board.button.nudge"
	switch {
	case n == 0:
		return nil
	case n < len(owing):
		key = "board.button.nudge.some"
	}
	return [][]message.Button{oneButton("lnudge", message.Say(key, message.Args{"count": message.Count(n)}))}
}

// boardButtons offer what the board asks for.
func (t *turn) boardButtons(b *roster.Board) [][]message.Button {
	rows := t.nudgeButton(b)
	if b.Dive > 0 && t.trip.BoatOpen.IsZero() && b.Counts.Active > 0 {
		rows = append(rows, oneButton("lboat", message.Say("board.button.boat", nil)))
	}
	if b.Dive > 0 && (b.Status == gas.Go || b.Status == gas.GoWithLimits) {
		rows = append(rows, oneButton("lsign", message.Say("board.button.sign", message.Args{"dive": message.Count(b.Dive)})))
	}
	return append(rows, t.policyButtons()...)
}

func boardPressed(t *turn, _ []string) { showBoard(t, "") }

// sayOver answers what comes too late for this trip.
func (t *turn) sayOver() {
	t.say(message.Say("trip.over", message.Args{"trip": message.Name(t.trip.Name), "record": message.Code("/record")}))
}
