package conversation

import (
	"strings"

	"gasmuster/internal/gas"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// A depth limit that the leader sets for a diver or a team, and lifts again.
//
//	/limit NAME DEPTH [because REASON]     /limit NAME off
//	/limit team 1 DEPTH [because REASON]   /limit team 1 off

// stateLimit waits for the depth of a limit, then for its reason.
const stateLimit State = "leader.limit"

// limitData is a limit that is not complete: of one person or of a team.
type limitData struct {
	Person roster.PersonID `json:"person,omitempty"`
	Team   string          `json:"team,omitempty"`
	Depth  gas.Depth       `json:"depth,omitzero"`
}

func setLimit(t *turn, args string) {
	if english := strings.Fields(t.english(args)); len(english) > 0 && strings.EqualFold(english[0], "team") {
		t.limitTeam(english[1:])
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
			"example": message.Code("/limit team " + teams[0] + " 20m")}))
		return
	}
	t.readLimit(limitData{Team: canonicalTeam(teams, words[0])}, strings.Join(words[1:], " "))
}

// teams are the trip's teams, in the order of the people.
func (t *turn) teams() []string {
	var teams []string
	for _, p := range t.trip.People {
		if p.Team != "" && canonicalTeam(teams, p.Team) == "" {
			teams = append(teams, p.Team)
		}
	}
	return teams
}

func hasTeam(teams []string, name string) bool { return canonicalTeam(teams, name) != "" }

// canonicalTeam is a team's name as the trip writes it, "" for none.
func canonicalTeam(teams []string, name string) string {
	for _, t := range teams {
		if foldName(t) == foldName(name) {
			return t
		}
	}
	return ""
}

func listOfNames(names []string) message.Value {
	var values []message.Value
	for _, n := range names {
		values = append(values, message.Name(n))
	}
	return message.List(values...)
}

func limitPerson(t *turn, p *roster.Person, rest string) {
	if !p.Active() {
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
		if p.Active() && foldName(p.Team) == foldName(d.Team) {
			people = append(people, p)
		}
	}
	return people, message.Of(message.Say("limit.team", message.Args{"team": message.Name(d.Team)}))
}

// readLimit takes the depth, or "off", and the reason out of what was typed,
// and asks for what is missing.
func (t *turn) readLimit(d limitData, text string) {
	text, reason := because(t.english(text))
	words := strings.Fields(text)
	if len(words) == 1 && isOff(words[0]) {
		t.liftLimit(d, reason)
		return
	}
	if !d.Depth.Known() {
		depth, rest, ok := takeDepth(words, t.trip.Units)
		if problem := t.badLimit(d, text, depth, ok); problem.Key != "" {
			t.ask(stateLimit, d, message.Message{Lines: []message.Line{problem}})
			return
		}
		d.Depth, words = t.asLimit(depth), rest
	}
	if reason == "" {
		reason = clip(strings.Join(words, " "), longestReason)
	}
	if reason == "" {
		_, name := t.limited(d)
		t.ask(stateLimit, d, message.Message{Lines: []message.Line{message.Say("limit.ask-reason",
			message.Args{"name": name, "depth": message.Limit(d.Depth)})}})
		return
	}
	t.applyLimit(d, reason)
}

func isOff(word string) bool {
	switch strings.ToLower(word) {
	case "off", "none", "lift", "no", "lifted", "remove":
		return true
	}
	return false
}

// badLimit is what is wrong with a typed limit, and what would be accepted.
func (t *turn) badLimit(d limitData, text string, depth gas.Depth, ok bool) message.Line {
	people, name := t.limited(d)
	switch {
	case strings.TrimSpace(text) == "":
		return message.Say("limit.ask-depth", message.Args{"name": name, "off": message.Code("off")})
	case !ok:
		return message.Say("limit.no-depth", message.Args{"typed": message.Name(text), "off": message.Code("off")})
	}
	if problem := absurd(depth); problem.Key != "" {
		return problem
	}
	for _, p := range people {
		if p.DepthLimit.Known() && depth.DeeperThan(p.DepthLimit) {
			return message.Say("limit.beyond-card", message.Args{"name": t.nameOf(p.ID),
				"depth": message.Planned(depth), "card": message.Limit(p.DepthLimit)})
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
	if people, _ := t.limited(d); len(people) == 0 {
		t.questionOver()
		return
	}
	t.readLimit(d, text)
}

func (t *turn) applyLimit(d limitData, reason string) {
	t.done()
	people, name := t.limited(d)
	for _, p := range people {
		t.trip.SetDepth(p.ID, d.Depth, t.me.ID, reason, t.now)
		p.SetBy, p.SetWhy, p.SetAt = t.me.ID, reason, t.now
	}
	a := message.Args{"name": name, "depth": message.Limit(d.Depth), "reason": message.Of(reasonLine(reason))}
	t.say(append([]message.Line{message.Loud("limit.set", a)}, t.verdictLines(people)...)...)
	t.tellEach(people, message.Message{Lines: []message.Line{message.Loud("limit.told", message.Args{
		"leader": t.nameOf(t.me.ID), "depth": a["depth"], "reason": a["reason"]})}})
}

func (t *turn) liftLimit(d limitData, reason string) {
	t.done()
	people, name := t.limited(d)
	var had []*roster.Person
	for _, p := range people {
		if p.SetDepth.Known() {
			had = append(had, p)
		}
	}
	if len(had) == 0 {
		t.say(message.Say("limit.none", message.Args{"name": name}))
		return
	}
	for _, p := range had {
		t.trip.SetDepth(p.ID, gas.Depth{}, t.me.ID, reason, t.now)
		p.SetBy, p.SetWhy, p.SetAt = t.me.ID, reason, t.now
	}
	t.say(append([]message.Line{message.Loud("limit.lifted", message.Args{"name": name})}, t.verdictLines(had)...)...)
	t.tellEach(had, message.Message{Lines: []message.Line{message.Loud("limit.lifted.told", message.Args{"leader": t.nameOf(t.me.ID)})}})
}

// verdictLines are how people stand now, each by themselves.
func (t *turn) verdictLines(people []*roster.Person) []message.Line {
	b := t.board()
	var lines []message.Line
	for _, p := range people {
		if pb := b.Of(p.ID); pb != nil && pb.Active {
			lines = append(lines, t.ownLine(pb))
		}
	}
	return lines
}

// tellEach tells those of people who can be reached, but the acting person.
func (t *turn) tellEach(people []*roster.Person, m message.Message) {
	for _, p := range people {
		if canBeTold(p) && (t.me == nil || p.ID != t.me.ID) {
			t.tell(p.ID, roster.Urgent, true, m)
		}
	}
}

// ownLine is a person's own verdict for the dive that the board is about.
func (t *turn) ownLine(pb *roster.PersonBoard) message.Line {
	return message.Loud("board.person", message.Args{"verdict": ownVerdict(pb, t.onDive()), "name": t.nameOf(pb.Person)})
}
