package roster_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

func TestQueue(t *testing.T) {
	trip := charter()
	trip.EditPlan().Analysers = trip.Analysers[:1]
	trip.AddPerson(&roster.Person{ID: yusuf, Name: "Yusuf", Card: gas.CardSeen,
		Cylinders: []*roster.Cylinder{{ID: "c9", Dive: 1, Asked: 30}}}, "", dawn)
	turns := func(want ...roster.NewTurn) func(minute int) {
		return func(minute int) {
			t.Helper()
			if d := cmp.Diff(want, trip.NextTurns(at(minute))); d != "" {
				t.Errorf("minute %d: turns (-want +got):\n%s", minute, d)
			}
		}
	}
	nobody := turns()

	trip.QueueUp(ines, at(0)) // does not dive
	trip.QueueUp(tomasz, at(0))
	trip.QueueUp(tomasz, at(0))
	trip.QueueUp(marit, at(0))
	trip.QueueUp(yusuf, at(0))
	turns(roster.NewTurn{Person: tomasz, Analyser: "A"})(0)
	nobody(1)
	trip.PassTurn(tomasz, at(2))
	turns(roster.NewTurn{Person: marit, Analyser: "A"})(2)
	nobody(6)
	turns(roster.NewTurn{Person: yusuf, Analyser: "A"})(7) // marit's five minutes are over
	read(trip, "c9", 30.2, yusuf, at(8))
	turns(roster.NewTurn{Person: tomasz, Analyser: "A"})(8) // yusuf is done
	read(trip, "c4", 32.1, tomasz, at(9))
	nobody(10) // one of two cylinders
	read(trip, "c5", 35.8, tomasz, at(11))
	turns(roster.NewTurn{Person: marit, Analyser: "A"})(11)
	nobody(30) // nobody waits: the turn goes on
	trip.Leave(marit, marit, "", at(31))
	nobody(32)
	if trip.Queued(marit) || len(trip.Queue.Serving) != 0 {
		t.Errorf("after everybody is done or gone: %+v", trip.Queue)
	}
	trip.PassTurn(yusuf, at(33))
	if trip.Queued(yusuf) {
		t.Error("passing a turn that one does not have puts one into the queue")
	}
}

func TestQueueTwoAnalysers(t *testing.T) {
	trip := charter()
	trip.QueueUp(tomasz, at(0))
	trip.QueueUp(marit, at(0))
	want := []roster.NewTurn{{Person: tomasz, Analyser: "A"}, {Person: marit, Analyser: "B"}}
	if d := cmp.Diff(want, trip.NextTurns(at(0))); d != "" {
		t.Errorf("turns (-want +got):\n%s", d)
	}
	trip.SitOut(tomasz, 0, ines, "gear", at(1))
	if trip.Queued(tomasz) {
		t.Error("sat out and still at the analyser")
	}
}

func TestNoQueueWithoutAnalysers(t *testing.T) {
	trip := charter()
	trip.EditPlan().Analysers = nil
	trip.QueueUp(tomasz, at(0))
	if trip.Queued(tomasz) || trip.NextTurns(at(0)) != nil {
		t.Error("a queue for no analyser")
	}
}
