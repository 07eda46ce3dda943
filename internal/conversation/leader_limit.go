package conversation

import (
	"strconv"
	"strings"

	"gasmuster/internal/conversation/orders"
	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A limit that the leader sets for a diver or a team, and lifts again: a depth,
// minutes or both, for the next dive unless another or all are named.
//
//	/limit NAME [dive N | all] [DEPTH] [MINUTES min] [because REASON]     /limit NAME off
//	/limit team 1 ...

// stateLimit waits for the limit, then for its reason.
const stateLimit State = "leader.limit"

// limitData is a limit that is not complete: of one person or of a team.
type limitData struct {
	Person  roster.PersonID `json:"person,omitempty"`
	Team    string          `json:"team,omitempty"`
	Dive    int             `json:"dive,omitempty"`
	All     bool            `json:"all,omitempty"` // every dive
	Depth   gas.Depth       `json:"depth,omitzero"`
	Minutes float64         `json:"minutes,omitempty"`
}

// said tells whether it limits anything.
func (d *limitData) said() bool { return d.Depth.Known() || d.Minutes > 0 }

func setLimit(t *turn, args string) {
	if english := strings.Fields(t.english(args)); len(english) > 0 && strings.EqualFold(english[0], "team") {
		t.limitTeam(english[1:])
		return
	}
	if _, _, ok := orders.TakeDepth(strings.Fields(t.english(args)), t.trip.Units); ok {
		t.askWho(whoData{Command: "limit", Rest: args}, t.likely("limit"),
			message.Say("limit.whose", message.Args{"typed": message.Name(args)}))
		return
	}
	onPerson("limit")(t, args)
}

func (t *turn) limitTeam(words []string) {
	teams := t.teams()
	if len(teams) == 0 {
		t.say(message.Say("limit.no-teams", nil))
		return
	}
	if len(words) == 0 || !hasTeam(teams, words[0]) {
		typed := strings.Join(words, " ")
		t.say(message.Say("limit.which-team", message.Args{"typed": message.Name(typed), "teams": listOfNames(teams),
			"example": t.inReads("/limit team "+teams[0]+" 20m", "/limit team "+teams[0]+" 60ft")}))
		return
	}
	t.readLimit(limitData{Team: orders.Team(teams, words[0])}, strings.Join(words[1:], " "))
}

// teams are the trip's teams, in the order of the people.
func (t *turn) teams() []string {
	var teams []string
	for _, p := range t.trip.People {
		if p.Team != "" && orders.Team(teams, p.Team) == "" {
			teams = append(teams, p.Team)
		}
	}
	return teams
}

func hasTeam(teams []string, name string) bool { return orders.Team(teams, name) != "" }

func listOfNames(names []string) message.Value {
	var values []message.Value
	for _, n := range names {
		values = append(values, message.Name(n))
	}
	return message.List(values...)
}

func limitPerson(t *turn, p *roster.Person, rest string) {
	if !p.Dives() {
		t.say(message.Say("limit.no-diver", message.Args{"name": t.nameOf(p.ID)}))
		return
	}
	t.readLimit(limitData{Person: p.ID}, rest)
}

// limited are the people a limit is about, and how they are called.
func (t *turn) limited(d limitData) (people []*roster.Person, name message.Value) {
	if d.Team == "" {
		p := t.trip.Person(d.Person)
		if p == nil {
			return nil, message.Value{}
		}
		return []*roster.Person{p}, t.nameOf(p.ID)
	}
	for _, p := range t.trip.People {
		if p.Dives() && orders.FoldName(p.Team) == orders.FoldName(d.Team) {
			people = append(people, p)
		}
	}
	return people, message.Of(message.Say("limit.team", message.Args{"team": message.Name(d.Team)}))
}

// readLimit takes the dive, the depth and the minutes, or "off", and the reason
// out of what was typed, and asks for what is missing.
func (t *turn) readLimit(d limitData, text string) {
	text, reason := orders.Because(t.english(t.forDives(text, orders.OneDive, orders.AllDives, orders.All)))
	if last, rest := t.diveLast(text); last > 0 {
		text = "dive " + strconv.Itoa(last) + " " + rest
	}
	typed := strings.Fields(text)
	words := t.takeLimitDive(&d, typed)
	if len(words) == 1 && orders.IsOff(words[0]) {
		t.liftLimit(d, reason, len(words) < len(typed))
		return
	}
	if !d.said() {
		rest, problem := t.takeLimit(&d, words)
		if problem.Key != "" {
			t.ask(stateLimit, d, message.Message{Lines: []message.Line{problem}})
			return
		}
		words = strings.Fields(t.forDives(strings.Join(rest, " "), orders.OneDive))
		if len(words) > 1 && words[0] == orders.OneDive {
			words = t.takeLimitDive(&d, words)
		}
	}
	if reason == "" {
		reason = orders.Clip(strings.Join(words, " "), orders.LongestReason)
	}
	if reason == "" {
		said, lines := t.saidLimit(t.beside(d))
		_, name := t.limited(d)
		t.ask(stateLimit, d, message.Message{Lines: append([]message.Line{message.Say("limit.ask-reason",
			message.Args{"name": name, "limit": message.Of(limitLine(said))})}, lines...)})
		return
	}
	t.applyLimit(d, reason)
}

// takeLimitDive takes "dive 2" or "all" off the front; without it the limit is
// for the dive that comes next.
func (t *turn) takeLimitDive(d *limitData, words []string) []string {
	if len(words) > 0 && (strings.EqualFold(words[0], "all") || strings.EqualFold(words[0], "trip")) {
		d.All, d.Dive = true, 0
		return words[1:]
	}
	if len(words) > 1 && strings.EqualFold(words[0], "dive") {
		if n, err := strconv.Atoi(words[1]); err == nil && t.trip.Dive(n) != nil {
			d.Dive = n
			return words[2:]
		}
	}
	if d.Dive == 0 && !d.All {
		d.Dive = t.dive()
	}
	return words
}

// takeLimit takes a depth and minutes off the front; what is wrong is said.
func (t *turn) takeLimit(d *limitData, words []string) (rest []string, problem message.Line) {
	text := strings.Join(words, " ")
	depth, minutes, words, problem := orders.TakeLimits(words, t.reads(), func(depth gas.Depth) message.Line {
		return t.badLimit(*d, depth)
	})
	if d.Minutes = minutes; depth.Known() {
		d.Depth = depth // as it was typed: it is said back so
	}
	if problem.Key != "" {
		return nil, problem
	}
	_, name := t.limited(*d)
	switch {
	case d.said():
		return words, message.Line{}
	case strings.TrimSpace(text) == "":
		return nil, message.Say("limit.ask-depth", message.Args{"name": name, "off": message.Code("off")})
	}
	return nil, message.Say("limit.no-depth", message.Args{"typed": message.Name(text), "off": message.Code("off")})
}

// limitLine is a limit in words.
func limitLine(d limitData) message.Line {
	a := message.Args{"depth": message.Limit(d.Depth), "minutes": message.Minutes(d.Minutes)}
	switch {
	case d.Depth.Known() && d.Minutes > 0:
		return message.Say("limit.is.both", a)
	case d.Minutes > 0:
		return message.Say("limit.is.minutes", a)
	}
	return message.Say("limit.is.depth", a)
}

// limitDive says for which dives a limit is.
func limitDive(d limitData) message.Line {
	if d.Dive == 0 {
		return message.Say("limit.for.all", nil)
	}
	return message.Say("limit.for.dive", message.Args{"dive": message.Count(d.Dive)})
}

// badLimit is what is wrong with a depth as a limit; an empty line when nothing
// is. Where the policy ends above a qualification nobody hears how deep that would be: the limit is said as it holds.
func (t *turn) badLimit(d limitData, depth gas.Depth) message.Line {
	if problem := orders.Absurd(depth); problem.Key != "" {
		return problem
	}
	people, _ := t.limited(d)
	for _, p := range people {
		u := t.trip.Units
		card, deepest := p.DepthLimit.NamedIn(u), t.trip.Policy.Deepest.NamedIn(u)
		held := deepest.Known() && card.DeeperThan(deepest)
		if card.Known() && depth.NamedIn(u).DeeperThan(card) && !held {
			return message.Say("limit.beyond-card", message.Args{"name": t.nameOf(p.ID),
				"card": message.Limit(card)})
		}
	}
	return message.Line{}
}

func limitTyped(t *turn, text string) {
	var d limitData
	t.data(&d)
	if t.cancelled(text) {
		return
	}
	if d.said() {
		reason, ok := t.reasonIn(text)
		if !ok {
			return
		}
		text = reason
	}
	if people, _ := t.limited(d); len(people) == 0 {
		t.questionOver()
		return
	}
	t.readLimit(d, text)
}

// setLimits sets the limit, or lifts it when it limits nothing.
func (t *turn) setLimits(d limitData, reason string) bool {
	l := roster.Limit{Team: d.Team, Dive: d.Dive, Depth: d.Depth, Minutes: d.Minutes, By: t.actor, Why: reason, At: t.now}
	if d.Team != "" {
		return t.trip.SetTeamLimit(l, t.now)
	}
	return t.trip.SetLimit(d.Person, l, t.now)
}

// shownDive is the dive that a limit's effect is shown on.
func (t *turn) shownDive(d limitData) int {
	if d.Dive > 0 {
		return d.Dive
	}
	return t.dive()
}

func (t *turn) applyLimit(d limitData, reason string) {
	t.done()
	people, name := t.limited(d)
	a := message.Args{"name": name, "limit": message.Of(limitLine(d)), "for": message.Of(limitDive(d)),
		"leader": t.nameOf(t.me().ID),
		"reason": message.Of(reasonLine(reason))}
	if !t.setLimits(d, reason) {
		t.say(message.Say("limit.not", a))
		return
	}
	l := t.limitSet(d)
	d.Depth, d.Minutes = l.Depth, l.Minutes
	own, tighter := t.saidLimit(d)
	a["limit"] = message.Of(limitLine(own))
	set := message.Loud("limit.set", a)
	t.say(append(append([]message.Line{set}, tighter...), t.verdictLines(t.shownDive(d), t.notToldBy(d, people)...)...)...)
	t.tellActed(set)
	for _, p := range people {
		told := t.within(d, p)
		told.Depth = told.Depth.LimitIn(t.trip.Units) // to a diver their max, as every verdict says it
		a["limit"] = message.Of(limitLine(told))
		t.tellEach([]*roster.Person{p}, message.Message{Lines: []message.Line{message.Loud("limit.told", a)}})
	}
}

// notToldBy are those of people of whom a limit does not tell the depth that they may go
// to: one that was typed in another unit is rounded there, and two depths are one too many.
func (t *turn) notToldBy(d limitData, people []*roster.Person) []*roster.Person {
	return those(people, func(p *roster.Person) bool {
		c := t.clearance(p.ID, t.shownDive(d))
		other := d.Depth.Known() && d.Depth.LimitIn(t.trip.Units) == c.Max &&
			d.Depth.LimitIn(t.reads()) != c.Max.LimitIn(t.reads())
		return c.Status != gas.GoWithLimits || !other
	})
}

// saidLimit is a limit as a leader reads it, and a line where it is shallower than
// what was typed: nobody may go deeper than their max anyway.
func (t *turn) saidLimit(d limitData) (limitData, []message.Line) {
	people, name := t.limited(d)
	if len(people) != 1 {
		return d, nil
	}
	own := t.within(d, people[0])
	if own.Depth == d.Depth {
		return own, nil
	}
	return own, []message.Line{message.Say("limit.tighter", message.Args{"name": name, "depth": message.Limit(own.Depth)})}
}

// within is a limit as it is said to and about one diver: never deeper than they may go anyway.
func (t *turn) within(d limitData, p *roster.Person) limitData {
	most := t.clearance(p.ID, t.shownDive(d)).Max
	if d.Depth.Known() && most.Known() && d.Depth.LimitIn(t.trip.Units).DeeperThan(most) {
		d.Depth = most
	}
	return d
}

// tellEach tells those of people who can be reached, but the acting person.
func (t *turn) tellEach(people []*roster.Person, m message.Message) {
	for _, p := range people {
		if canBeTold(t.trip.Person(p.ID)) && p.ID != t.actor {
			t.tell(p.ID, roster.LevelWord, true, m)
		}
	}
}
