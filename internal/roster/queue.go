package roster

import (
	"maps"
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
func (d *Draft) QueueUp(p PersonID, now time.Time) {
	if len(d.Analysers) == 0 || d.Queued(p) || !d.owing(now)[p] {
		return
	}
	q := d.Queue.copied()
	q.Waiting = append(q.Waiting, p)
	d.setQueue(q)
}

// setQueue makes q, which nobody else has, the queue.
func (d *Draft) setQueue(q *Queue) {
	if !q.same(d.Queue) {
		d.Queue = q
	}
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

// owing are the people who owe a reading for a dive that is still to come and are
// there to take it.
func (d *Draft) owing(now time.Time) map[PersonID]bool {
	owing := map[PersonID]bool{}
	for n := range d.Dives {
		if d.Dives[n].Outcome != nil {
			continue
		}
		for _, c := range d.Board(n+1, now).People {
			if c.Active && !c.Left && slices.ContainsFunc(c.Owes, Owed.Analysis) {
				owing[c.Person] = true
			}
		}
	}
	return owing
}

// NextTurns ends turns whose person owes nothing or whose five minutes are
// over while others wait, gives free analysers to those waiting, and returns
// the new turns.
func (d *Draft) NextTurns(now time.Time) []NewTurn {
	if len(d.Queue.Waiting) == 0 && len(d.Queue.Serving) == 0 {
		return nil
	}
	q := d.Queue.copied()
	turns := q.next(d.Analysers, d.owing(now), now)
	d.setQueue(q)
	return turns
}

func (q *Queue) copied() *Queue {
	return &Queue{Waiting: slices.Clone(q.Waiting), Serving: maps.Clone(q.Serving)}
}

func (q *Queue) same(r *Queue) bool {
	return slices.Equal(q.Waiting, r.Waiting) && maps.Equal(q.Serving, r.Serving)
}

func (q *Queue) next(analysers []Analyser, owing map[PersonID]bool, now time.Time) []NewTurn {
	q.Waiting = slices.DeleteFunc(q.Waiting, func(p PersonID) bool { return !owing[p] })
	q.endTurns(analysers, owing, now)
	return q.giveTurns(analysers, now)
}

func (q *Queue) endTurns(analysers []Analyser, owing map[PersonID]bool, now time.Time) {
	maps.DeleteFunc(q.Serving, func(name string, _ Turn) bool {
		return !slices.ContainsFunc(analysers, func(a Analyser) bool { return sameAnalyser(a.Name, name) })
	})
	for _, a := range analysers { // in the trip's order, so that the outcome is the same every time
		turn, busy := q.Serving[a.Name]
		switch {
		case !busy:
		case !owing[turn.Person]:
			delete(q.Serving, a.Name)
		case turn.Since.After(now): // the clock was set back: it begins again
			turn.Since = now
			q.Serving[a.Name] = turn
		case now.Sub(turn.Since) >= TurnLasts && len(q.Waiting) > 0:
			delete(q.Serving, a.Name)
			q.Waiting = append(q.Waiting, turn.Person)
		}
	}
}

func (q *Queue) giveTurns(analysers []Analyser, now time.Time) []NewTurn {
	var turns []NewTurn
	for _, a := range analysers {
		if _, busy := q.Serving[a.Name]; busy || len(q.Waiting) == 0 {
			continue
		}
		next := q.Waiting[0]
		q.Waiting = q.Waiting[1:]
		if q.Serving == nil {
			q.Serving = map[string]Turn{}
		}
		q.Serving[a.Name] = Turn{Person: next, Since: now}
		turns = append(turns, NewTurn{Person: next, Analyser: a.Name})
	}
	return turns
}

// PassTurn gives a person's turn or place up, to the end of the queue. Whoever
// is not in the queue stays out of it.
func (d *Draft) PassTurn(p PersonID, now time.Time) {
	if !d.Queued(p) {
		return
	}
	q := d.Queue.copied()
	q.leave(p)
	q.Waiting = append(q.Waiting, p)
	d.setQueue(q)
}

func (d *Draft) leaveQueue(p PersonID) {
	q := d.Queue.copied()
	q.leave(p)
	d.setQueue(q)
}

func (q *Queue) leave(p PersonID) {
	q.Waiting = slices.DeleteFunc(q.Waiting, func(other PersonID) bool { return other == p })
	maps.DeleteFunc(q.Serving, func(_ string, turn Turn) bool { return turn.Person == p })
}
