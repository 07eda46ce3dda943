package roster_test

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// boatload is a trip of a leader and n divers with two cylinders each, every
// one of them analysed.
func boatload(n int) *roster.Trip {
	t := charter()
	t.People = t.People[:1]
	for i := range n {
		t.AddPerson(&roster.Person{Name: fmt.Sprint("diver ", i), Card: gas.CardSeen, Cylinders: []*roster.Cylinder{
			{Label: fmt.Sprint(i, "a"), Asked: 32, Dive: 1}, {Label: fmt.Sprint(i, "b"), Asked: 36, Dive: 2}}}, "", dawn)
	}
	for i, p := range t.People[1:] {
		for k, c := range p.Cylinders {
			at := at(2*i + k)
			t.Record(c.ID, roster.Reading{Percent: c.Asked + 0.1, At: at, Ref: fmt.Sprint(i, k), By: p.ID, Analyser: "A"}, at)
		}
	}
	t.Acts = nil
	return t
}

// BenchmarkBoard is the board after one more reading on a boat of fifteen divers
// and thirty cylinders, and asked for again when nothing has happened.
func BenchmarkBoard(b *testing.B) {
	b.Run("after a reading", func(b *testing.B) {
		b.ReportAllocs()
		var trip *roster.Trip
		for i := 0; b.Loop(); i++ {
			if i%30 == 0 {
				b.StopTimer()
				trip = boatload(15)
				roster.Unchecked(trip, at(60))
				b.StartTimer()
			}
			p, when := trip.People[1+i%15], at(60).Add(time.Duration(i%30)*time.Minute)
			trip.Record(p.Cylinders[0].ID, roster.Reading{Percent: 32.2, At: when, Ref: fmt.Sprint(i), By: p.ID, Analyser: "A"}, when)
			roster.Unchecked(trip, when)
			trip.Snapshots()
		}
	})
	b.Run("again", func(b *testing.B) {
		trip := boatload(15)
		b.ReportAllocs()
		for b.Loop() {
			roster.Unchecked(trip, at(60))
		}
	})
}

// BenchmarkKept is the memory of a boat of fifteen divers that a process keeps:
// the trip, its board, and what the store compares the next commit with.
func BenchmarkKept(b *testing.B) {
	const trips = 100
	for b.Loop() {
		kept := make([]*roster.Trip, trips)
		before := heap()
		for i := range kept {
			kept[i] = boatload(15)
			roster.Unchecked(kept[i], at(60))
			kept[i].Snapshots()
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
