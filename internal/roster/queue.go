package roster

import (
	"slices"
	"time"
)

// TurnLasts is how long somebody may keep others waiting at an analyser.
const TurnLasts = 5 * time.Minute

// NewTurn is somebody whose turn it is now.
type NewTurn struct {
	Person   PersonID
	Analyser string
}

// QueueUp puts a person at the end of the analyser queue if they owe a reading
// and are not in it. A trip that names no analyser has no queue.
func (t *Trip) QueueUp(p PersonID, now time.Time) {
	if len(t.Analysers) == 0 || t.Queued(p) || !t.owing(now)[p] {
		return
	}
	t.Queue.Waiting = append(t.Queue.Waiting, p)
}

// Queued tells whether a person waits for an analyser or has one.
func (t *Trip) Queued(p PersonID) bool {
	if slices.Contains(t.Queue.Waiting, p) {
		return true
	}
	for _, turn := range t.Queue.Serving {
		if turn.Person == p {
			return true
		}
	}
	return false
}

// owing are the people who owe a reading and are there to take it.
func (t *Trip) owing(now time.Time) map[PersonID]bool {
	owing := map[PersonID]bool{}
	for _, pb := range t.Board(now).People {
		if !pb.Active || pb.Left {
			continue
		}
		for _, o := range pb.Owes {
			if o.Analysis() {
				owing[pb.Person] = true
			}
		}
	}
	return owing
}

// NextTurns ends turns whose person owes nothing or whose five minutes are
// over while others wait, gives free analysers to those waiting, and returns
// the new turns.
func (t *Trip) NextTurns(now time.Time) []NewTurn {
	if len(t.Queue.Waiting) == 0 && len(t.Queue.Serving) == 0 {
		return nil
	}
	owing := t.owing(now)
	t.Queue.Waiting = slices.DeleteFunc(t.Queue.Waiting, func(p PersonID) bool { return !owing[p] })
	t.endTurns(owing, now)
	return t.giveTurns(now)
}

func (t *Trip) endTurns(owing map[PersonID]bool, now time.Time) {
	for name := range t.Queue.Serving {
		if t.Analyser(name) == nil {
			delete(t.Queue.Serving, name)
		}
	}
	for _, a := range t.Analysers { // in the trip's order, so that the outcome is the same every time
		turn, busy := t.Queue.Serving[a.Name]
		switch {
		case !busy:
		case !owing[turn.Person]:
			delete(t.Queue.Serving, a.Name)
		case turn.Since.After(now): // the clock was set back: it begins again
			turn.Since = now
			t.Queue.Serving[a.Name] = turn
		case now.Sub(turn.Since) >= TurnLasts && len(t.Queue.Waiting) > 0:
			delete(t.Queue.Serving, a.Name)
			t.Queue.Waiting = append(t.Queue.Waiting, turn.Person)
		}
	}
}

func (t *Trip) giveTurns(now time.Time) []NewTurn {
	var turns []NewTurn
	for _, a := range t.Analysers {
		if _, busy := t.Queue.Serving[a.Name]; busy || len(t.Queue.Waiting) == 0 {
			continue
		}
		next := t.Queue.Waiting[0]
		t.Queue.Waiting = t.Queue.Waiting[1:]
		if t.Queue.Serving == nil {
			t.Queue.Serving = map[string]Turn{}
		}
		t.Queue.Serving[a.Name] = Turn{Person: next, Since: now}
		turns = append(turns, NewTurn{Person: next, Analyser: a.Name})
	}
	return turns
}

// PassTurn gives a person's turn or place up, to the end of the queue. Whoever
// is not in the queue stays out of it.
func (t *Trip) PassTurn(p PersonID, now time.Time) {
	if t.Queued(p) {
		t.leaveQueue(p)
		t.Queue.Waiting = append(t.Queue.Waiting, p)
	}
}

func (t *Trip) leaveQueue(p PersonID) {
	t.Queue.Waiting = slices.DeleteFunc(t.Queue.Waiting, func(q PersonID) bool { return q == p })
	for name, turn := range t.Queue.Serving {
		if turn.Person == p {
			delete(t.Queue.Serving, name)
		}
	}
}
