package rdb_test

import (
	"fmt"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// boatful is a trip with that many divers, two analysed cylinders each.
func boatful(divers int) *roster.Trip {
	t := newTrip("aaaaaaaaaa")
	t.Dives = append(t.Dives, roster.Dive{Site: "Lime Kiln Wall", Depth: gas.M(18), Interval: 60})
	for i := range divers {
		p := &roster.Person{Name: fmt.Sprint("diver ", i), Card: gas.CardSeen, Cylinders: []*roster.Cylinder{{Dive: 1, Asked: 32}, {Dive: 2, Asked: 36}}}
		t.AddPerson(p, "", departs)
		for j, c := range p.Cylinders {
			t.Record(c.ID, roster.Reading{Percent: 32.1, At: departs.Add(time.Duration(2*i+j) * time.Minute), Ref: fmt.Sprint(i, j), By: p.ID}, departs)
		}
	}
	t.Acts = nil
	return t
}

// BenchmarkEvent is the store's part of one event: load, commit with one
// message out. A fsync per commit on the real server.
func BenchmarkEvent(b *testing.B) {
	for _, start := range []func(testing.TB) *server{embedded, func(t testing.TB) *server { return shared(t, "server") }} {
		for _, divers := range []int{12, 60} {
			srv := start(b)
			b.Run(fmt.Sprintf("%s/%d divers", srv.name, divers), func(b *testing.B) {
				must(b, srv.client.FlushAll(b.Context()).Err())
				s := rdb.New(srv.client)
				mustCommit(b, s, boatful(divers))
				for i := 0; b.Loop(); i++ {
					l := load(b, s, "aaaaaaaaaa", fmt.Sprint("tg:", i))
					mustCommit(b, s, l.Trip, source(fmt.Sprint("tg:", i)), session("p2", `{"state":"x"}`), out(envelope(fmt.Sprint(i), "p2", roster.Urgent)))
				}
			})
		}
	}
}

// BenchmarkSend is the store's part of one message out: claim, sent.
func BenchmarkSend(b *testing.B) {
	srv := shared(b, "server")
	s := rdb.New(srv.client)
	trip := create(b, s, "aaaaaaaaaa")
	for b.Loop() {
		b.StopTimer()
		mustCommit(b, s, trip, out(envelope("a", "p2", roster.Urgent)))
		b.StartTimer()
		must(b, s.Outbox().Sent(b.Context(), claim(b, s.Outbox(), departs, 1)[0]))
	}
}
