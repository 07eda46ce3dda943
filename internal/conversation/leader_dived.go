package conversation

import (
	"regexp"
	"strconv"
	"strings"

	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a dive turned out to be, for all or for one diver. Until it is entered
// the next dive is planned with the plan.
//
//	/dived DIVE DEPTH MINUTES [NAME]

// stateDived waits for the parts of /dived that were missing.
const stateDived State = "leader.dived"

type divedData struct {
	Dive int `json:"dive,omitempty"`
}

func dived(t *turn, args string) { t.readDived(divedData{}, args) }

func divedTyped(t *turn, text string) {
	var d divedData
	t.data(&d)
	if !t.cancelled(text) {
		t.readDived(d, text)
	}
}

// readDived reads all parts at once; what is wrong is said and asked again.
func (t *turn) readDived(d divedData, text string) {
	what, person, problem := t.parseDived(&d, text)
	if problem.Key != "" {
		t.ask(stateDived, d, message.Message{Lines: []message.Line{problem, t.divedUsage(d)}})
		return
	}
	t.done()
	what.By, what.At = t.me.ID, t.now
	if person != nil {
		what.Person = person.ID
	}
	t.trip.SetDived(d.Dive, what, t.now)
	a := message.Args{"dive": message.Count(d.Dive), "site": message.Name(t.site(d.Dive)),
		"depth": message.Planned(what.Depth), "minutes": message.Minutes(what.Minutes)}
	key := "dived.all"
	if person != nil {
		key, a["name"] = "dived.one", t.nameOf(person.ID)
	}
	t.say(message.Say(key, a), message.Say("dived.used", nil))
}

func (t *turn) divedUsage(d divedData) message.Line {
	if d.Dive > 0 {
		return message.Say("dived.usage.rest", message.Args{"dive": message.Count(d.Dive), "example": message.Code("28m 35")})
	}
	return message.Say("dived.usage", message.Args{"example": message.Code("/dived 1 28m 35")})
}

func (t *turn) parseDived(d *divedData, text string) (what roster.Dived, person *roster.Person, problem message.Line) {
	words := strings.Fields(t.english(text))
	if d.Dive == 0 {
		if words, problem = t.takeDive(d, words); problem.Key != "" {
			return what, nil, problem
		}
	}
	depth, words, ok := takeDepth(words, t.trip.Units)
	if !ok {
		return what, nil, message.Say("dived.no-depth", message.Args{"dive": message.Count(d.Dive)})
	}
	if problem := absurd(depth); problem.Key != "" {
		return what, nil, problem
	}
	minutes, words, ok := takeMinutes(words)
	if !ok {
		return what, nil, message.Say("dived.no-minutes", message.Args{"dive": message.Count(d.Dive)})
	}
	if problem := badMinutes(minutes); problem.Key != "" {
		return what, nil, problem
	}
	what.Depth, what.Minutes = t.planned(depth), minutes
	if len(words) == 0 {
		return what, nil, message.Line{}
	}
	found, name, rest := named(t.trip, strings.Join(words, " "))
	switch {
	case len(found) == 0 || rest != "":
		return what, nil, t.unknownName(strings.Join(words, " "))
	case len(found) > 1:
		return what, nil, message.Say("leader.who.which", message.Args{"name": message.Name(name), "names": t.names(found)})
	}
	return what, found[0], message.Line{}
}

// takeDive takes the number of the dive off the front; with one dive it may
// be left out.
func (t *turn) takeDive(d *divedData, words []string) ([]string, message.Line) {
	if len(words) > 0 && strings.EqualFold(words[0], "dive") {
		words = words[1:]
	}
	if len(words) == 0 {
		if len(t.trip.Dives) == 1 {
			d.Dive = 1
		}
		return nil, message.Say("dived.ask", nil)
	}
	n, err := strconv.Atoi(words[0])
	if err != nil || n < 1 || n > len(t.trip.Dives) {
		return nil, message.Say("dived.no-such-dive", message.Args{"typed": message.Name(words[0]), "last": message.Count(len(t.trip.Dives))})
	}
	d.Dive = n
	return words[1:], message.Line{}
}

// takeMinutes takes a time off the front of words. What is plainly meant as
// one is taken, however absurd, so that it can be refused for what it is.
func takeMinutes(words []string) (float64, []string, bool) {
	for n := min(2, len(words)); n > 0; n-- {
		typed := strings.Join(words[:n], " ")
		if m, err := reply.Minutes(typed); err == nil {
			return m, words[n:], true
		}
		if m := minutesForm.FindStringSubmatch(typed); m != nil {
			v, _ := strconv.ParseFloat(m[1], 64) // nine digits: never fails
			return v, words[n:], true
		}
	}
	return 0, words, false
}

var minutesForm = regexp.MustCompile(`(?i)^(\d{1,9}) ?(?:min|mins|minutes?)?$`)
