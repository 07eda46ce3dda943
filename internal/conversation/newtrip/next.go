package newtrip

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/when"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What is asked, and the buttons that answer it. A button of this dialogue begins
// with Verb.

// Verb is what a button of the dialogue begins with; "newtrip start" is the one
// that starts the trip, "newtrip stop" the one that ends the dialogue.
const Verb = "newtrip"

// What the two buttons say that the form does not answer itself.
const (
	Start = "start"
	Stop  = "stop"
)

// mostSites are offered as buttons.
const mostSites = 6

// Next is the next question, or the whole with [Start].
func (f *Form) Next(d Desk) message.Message {
	s := f.step()
	if s == askStart {
		return f.summary()
	}
	m := message.Message{Lines: []message.Line{message.Say("newtrip.ask."+string(s), f.args())}, Buttons: f.buttons(s, d)}
	return m
}

func (f *Form) args() message.Args {
	a := message.Args{"dive": message.Count(max(1, len(f.Dives)))}
	for i := range f.Dives {
		a["site"] = message.Name(f.Dives[i].Site)
		if f.Dives[i].step(i == 0) != "" {
			a["dive"] = message.Count(i + 1)
			break
		}
	}
	return a
}

// summary is the trip as it would be started.
func (f *Form) summary() message.Message {
	lines := []message.Line{message.Loud("newtrip.summary", message.Args{"departs": message.Moment(f.departs(), f.Zone)})}
	for i := range f.Dives {
		a := message.Args{"dive": message.Count(i + 1), "plan": message.Of(message.Plan(f.Dives[i].Dive))}
		key := "newtrip.dive"
		if i > 0 {
			key, a["minutes"] = "newtrip.dive.after", message.Minutes(f.Dives[i].Interval)
		}
		lines = append(lines, message.Say(key, a))
	}
	if len(f.Analysers) > 0 {
		var names []message.Value
		for _, a := range f.Analysers {
			names = append(names, message.Name(a))
		}
		lines = append(lines, message.Say("newtrip.analysers", message.Args{"analysers": message.List(names...)}))
	}
	return message.Message{Lines: lines, Buttons: [][]message.Button{{button("newtrip.button.start", Start),
		button("newtrip.button.stop", Stop)}}}
}

func button(key string, do ...string) message.Button {
	return message.Button{Label: message.Say(key, nil), Do: Verb + " " + strings.Join(do, " ")}
}

func (f *Form) buttons(s step, d Desk) [][]message.Button {
	switch s {
	case askDay:
		return f.dayButtons(d.Now)
	case askSite:
		return f.siteButtons(d)
	case askUnit:
		return [][]message.Button{{button("diver.units.m", "unit", "m"), button("diver.units.ft", "unit", "ft")}}
	case askBottom:
		return [][]message.Button{{button("site.button.bottomless", "bottom", "none")},
			{button("site.button.bottom-unknown", "bottom", "unknown")}}
	case askMore:
		return [][]message.Button{{button("newtrip.button.more", "more"), button("newtrip.button.enough", "enough")}}
	case askAnalysers:
		return [][]message.Button{{button("newtrip.button.unnamed", "unnamed")}}
	}
	return nil
}

// dayButtons are today, tomorrow, and the days of the week that follows.
func (f *Form) dayButtons(now time.Time) [][]message.Button {
	loc, err := roster.Zone(f.Zone)
	if err != nil {
		return nil
	}
	now = now.In(loc)
	day := func(n int) string { return now.AddDate(0, 0, n).Format(time.DateOnly) }
	rows := [][]message.Button{{button("newtrip.button.today", "day", day(0)),
		button("newtrip.button.tomorrow", "day", day(1))}}
	for n := 2; n < 6; n += 2 {
		var row []message.Button
		for _, i := range []int{n, n + 1} {
			label := message.Say("newtrip.button.day", message.Args{"day": message.Day(now.AddDate(0, 0, i), f.Zone)})
			row = append(row, message.Button{Label: label, Do: Verb + " day " + day(i)})
		}
		rows = append(rows, row)
	}
	return rows
}

func (f *Form) siteButtons(d Desk) (rows [][]message.Button) {
	for i, s := range d.Sites[:min(mostSites, len(d.Sites))] {
		label := message.Say("newtrip.button.site",
			message.Args{"site": message.Name(s.Site), "depth": message.Planned(s.Depth)})
		rows = append(rows, []message.Button{{Label: label, Do: Verb + " site " + strconv.Itoa(i)}})
	}
	return rows
}

// Pressed puts a button's answer into the form; false when the question is over.
func (f *Form) Pressed(d Desk, args []string) (problem message.Line, ok bool) {
	if len(args) == 0 {
		return problem, false
	}
	value := ""
	if len(args) > 1 {
		value = args[1]
	}
	switch s := f.step(); {
	case args[0] == "day" && s == askDay:
		said, ok := f.day(value)
		if !ok {
			return problem, false
		}
		return f.setWhen(when.Said{Day: said.Day, Clock: -1}, d.Now), true
	case args[0] == "site" && s == askSite:
		return f.pressedSite(d, value)
	case args[0] == "unit" && s == askUnit:
		return f.takeUnit(d, value), true
	case args[0] == "bottom" && s == askBottom:
		dive := f.open()
		dive.Bottom, dive.Bottomless, dive.Bottomed = gas.Depth{}, value == "none", true
	case args[0] == "more" && s == askMore:
		f.Dives = append(f.Dives, Dive{})
	case args[0] == "enough" && s == askMore:
		f.Whole = true
	case args[0] == "unnamed" && s == askAnalysers:
		f.Named = true
	default:
		return problem, false
	}
	return problem, true
}

// pressedSite takes a site with its depths.
func (f *Form) pressedSite(d Desk, value string) (message.Line, bool) {
	n, err := strconv.Atoi(value)
	if err != nil || n < 0 || n >= len(d.Sites) {
		return message.Line{}, false
	}
	if !f.useSite(d, f.open(), d.Sites[n].Site) {
		return message.Line{}, false
	}
	return message.Line{}, true
}

// Complete tells whether all is known.
func (f *Form) Complete() bool { return f.step() == askStart }
