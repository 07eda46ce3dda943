package conversation

import (
	"strconv"
	"strings"
	"time"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/conversation/reply"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// What a dive turned out to be. Only a leader's answer makes a dive dived, and
// it can be taken back; until then the next dive is planned with the plan. A
// diver may correct what they dived themself.
//
//	/dived DIVE [DEPTH MINUTES [TIME | NAME]]     /dived DIVE no     /dived DIVE back

// stateDived waits for the parts of /dived that were missing.
const stateDived State = "leader.dived"

type divedData struct {
	Dive int `json:"dive,omitempty"`
	Then int `json:"then,omitempty"` // the dive that is to be signed after it
	// Person is whose it is, "" for everybody's.
	Person roster.PersonID `json:"person,omitempty"`
	// Early is what was typed before the dive's planned start, until that is said to be so.
	Early string `json:"early,omitempty"`
	Sure  bool   `json:"sure,omitempty"`
}

func dived(t *turn, args string) {
	args = t.forDives(args, orders.OneDive)
	words := strings.Fields(strings.TrimPrefix(t.english(args), "dive "))
	if t.me().Leader && len(words) > 0 {
		n, err := strconv.Atoi(words[0])
		switch {
		case err != nil || t.trip.Dive(n) == nil:
		case len(words) == 1:
			t.askDived(n, 0)
			return
		case t.divedWord(n, 0, words[1:]):
			return
		}
	}
	t.readDived(divedData{}, args)
}

// divedWord takes such words; false when they are none.
func (t *turn) divedWord(dive, then int, words []string) bool {
	answer, known := orders.Outcome(words)
	if known {
		t.outcome(dive, answer, then)
	}
	return known
}

// askDived asks whether a dive was dived; then is the dive that is to be signed
// after that, 0 for none.
func (t *turn) askDived(dive, then int) {
	a := message.Args{"dive": message.Count(dive), "site": message.Name(t.site(dive)),
		"plan": message.Of(message.Plan(t.trip.Dives[dive-1]))}
	do := "ldived " + strconv.Itoa(dive) + " "
	after := " " + strconv.Itoa(then)
	m := message.Message{Lines: append([]message.Line{message.Loud("dived.sure", a), message.Say("dived.sure.plan", a)},
		t.earlyLine(dive)...),
		Buttons: [][]message.Button{
			oneButton(do+"yes"+after, message.Say("dived.button.yes", nil)),
			oneButton(do+"other"+after, message.Say("dived.button.other", nil)),
			oneButton(do+"one"+after, message.Say("dived.button.one", nil)),
			oneButton(do+"no"+after, message.Say("dived.button.no", nil)),
		}}
	if t.trip.Dive(dive).Outcome != nil {
		m.Buttons = append(m.Buttons, oneButton(do+"back"+after, message.Say("dived.button.back", nil)))
	}
	t.ask(stateDived, divedData{Dive: dive, Then: then}, m)
}

func divedPressed(t *turn, args []string) {
	dive, err := strconv.Atoi(argument(args, 0))
	then, _ := strconv.Atoi(argument(args, 2))
	switch answer := argument(args, 1); {
	case err != nil || t.trip.Dive(dive) == nil:
		t.questionOver()
	case answer == "ask":
		t.askDived(dive, then)
	case answer == "early":
		t.divedEarly(argument(args, 2) == "yes")
	case answer == "one":
		t.askDivedWho(dive)
	case t.trip.Person(roster.PersonID(answer)) != nil:
		d := divedData{Dive: dive, Person: roster.PersonID(answer)}
		t.ask(stateDived, d, message.Message{Lines: []message.Line{message.Say("dived.usage.one", message.Args{
			"dive": message.Count(dive), "name": t.nameOf(d.Person), "example": t.inReads("28m 35", "90ft 35")})}})
	case answer == "other":
		t.ask(stateDived, divedData{Dive: dive, Then: then},
			message.Message{Lines: []message.Line{t.divedUsage(divedData{Dive: dive})}})
	default:
		t.outcome(dive, answer, then)
	}
}

// askDivedWho asks which diver's dive was otherwise than everybody's.
func (t *turn) askDivedWho(dive int) {
	m := message.Message{Lines: []message.Line{message.Say("dived.who", message.Args{"dive": message.Count(dive)})}}
	b := t.board(dive)
	for i := range b.People {
		if p := t.trip.Person(b.People[i].Person); b.People[i].Active && p != nil && !p.Erased {
			m.Buttons = append(m.Buttons, oneButton("ldived "+strconv.Itoa(dive)+" "+string(p.ID)+" 0",
				message.Say("leader.choice", message.Args{"name": t.nameOf(p.ID)})))
		}
	}
	t.ask(stateDived, divedData{Dive: dive}, m)
}

// divedName takes a name that was typed for whose dive was otherwise, with what it was or
// before that; it is false for anything else.
func (t *turn) divedName(d divedData, text string) bool {
	found, _, rest := orders.Named(t.trip.Trip, text)
	if len(found) != 1 {
		return false
	}
	if strings.TrimSpace(rest) == "" {
		divedPressed(t, []string{strconv.Itoa(d.Dive), string(found[0].ID)})
		return true
	}
	t.readDived(divedData{Dive: d.Dive, Person: found[0].ID}, rest)
	return true
}

// outcome is a leader's word on a whole dive.
func (t *turn) outcome(dive int, answer string, then int) {
	t.done()
	ok := false
	switch answer {
	case "yes":
		ok = t.trip.WasDived(dive) || t.trip.SetDived(dive, roster.Dived{By: t.me().ID, At: t.now}, t.now)
	case "no":
		ok = t.trip.SetNotDived(dive, t.me().ID, t.now)
	case "back":
		ok = t.trip.TakeBackDived(dive, t.me().ID, t.now)
	}
	if !ok {
		t.questionOver()
		return
	}
	a := message.Args{"dive": message.Count(dive), "site": message.Name(t.site(dive))}
	noted := message.Say("dived.noted."+answer, a)
	t.tellActed(noted)
	if answer == "yes" {
		t.afterDived(dive, then, noted)
		return
	}
	t.say(noted)
	t.goOnSigning(then)
}

func (t *turn) goOnSigning(dive int) {
	if t.trip.Dive(dive) != nil {
		t.signDive(dive)
	}
}

func divedTyped(t *turn, text string) {
	var d divedData
	t.data(&d)
	answer := t.answer(text)
	said := t.me().Leader && d.Dive > 0 && d.Person == ""
	switch {
	case d.Early != "" && (answer == reply.Yes || answer == reply.No):
		t.divedEarly(answer == reply.Yes)
	case t.cancelled(text):
	case d.Dive > 0 && t.me().Leader && t.divedName(d, text):
	case said && answer == reply.No && t.now.Before(t.trip.Starts(d.Dive)): // not yet; never is a button
		t.done()
		t.say(message.Say("dived.not", message.Args{"dive": message.Count(d.Dive)}))
	case said && t.divedWord(d.Dive, d.Then, strings.Fields(t.english(text))):
	default:
		t.readDived(d, text)
	}
}

// earlyLine says that a dive's planned start is still to come.
func (t *turn) earlyLine(dive int) []message.Line {
	if start := t.trip.Starts(dive); t.now.Before(start) {
		return []message.Line{message.Say("dived.early", message.Args{"dive": message.Count(dive), "start": t.clock(start),
			"now": t.clock(t.now)})}
	}
	return nil
}

// askEarly asks about what was typed before a dive's planned start.
func (t *turn) askEarly(d divedData, text string) {
	d.Early = text
	do := "ldived " + strconv.Itoa(d.Dive) + " early "
	t.ask(stateDived, d, message.Message{Lines: append(t.earlyLine(d.Dive), message.Say("dived.early.sure", nil)),
		Buttons: [][]message.Button{
			oneButton(do+"yes", message.Say("dived.early.yes", nil)), oneButton(do+"no", message.Say("dived.early.no", nil))}})
}

// divedEarly goes on with what was typed before the planned start, or drops it.
func (t *turn) divedEarly(sure bool) {
	var d divedData
	t.data(&d)
	open := t.session.State == stateDived && d.Early != ""
	t.done()
	switch {
	case !open:
		t.questionOver()
	case !sure:
		t.say(message.Say("dived.not", message.Args{"dive": message.Count(d.Dive)}))
	default:
		text := d.Early
		d.Early, d.Sure = "", true
		t.readDived(d, text)
	}
}

// readDived reads all parts at once; what is wrong is said and asked again. A
// diver says it of themself only: of others it is refused, never taken for the
// diver's own.
func (t *turn) readDived(d divedData, text string) {
	whole := d.Dive == 0 // the dive's number is in the text
	what, person, up, problem := t.parseDived(&d, text)
	if problem.Key != "" {
		t.ask(stateDived, d, message.Message{Lines: []message.Line{problem, t.divedUsage(d)}})
		return
	}
	t.done()
	if !t.me().Leader {
		if !up.IsZero() || person != nil && person.ID != t.me().ID {
			t.say(message.Say("command.leaders-only", message.Args{"command": message.Code("/dived DIVE DEPTH MINUTES NAME")}))
			return
		}
		person = t.me()
	}
	if t.me().Leader && !d.Sure && len(t.earlyLine(d.Dive)) > 0 { // what a diver says of themself only makes it stricter
		if whole {
			text = orders.AfterDive(t.english(text))
		}
		t.askEarly(d, text)
		return
	}
	if person == nil && d.Person != "" {
		person = t.trip.Person(d.Person)
	}
	if person != nil && t.me().Leader && !t.countsOn(person, d.Dive) {
		t.say(message.Loud("dived.uncounted", message.Args{"name": t.nameOf(person.ID), "dive": message.Count(d.Dive),
			"back": message.Code("/back"), "cylinder": message.Code("/cylinder")}))
		return
	}
	what.By, what.At = t.me().ID, t.now
	if person != nil {
		what.Person = person.ID
	}
	a := message.Args{"dive": message.Count(d.Dive), "site": message.Name(t.site(d.Dive)),
		"depth": message.Planned(what.Depth), "minutes": message.Minutes(what.Minutes)}
	key := "dived.all"
	if person != nil {
		key, a["name"] = "dived.one", t.nameOf(person.ID)
	}
	if !t.trip.SetDived(d.Dive, what, t.now) {
		t.say(message.Say("dived.not", a))
		return
	}
	lines := append([]message.Line{message.Say(key, a)}, t.divedStands(d.Dive, what)...)
	if !up.IsZero() && !t.trip.SetUp(d.Dive, up, t.me().ID, t.now) {
		lines = append(lines, t.notThen(d.Dive, up))
	}
	if t.me().Leader {
		t.tellActed(message.Say(key, a))
	} else if t.trip.NotDived(d.Dive) {
		lines = append(lines, t.divedAnyway(d.Dive, message.Say(key, a)))
	}
	if person == nil {
		t.afterDived(d.Dive, d.Then, lines...)
		return
	}
	t.say(lines...)
	t.goOnSigning(d.Then)
}

func (t *turn) divedUsage(d divedData) message.Line {
	if d.Dive > 0 {
		return message.Say("dived.usage.rest",
			message.Args{"dive": message.Count(d.Dive), "example": t.inReads("28m 35", "90ft 35")})
	}
	return message.Say("dived.usage", message.Args{"example": t.inReads("/dived 1 28m 35", "/dived 1 90ft 35")})
}

// parseDived reads what was dived, by whom ("" for all) and when it ended.
func (t *turn) parseDived(d *divedData, text string) (
	what roster.Dived, person *roster.Person, up time.Time, problem message.Line) {
	words := strings.Fields(t.english(text))
	if d.Dive == 0 {
		if d.Dive, words, problem = orders.TakeDive(words, len(t.trip.Dives)); problem.Key != "" {
			return what, nil, up, problem
		}
	}
	depth, minutes, words, problem := orders.TakeDived(d.Dive, words, t.reads())
	if problem.Key != "" {
		return what, nil, up, problem
	}
	what.Depth, what.Minutes = t.planned(depth), minutes
	if up, words = t.takeUp(words); len(words) == 0 {
		return what, nil, up, message.Line{}
	}
	found, name, rest := orders.Named(t.trip.Trip, strings.Join(words, " "))
	switch {
	case len(found) == 0 || rest != "":
		return what, nil, up, t.unknownName(strings.Join(words, " "))
	case len(found) > 1:
		a := message.Args{"name": message.Name(name), "names": t.names(found)}
		return what, nil, up, message.Say("leader.who.which", a)
	}
	return what, found[0], up, message.Line{}
}
