package conversation

import (
	"encoding/json"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// turn is one event being answered: what is known, and what was said so far.
type turn struct {
	in                          Input
	event                       *Event // of in
	trip                        *roster.Draft
	actor                       roster.PersonID // who acts, "" for the clock and the shop
	now                         time.Time
	session                     Session
	shown                       map[standing]bool // whose clearance this turn's answer shows the acting leader
	saidNews, saidAll           map[string]bool   // news that this turn's answer told the acting leader, or told all
	letters                     []Letter
	happened                    []Happening
	answered                    map[standing]bool // whose clearance this turn's answer already says
	preferLanguage, preferUnits string
	untold                      *roster.Untold // what the shop changed, with this event
	holds                       bool           // it waits for more
}

func newTurn(in Input) *turn {
	t := &turn{in: in, trip: roster.Change(in.Trip), now: in.Now, session: in.Session,
		answered: map[standing]bool{},
		shown:    map[standing]bool{}, saidNews: map[string]bool{}, saidAll: map[string]bool{}}
	t.event = &t.in.Event
	t.actor, t.untold = in.Event.Person, in.Trip.Untold
	return t
}

// me is who acts, as they are now; nil for the clock and the shop.
func (t *turn) me() *roster.Person { return t.trip.Person(t.actor) }

// cylinder is a cylinder of the trip as it is now.
func (t *turn) cylinder(id roster.CylinderID) *roster.Cylinder {
	_, c := t.trip.Cylinder(id)
	return c
}

// asNow are cylinders as they are after a change.
func (t *turn) asNow(cs []*roster.Cylinder) []*roster.Cylinder {
	now := make([]*roster.Cylinder, len(cs))
	for i, c := range cs {
		now[i] = t.cylinder(c.ID)
	}
	return now
}

// dive is the dive that comes next, to be shown where nobody named one: the
// first that is neither signed nor dived, the last one when all are.
func (t *turn) dive() int {
	if n := t.trip.DefaultDive(t.now); n > 0 {
		return n
	}
	return len(t.trip.Dives)
}

// open tells whether dive n is still to be cleared: neither signed nor dived.
func (t *turn) open(n int) bool {
	return t.trip.Dive(n) != nil && !t.trip.WasDived(n) && !t.trip.Signed(n, t.now)
}

// ahead are the dives that were not dived.
func (t *turn) ahead() []int {
	var dives []int
	for n := 1; n <= len(t.trip.Dives); n++ {
		if !t.trip.WasDived(n) {
			dives = append(dives, n)
		}
	}
	return dives
}

// board is a dive's board as of now, with all that the turn has changed.
func (t *turn) board(dive int) roster.Board { return t.trip.Board(dive, t.now) }

// clearance is one person on one dive as of now.
func (t *turn) clearance(p roster.PersonID, dive int) *roster.Clearance {
	c := t.trip.Clearance(p, dive, t.now)
	return &c
}

// clearanceOf is the clearance that a cylinder is about: its diver on its dive.
func (t *turn) clearanceOf(c *roster.Cylinder) *roster.Clearance {
	p, _ := t.trip.Cylinder(c.ID)
	return t.clearance(p.ID, c.Dive)
}

// showed notes that this turn's answer tells a person how they stand on these
// dives, on all when none is named.
func (t *turn) showed(p roster.PersonID, dives ...int) {
	if len(dives) == 0 {
		dives = t.ahead()
	}
	for _, n := range dives {
		t.answered[standing{p, n}] = true
	}
}

// standing is one person on one dive.
type standing struct {
	person roster.PersonID
	dive   int
}

// say answers the acting person.
func (t *turn) say(lines ...message.Line) { t.send(message.Message{Lines: lines}) }

// send answers the acting person with a whole message. To somebody on several
// trips it says which one it is about.
func (t *turn) send(m message.Message) {
	if t.in.Trips > 1 {
		about := message.Say("diver.about", message.Args{
			"trip": message.Name(t.trip.Name), "day": message.Day(t.trip.Departs, t.trip.Zone)})
		about.Style = message.Quiet
		m.Lines = append([]message.Line{about}, m.Lines...)
	}
	t.tell(t.me().ID, roster.LevelAnswer, true, m)
}

// tell writes to anybody on the trip.
func (t *turn) tell(p roster.PersonID, level roster.Level, safety bool, m message.Message) {
	t.letters = append(t.letters, Letter{Person: p, Message: m, Level: level, Safety: safety})
}

// tellLeaders writes to every leader but the acting person.
func (t *turn) tellLeaders(m message.Message) { t.toLeaders(roster.LevelWord, m) }

// tellActed tells the other leaders what the acting one did.
func (t *turn) tellActed(what message.Line) {
	what.Style = message.Body
	t.tellLeaders(message.Message{Lines: []message.Line{message.Say("leader.acted",
		message.Args{"who": t.nameOf(t.me().ID), "what": message.Of(what)})}})
}

// alertLeaders tells them what they must know at once.
func (t *turn) alertLeaders(m message.Message) { t.toLeaders(roster.LevelVerdict, m) }

func (t *turn) toLeaders(level roster.Level, m message.Message) {
	for _, p := range t.trip.People {
		if p.Leader && (t.me() == nil || p.ID != t.me().ID) {
			t.tell(p.ID, level, true, m)
		}
	}
}

// weighed are the turn's letters. What tells somebody how they stand goes as a
// verdict, whatever it is the answer to.
func (t *turn) weighed() []Letter {
	shown := map[roster.PersonID]bool{}
	for s := range t.answered {
		shown[s.person] = true
	}
	for i := range t.letters {
		if l := &t.letters[i]; shown[l.Person] && l.Level <= roster.LevelWord {
			l.Level = roster.LevelVerdict
		}
	}
	return t.letters
}

// ask says a question and waits for its answer in state with data.
func (t *turn) ask(state State, data any, m message.Message) {
	t.wait(state, data)
	t.send(m)
}

// wait waits for free text in state without saying anything.
func (t *turn) wait(state State, data any) {
	t.session = Session{State: state, Since: t.now}
	if data != nil {
		b, err := json.Marshal(data)
		if err != nil {
			panic(err) // our own types
		}
		t.session.Data = b
	}
}

// data reads the session's data into v; it leaves v as it is when there is none.
func (t *turn) data(v any) { _ = json.Unmarshal(t.session.Data, v) }

// done ends a question.
func (t *turn) done() { t.session = Session{} }

// happen notes news for the shop; data is written as an object.
func (t *turn) happen(kind string, data any) {
	t.happened = append(t.happened, Happening{Type: kind, At: t.now, Data: data})
}
