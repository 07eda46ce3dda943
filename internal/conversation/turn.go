package conversation

import (
	"encoding/json"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/roster"
)

// turn is one event being answered: what is known, and what was said so far.
type turn struct {
	in      Input
	event   *Event // of in
	trip    *roster.Trip
	me      *roster.Person // who acts, nil for the clock and the shop
	now     time.Time
	session Session
	before  before // how the trip stood, to tell what the event made new

	letters                     []Letter
	happened                    []Happening
	answered                    map[roster.PersonID]bool // whose verdict this turn's answer already says
	preferLanguage, preferUnits string
}

func newTurn(in Input) *turn {
	t := &turn{in: in, trip: in.Trip, now: in.Now, session: in.Session,
		answered: map[roster.PersonID]bool{}}
	t.event = &t.in.Event
	if in.Event.Person != "" {
		t.me = in.Trip.Person(in.Event.Person)
	}
	t.before = lookBefore(t)
	return t
}

// board is the trip's board as of now, with all that the turn has changed: the
// trip remembers what stayed the same.
func (t *turn) board() roster.Board {
	b := t.trip.Board(t.now)
	if checkBoard != nil {
		checkBoard(t, b)
	}
	return b
}

// checkBoard is set by tests: it holds every board against one computed afresh.
var checkBoard func(t *turn, b roster.Board)

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
	t.tell(t.me.ID, roster.Urgent, true, m)
}

// tell writes to anybody on the trip.
func (t *turn) tell(p roster.PersonID, level roster.Level, safety bool, m message.Message) {
	t.letters = append(t.letters, Letter{Person: p, Message: m, Level: level, Safety: safety})
}

// tellLeaders writes to every leader but the acting person.
func (t *turn) tellLeaders(m message.Message) {
	for _, p := range t.trip.People {
		if p.Leader && (t.me == nil || p.ID != t.me.ID) {
			t.tell(p.ID, roster.Urgent, true, m)
		}
	}
}

// ask says a question and waits for its answer in state with data.
func (t *turn) ask(state State, data any, m message.Message) {
	t.wait(state, data)
	t.send(m)
}

// wait waits for free text in state without saying anything.
func (t *turn) wait(state State, data any) {
	t.session = Session{State: state}
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
