package rdb_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// boatful is a trip with that many divers, two analysed cylinders each.
func boatful(divers int) *roster.Trip {
	t := roster.Change(newTrip("aaaaaaaaaa"))
	plan := t.EditPlan()
	plan.Dives = append(plan.Dives, roster.Dive{Site: "Lime Kiln Wall", Depth: gas.M(18), Interval: 60})
	for i := range divers {
		p := &roster.Person{Name: fmt.Sprint("diver ", i), Card: gas.CardSeen,
			Cylinders: []*roster.Cylinder{{Dive: 1, Asked: 32}, {Dive: 2, Asked: 36}}}
		t.AddPerson(p, "", departs)
		for j, c := range p.Cylinders {
			t.Record(c.ID, roster.Reading{Percent: 32.1, At: departs.Add(time.Duration(2*i+j) * time.Minute),
				Ref: fmt.Sprint(i, j), By: p.ID}, departs)
		}
	}
	return t.Done()
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
					mustCommit(b, s, l.Trip, source(fmt.Sprint("tg:", i)), session("p2", `{"state":"x"}`),
						out(envelope(fmt.Sprint(i), "p2", roster.LevelVerdict)))
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
		trip = mustCommit(b, s, trip, out(envelope("a", "p2", roster.LevelVerdict)))
		b.StartTimer()
		must(b, s.Outbox().Sent(b.Context(), claim(b, s.Outbox(), departs, 1)[0]))
	}
}

// BenchmarkCommit is one reading of a boat of fifteen, of ninety, with its answer,
// as a process writes it that wrote the one before: what it costs the server, within
// the script (script-us) and in all (server-us), and how many bytes it adds to
// the append-only file.
func BenchmarkCommit(b *testing.B) {
	const readings = 90
	srv := shared(b, "server")
	must(b, srv.client.ConfigSet(b.Context(), "appendfsync", "everysec").Err())
	defer srv.client.ConfigSet(context.Background(), "appendfsync", "always")
	s := rdb.New(srv.client)
	var trip *roster.Trip
	answer := envelope("a", "p2", roster.LevelVerdict)
	answer.Payload = fmt.Appendf(nil, `{"lines":[{"k":"%s"}]}`, strings.Repeat("x", 600))
	var spent cost
	before := serverCost(b, srv.client)
	b.ReportAllocs()
	n := 0
	for ; b.Loop(); n++ {
		if n%readings == 0 { // the next boat, and what the last one still has to hear: both cost nothing here
			b.StopTimer()
			spent = spent.plus(before, serverCost(b, srv.client))
			claimAndSend(b, s.Outbox(), departs, 100)
			trip = boatful(15)
			trip.ID = roster.NewTripID()
			trip = mustCommit(b, s, trip, wake(departs))
			before = serverCost(b, srv.client)
			b.StartTimer()
		}
		p := trip.People[2+n%15]
		c := p.Cylinders[n%2]
		at := departs.Add(time.Duration(n%readings) * time.Minute)
		reading := draft(func(d *roster.Draft) {
			d.Record(c.ID, roster.Reading{Percent: 32.1, At: at, Ref: fmt.Sprint(n), By: p.ID}, at)
		})
		answer.ID, answer.Address.ID = fmt.Sprint(n), "chat-of-"+string(p.ID)
		trip = mustCommit(b, s, trip, reading, wake(departs), source(fmt.Sprint("tg:", n)), out(answer),
			func(c *roster.Commit) {
				c.Events = []json.RawMessage{json.RawMessage(
					`{"type":"reading.recorded","timestamp":"2027-05-15T06:46:00.001224486Z","data":{"percent":31.4,"person":"p2"}}`)}
			})
	}
	spent = spent.plus(before, serverCost(b, srv.client))
	for i, unit := range []string{"script-us/op", "server-us/op", "aof-B/op"} {
		b.ReportMetric(spent[i]/float64(n), unit)
	}
}

// cost is the time that a server has spent in scripts and in all, in
// microseconds, and the size of its append-only file, in bytes.
type cost [3]float64

// plus adds what was spent between two looks.
func (c cost) plus(before, after cost) cost {
	for i := range c {
		c[i] += after[i] - before[i]
	}
	return c
}

func serverCost(b *testing.B, c redis.UniversalClient) cost {
	b.Helper()
	info, err := c.Info(b.Context(), "commandstats", "cpu", "persistence").Result()
	must(b, err)
	number := func(after string) float64 {
		_, rest, _ := strings.Cut(info, after)
		v, _ := strconv.ParseFloat(rest[:max(0, strings.IndexAny(rest, ",\r"))], 64)
		return v
	}
	_, scripts, _ := strings.Cut(info, "cmdstat_evalsha:")
	_, scripts, _ = strings.Cut(scripts, "usec=")
	usec, _ := strconv.ParseFloat(scripts[:max(0, strings.IndexByte(scripts, ','))], 64)
	return cost{usec, 1e6 * (number("used_cpu_sys:") + number("used_cpu_user:")), number("aof_current_size:")}
}
