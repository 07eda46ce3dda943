package conversation

import (
	"slices"
	"strconv"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The board of one dive: one screen that says first whether the group may go,
// then what holds for everybody, then a line for each who needs something.

// showBoard is "/board [DIVE]", with the chart once there is something to draw.
func showBoard(t *turn, args string) {
	dive := t.dive()
	if n, ok := t.diveTyped(args); ok {
		if t.trip.Dive(n) == nil {
			t.say(message.Say("dived.no-such-dive",
				message.Args{"typed": message.Count(n), "last": message.Count(len(t.trip.Dives))}))
			return
		}
		dive = n
	}
	if t.trip.CalledOff != nil {
		t.sayOver()
		return
	}
	m := t.boardMessage(dive)
	if p := Chart(t.trip.Trip, dive, t.now); p.Measured() {
		m.Picture = &p
	}
	t.send(m)
}

// boardMessage is the board of a dive for a leader: whether the group may go, who
// is in the way, who goes. What else there is to know is a tap away.
func (t *turn) boardMessage(dive int) message.Message {
	b := t.board(dive)
	lines := append([]message.Line{t.headline(&b)}, t.planLines(&b)...)
	lines = append(lines, t.groupLine(&b))
	lines = append(lines, t.patternLines(t.trip.Patterns())...)
	lines = append(lines, t.personLines(&b)...)
	lines = append(lines, t.policyLines()...)
	lines = append(lines, message.Line{Key: "board.caution.short", Style: message.Quiet})
	t.showsAll(&b)
	more := oneButton("lmore "+strconv.Itoa(dive), message.Say("button.more", nil))
	return message.Message{Lines: lines, Buttons: append(t.boardButtons(&b), more)}
}

// moreOfBoard is what the board's message leaves out: the teams, who has to be
// spoken to, and what the board is not.
func moreOfBoard(t *turn, args []string) {
	dive, _ := strconv.Atoi(argument(args, 0))
	if t.trip.Dive(dive) == nil {
		t.questionOver()
		return
	}
	if t.trip.CalledOff != nil {
		t.sayOver()
		return
	}
	b := t.board(dive)
	lines := []message.Line{t.headline(&b), countsLine(&b)}
	for _, c := range b.People {
		lines = append(lines, t.whyOf(&c)...)
	}
	lines = append(lines, t.teamLines(&b)...)
	lines = append(lines, t.unreachableLines()...)
	t.say(append(lines, gap(), caution())...)
}

// whyOf is a person's verdict with what decides it and what to do, nothing for a go.
func (t *turn) whyOf(c *roster.Clearance) []message.Line {
	if !c.Active || c.Status == gas.Go {
		return nil
	}
	head := message.Loud("board.person", message.Args{"verdict": message.Of(message.Cleared(t.trip.Trip, c)),
		"name": t.nameOf(c.Person)})
	return append([]message.Line{gap(), head}, t.whyLines(c)...)
}

// showsAll notes that the acting leader sees everybody's clearance.
func (t *turn) showsAll(b *roster.Board) {
	for i := range b.People {
		t.shown[standing{b.People[i].Person, b.Dive}] = true
	}
}

// headline is the go / no-go for the group.
func (t *turn) headline(b *roster.Board) message.Line {
	c := b.Counts
	n := map[gas.Status]int{gas.Go: c.Active, gas.GoWithLimits: c.Limits, gas.NoGo: c.NoGo,
		gas.NotCleared: c.NotCleared}[b.Status]
	a := message.Args{"dive": message.Count(b.Dive), "count": message.Count(n)}
	switch {
	case b.Dived:
		return message.Loud("board.dived", a)
	case c.Active == 0:
		return message.Loud("board.nobody", a)
	}
	return message.Loud("board.head."+b.Status.String(), a)
}

// planLines say which dive the board is about, how its signature stands, and
// whose qualification is not known.
func (t *turn) planLines(b *roster.Board) []message.Line {
	lines := []message.Line{message.Say("board.dive",
		message.Args{"dive": message.Count(b.Dive), "of": message.Count(len(t.trip.Dives)),
			"plan":   message.Of(message.Plan(t.trip.Dives[b.Dive-1])),
			"starts": message.Clock(t.trip.Starts(b.Dive), t.trip.Zone)})}
	lines = append(lines, t.signatureLines(b.Dive)...)
	var unknown []*roster.Person
	for i := range b.People {
		if p := t.trip.Person(b.People[i].Person); b.People[i].Active && !p.DepthLimit.Known() {
			unknown = append(unknown, p)
		}
	}
	switch n := len(unknown); {
	case n > 1 && n == b.Counts.Active:
		lines = append(lines, message.Say("board.qualification.all", nil))
	case n > 0:
		lines = append(lines, message.Say("board.qualification", message.Args{"names": t.names(unknown)}))
	}
	return lines
}

// signatureLines say how the last signature of a dive stands.
func (t *turn) signatureLines(dive int) []message.Line {
	s := t.trip.Signature(dive)
	if s == nil {
		return nil
	}
	a := message.Args{"who": t.nameOf(s.By), "at": t.clock(s.At)}
	switch t.trip.Standing(s, t.now).State {
	case "standing":
		return []message.Line{message.Say("board.signed", a)}
	case "broken":
		lines := []message.Line{message.Loud("board.signed.broken", a)}
		if s.Broken != nil {
			lines = append(lines, message.Differs(t.trip.Trip, s.Broken))
		}
		return lines
	case "lapsed":
		return []message.Line{message.Loud("board.signed.lapsed", a)}
	}
	if s.Withdrawn != nil {
		a["by"], a["reason"] = t.nameOf(s.Withdrawn.By), message.Of(reasonLine(s.Withdrawn.Reason))
	}
	return []message.Line{message.Loud("board.signed.withdrawn", a)}
}

func countsLine(b *roster.Board) message.Line {
	return message.Say("board.counts", message.Args{"count": message.Count(b.Counts.Active), "parts": countParts(b, true)})
}

// countParts are how many stand how, with those who don't dive or without.
func countParts(b *roster.Board, all bool) message.Value {
	c := b.Counts
	parts := []struct {
		key string
		n   int
	}{{"go", c.Go}, {"limits", c.Limits}, {"no-go", c.NoGo}, {"not-cleared", c.NotCleared}, {"outside", c.Outside},
		{"out", c.Out}}
	if !all {
		parts = parts[:4]
	}
	var said []message.Value
	for _, p := range parts {
		if p.n > 0 {
			said = append(said, message.Of(message.Say("board.count."+p.key, message.Args{"count": message.Count(p.n)})))
		}
	}
	return message.List(said...)
}

// groupLine is the group in one line: how many stand how, the shallowest and the
// shortest, and whose they are.
func (t *turn) groupLine(b *roster.Board) message.Line {
	a := message.Args{"parts": countParts(b, false), "count": message.Count(b.Counts.Active)}
	group := t.groupLines(b)
	if len(group) == 0 {
		return message.Say("board.counts", a)
	}
	a["group"] = message.Of(group[0])
	return message.Say("board.group.line", a)
}

// groupLines say the shallowest depth and the shortest time, and whose they are.
func (t *turn) groupLines(b *roster.Board) []message.Line {
	return t.tightestLines("board.group", message.Args{}, b.Dive, b.Group)
}

func (t *turn) tightestLines(key string, about message.Args, dive int, g roster.Tightest) []message.Line {
	a := message.Args{}
	for name, v := range about {
		a[name] = v
	}
	deep, long := g.MaxDepth.Known(), g.MaxMinutes > 0
	if deep {
		a["depth"], a["who"] = message.LimitBeside(g.MaxDepth, t.trip.Dives[dive-1].Depth), t.nameOf(g.DepthBy)
	}
	if long {
		a["minutes"], a["whose"] = message.Minutes(g.MaxMinutes), t.nameOf(g.TimeBy)
	}
	switch {
	case deep && long:
		return []message.Line{message.Say(key+".both", a)}
	case deep:
		return []message.Line{message.Say(key+".depth", a)}
	case long:
		return []message.Line{message.Say(key+".minutes", a)}
	}
	return nil
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
	return []message.Line{message.Say("board.missing",
		message.Args{"count": message.Count(len(names)), "names": t.names(names)})}
}

// owing are the active people who owe something for a dive.
func (t *turn) owing(b *roster.Board) []*roster.Person {
	var found []*roster.Person
	for i := range b.People {
		if c := &b.People[i]; c.Active && len(c.Owes) > 0 {
			found = append(found, t.trip.Person(c.Person))
		}
	}
	return found
}

// nudged are those of them whom a reminder helps.
func (t *turn) nudged(b *roster.Board) []*roster.Person {
	return slices.DeleteFunc(t.owing(b), func(p *roster.Person) bool {
		return !slices.ContainsFunc(b.Of(p.ID).Owes, func(o roster.Owed) bool { return o.Why != roster.NeedSpeak })
	})
}

func (t *turn) names(people []*roster.Person) message.Value {
	var names []message.Value
	for _, p := range people {
		names = append(names, t.nameOf(p.ID))
	}
	return message.List(names...)
}

// unreachableLines are those who can't be written to, and those who never
// opened their invite: somebody has to speak to them.
func (t *turn) unreachableLines() []message.Line {
	var lines []message.Line
	var unjoined []*roster.Person
	for _, p := range t.trip.People {
		switch {
		case !p.Dives() || !p.Left.IsZero() || p.OutOf(t.dive()) != nil:
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

// nudgeButton reminds those who owe something and can be written to. Who owes
// nothing but a word with a leader is spoken to and not reminded.
func (t *turn) nudgeButton(b *roster.Board) [][]message.Button {
	n := len(reachable(t.others(t.nudged(b))))
	if n == 0 {
		return nil
	}
	return [][]message.Button{oneButton("lnudge "+strconv.Itoa(b.Dive),
		message.Say("board.button.nudge", message.Args{"count": message.Count(n)}))}
}

// others are people without the acting one: nobody reminds themself.
func (t *turn) others(people []*roster.Person) []*roster.Person {
	return slices.DeleteFunc(slices.Clone(people), func(p *roster.Person) bool { return p.ID == t.actor })
}

// boardButtons offer what the board asks for.
func (t *turn) boardButtons(b *roster.Board) [][]message.Button {
	if b.Dived || t.me() == nil || !t.me().Leader {
		return nil
	}
	rows, dive := append(t.nudgeButton(b), t.goneButtons(b)...), strconv.Itoa(b.Dive)
	if !t.trip.BoatOpened(b.Dive) && b.Counts.Active > 0 {
		rows = append(rows, oneButton("lboat "+dive, message.Say("board.button.boat", nil)))
	}
	if t.maySign(b.Dive) {
		rows = append(rows, oneButton("lsign "+dive,
			message.Say("board.button.sign", message.Args{"dive": message.Count(b.Dive)})))
	}
	if len(t.trip.SeriesOff(t.now)) > 0 {
		rows = append(rows, oneButton("lseries", message.Say("board.button.series", nil)))
	}
	return append(rows, t.consentButtons()...)
}

// maySign tells whether nothing stands in the way of a leader's signature, the boat
// check that the policy asks for included.
func (t *turn) maySign(dive int) bool {
	return t.open(dive) && slices.ContainsFunc(t.trip.Leaders(), func(l *roster.Person) bool {
		return len(t.trip.Refusals(dive, l.ID, t.now)) == 0
	})
}

func boardPressed(t *turn, args []string) { showBoard(t, argument(args, 0)) }

// sayOver answers what comes too late for this trip.
func (t *turn) sayOver() {
	if t.trip.CalledOff != nil {
		t.say(t.overLines()...)
		return
	}
	t.say(message.Say("trip.over", message.Args{"trip": message.Name(t.trip.Name), "record": message.Code("/record")}))
}
