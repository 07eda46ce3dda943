package conversation

import (
	"strconv"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// The diver's own end of the day: one message with a line for their log of each dive.

// logSent is what Trip.Reminded remembers of it, with the person.
const logSent = "log:"

// tellLogs sends it to everybody who dived, once, when a leader has said of every
// dive whether it was dived.
func (t *turn) tellLogs() {
	if len(t.trip.Acts) == 0 || !t.dayIsDone() {
		return
	}
	for _, p := range t.trip.People {
		if _, sent := t.trip.Reminded[logSent+string(p.ID)]; sent || !canBeTold(p) {
			continue
		}
		if lines := t.logLines(p); len(lines) > 0 {
			t.trip.Remind(logSent+string(p.ID), t.now)
			head := message.Loud("log.head", message.Args{"trip": message.Name(t.trip.Name)})
			last := len(t.trip.Dives)
			t.tell(p.ID, roster.LevelReminder, false, message.Message{Lines: append([]message.Line{head}, lines...),
				Buttons: [][]message.Button{oneButton("dlog "+strconv.Itoa(last), message.Say("log.button", nil))}})
		}
	}
}

func (t *turn) dayIsDone() bool {
	dived := false
	for n := range t.trip.Dives {
		if t.trip.Dives[n].Outcome == nil {
			return false
		}
		dived = dived || t.trip.WasDived(n+1)
	}
	return dived
}

// logLines are a person's dives as they were dived: date with year, site, gas, depth
// and minutes.
func (t *turn) logLines(p *roster.Person) []message.Line {
	var lines []message.Line
	for n := 1; n <= len(t.trip.Dives); n++ {
		b := t.board(n)
		cl := b.Of(p.ID)
		if !t.trip.WasDived(n) || cl == nil || !cl.Active {
			continue
		}
		var gases []message.Value
		for _, c := range p.Cylinders {
			if numbers := numbersFor(cl, c.ID); numbers != nil {
				gases = append(gases, message.Percent(t.shownOf(c, numbers)))
			}
		}
		if len(gases) == 0 {
			continue
		}
		dive := t.trip.Dives[n-1]
		depth, minutes := dive.Depth, dive.Minutes
		if as, said := t.trip.DivedBy(n, p.ID); said {
			depth, minutes = as.Depth, as.Minutes
		}
		lines = append(lines, message.Say("log.dive", message.Args{"date": message.Date(dive.Outcome.Began, t.trip.Zone),
			"site": message.Name(dive.Site),
			"gas":  message.List(gases...), "depth": message.Planned(depth), "minutes": message.Minutes(minutes)}))
	}
	return lines
}

// logPressed asks a diver which of their dives was otherwise, and how.
func logPressed(t *turn, _ []string) {
	t.ask(stateDived, divedData{}, message.Message{Lines: []message.Line{t.divedUsage(divedData{})}})
}
