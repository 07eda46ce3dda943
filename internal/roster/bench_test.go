package roster_test

import (
	"fmt"
	"runtime"
	"testing"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// boatload is a trip of a leader and n divers with two cylinders each, every
// one of them analysed.
func boatload(n int) *roster.Trip {
	d := charter()
	d.People = d.People[:1]
	for i := range n {
		d.AddPerson(&roster.Person{Name: fmt.Sprint("diver ", i), Card: gas.CardSeen, Cylinders: []*roster.Cylinder{
			{Label: fmt.Sprint(i, "a"), Asked: 32, Dive: 1}, {Label: fmt.Sprint(i, "b"), Asked: 36, Dive: 2}}}, "", dawn)
	}
	for i, p := range d.People[1:] {
		for k, c := range p.Cylinders {
			at := at(2*i + k)
			d.Record(c.ID, roster.Reading{Percent: c.Asked + 0.1, At: at, Ref: fmt.Sprint(i, k), By: p.ID, Analyser: "A"}, at)
		}
	}
	return remembered(d.Done()).Done()
}

// analysed is the trip after one more reading of diver i, and its board asked for.
func analysed(t *roster.Trip, i int) *roster.Trip {
	d, now := roster.Change(t), at(60+i)
	p := d.People[1+i]
	d.Record(p.Cylinders[0].ID, roster.Reading{Percent: 32.2, At: now, Ref: fmt.Sprint(i), By: p.ID, Analyser: "A"}, now)
	d.Board(1, now)
	return d.Done()
}

// BenchmarkBoard is the board of forty divers with eighty cylinders from
// nothing; and on a boat of fifteen divers with thirty cylinders an event with
// one more reading, an event that follows one, and a board when nothing has
// happened.
func BenchmarkBoard(b *testing.B) {
	b.Run("from nothing", func(b *testing.B) {
		trip := copyOf(b, boatload(40))
		b.ReportAllocs()
		for b.Loop() {
			trip.Board(1, at(60))
		}
	})
	b.Run("one reading", func(b *testing.B) {
		trip := boatload(15)
		b.ReportAllocs()
		for b.Loop() {
			analysed(trip, 0)
		}
	})
	b.Run("after a reading", func(b *testing.B) {
		trip, next := boatload(15), (*roster.Trip)(nil)
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			if i%30 == 0 {
				next = trip
			}
			next = analysed(next, i%15)
		}
	})
	b.Run("again", func(b *testing.B) {
		trip := boatload(15)
		b.ReportAllocs()
		for b.Loop() {
			trip.Board(1, at(60))
		}
	})
}

// BenchmarkKept is the memory of a boat of fifteen divers that a process keeps:
// the trip and the lines of its board.
func BenchmarkKept(b *testing.B) {
	const trips = 100
	for b.Loop() {
		kept := make([]*roster.Trip, trips)
		before := heap()
		for i := range kept {
			kept[i] = boatload(15)
		}
		b.ReportMetric(float64(heap()-before)/1024/trips, "KB/trip")
		runtime.KeepAlive(kept)
	}
}

// heap are the bytes in use.
func heap() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
