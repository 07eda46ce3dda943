package conversation

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A muster sheet that was filled in without a signal, entered afterwards: many lines
// of /for at once, each with the time at which it was read. A line that can't be
// taken is named, and the others are recorded.
//
//	/for Marit 18 32.4 7:40
//	Kenji 51 30.9 A 7:45 by Nuno

// mostLines is how many lines are read at once.
const mostLines = 80

// manyFor takes a text of several lines that begins with /for; false when it is none.
func (t *turn) manyFor(text string) bool {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	first, _, _ := strings.Cut(strings.ToLower(lines[0]), " ")
	if len(lines) < 2 || first != "/for" {
		return false
	}
	switch {
	case !may(t.me(), false, true):
		t.say(message.Say("command.leaders-only", message.Args{"command": message.Code("/for")}))
	case t.trip.Over(t.now):
		t.sayOver()
	default:
		t.enterSheet(lines[:min(len(lines), mostLines)])
	}
	return true
}

// enterSheet records line by line and answers once.
func (t *turn) enterSheet(lines []string) {
	t.done()
	var done, not []message.Line
	var dives []int
	before := len(t.letters)
	for _, line := range lines {
		line = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(line), "/for"))
		if line == "" {
			continue
		}
		recorded, dive, problem := t.enterLine(line)
		if problem.Key != "" {
			not = append(not, message.Loud("sheet.not", message.Args{"typed": message.Name(t.withNames(line))}), problem)
			continue
		}
		done = append(done, recorded)
		if !slices.Contains(dives, dive) {
			dives = append(dives, dive)
		}
	}
	t.letters = append(t.letters[:before], notTo(t.letters[before:], t.actor)...)
	t.done()
	key := "sheet.recorded"
	if slices.ContainsFunc(done, func(l message.Line) bool { return l.Key == "sheet.line.by" }) {
		key = "sheet.recorded.some" // as watched by those who are named
	}
	head := message.Loud(key, message.Args{"count": message.Count(len(done))})
	t.send(message.Message{Lines: append(append([]message.Line{head}, not...), done...), Buttons: t.divedButtons(dives)})
}

// divedButtons ask a leader of dives that have begun by their plan: one that was led
// from paper is dived, and not signed afterwards.
func (t *turn) divedButtons(dives []int) (rows [][]message.Button) {
	for _, n := range dives {
		if t.me().Leader && t.trip.Dive(n).Outcome == nil && t.trip.Starts(n).Before(t.now) {
			rows = append(rows, oneButton("ldived "+strconv.Itoa(n)+" ask",
				message.Say("sheet.button.dived", message.Args{"dive": message.Count(n)})))
		}
	}
	return rows
}

// withNames is a line with names and labels in the place of the ids that a form
// wrote.
func (t *turn) withNames(line string) string {
	words := strings.Fields(line)
	for i, w := range words {
		if p := t.trip.Person(roster.PersonID(strings.TrimPrefix(w, "@"))); p != nil && w[0] == '@' {
			words[i] = p.Name
		} else if _, c := t.trip.Cylinder(roster.CylinderID(strings.TrimPrefix(w, "@"))); c != nil && w[0] == '@' {
			words[i] = c.Label
		}
	}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// notTo are the letters that are for somebody else.
func notTo(letters []Letter, p roster.PersonID) []Letter {
	var others []Letter
	for _, l := range letters {
		if l.Person != p || l.Group {
			others = append(others, l)
		}
	}
	return others
}

// enterLine records one line; what it lacks is not asked for here.
func (t *turn) enterLine(line string) (recorded message.Line, dive int, problem message.Line) {
	found, name, rest := orders.Named(t.trip.Trip, line)
	switch {
	case len(found) == 0:
		return recorded, 0, t.unknownName(name)
	case len(found) > 1:
		return recorded, 0, message.Say("leader.who.which", message.Args{"name": message.Name(name), "names": t.names(found)})
	}
	p, d := found[0], forData{Person: found[0].ID, NoAir: true}
	if problem = t.readFor(&d, rest); problem.Key != "" {
		return recorded, 0, problem
	}
	if d.Cylinder == "" && len(p.InUse()) == 1 {
		d.Cylinder = p.InUse()[0].ID
	}
	_, c := t.trip.Cylinder(d.Cylinder)
	if c == nil || !d.Percent.Known() {
		return recorded, 0, t.forUsage()
	}
	if d.Taken.After(t.now) {
		return recorded, 0, message.Say("sheet.later", message.Args{"at": t.clock(d.Taken)})
	}
	t.recordWitnessed(p, c, d)
	p, c = t.trip.Cylinder(c.ID)
	if r := c.Newest(); r == nil || r.By != t.actor || r.Percent != d.Percent {
		return recorded, 0, message.Say("for.not", message.Args{"name": t.nameOf(p.ID)})
	}
	recorded = message.Say("sheet.line", message.Args{"verdict": message.Of(message.Cleared(t.trip.Trip,
		t.clearanceOf(c))), "name": t.nameOf(p.ID),
		"cylinder": message.Of(cylinderName(c)), "percent": message.Percent(d.Percent)})
	if w := c.Newest().Witness; w != t.actor && w != "" {
		recorded = message.Say("sheet.line.by", message.Args{"line": message.Of(recorded), "who": t.nameOf(w)})
	}
	return recorded, c.Dive, message.Line{}
}

// takeTime takes the time of day at which it was read out of the words.
func (t *turn) takeTime(d *forData, words []string) []string {
	zone, err := roster.Zone(t.trip.Zone)
	if err != nil {
		zone = time.UTC
	}
	at, rest := orders.TakeTime(words, t.now.In(zone))
	if !at.IsZero() {
		d.Taken = at.UTC()
	}
	return rest
}

// showMuster is "/muster": where the sheet is, to print or to keep before the signal goes.
func showMuster(t *turn, _ string) {
	t.say(message.Loud("sheet.open", nil), message.Say("sheet.open.page", nil),
		link(message.MusterLink(t.actor, t.me().Generation)),
		message.Say("sheet.after", message.Args{"command": message.Code("/for"),
			"example": message.Code("/for Marit 18 32.4 7:40")}))
}
