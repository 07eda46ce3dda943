package load

import (
	"fmt"
	"testing"
	"time"
)

// roundLasts is about how long one side of a comparison runs in one round.
const roundLasts = 1500 * time.Millisecond

// bench is a service and the bare echo, side by side, with what is needed to
// keep them busy.
type bench struct {
	b        *testing.B
	service  *gun
	echo     *gun
	e        embedded
	id, chat int64
	boats    int // a round's
}

func newBench(b *testing.B, fsync string) *bench {
	t := benchOf(b, newService(b, fsync))
	t.warmUp()
	return t
}

func newService(b *testing.B, fsync string) embedded {
	return embed(b, startRedis(b, fsync).client(b), "http://127.0.0.1:9", time.Now)
}

// benchOf opens the connections to a service, which are to be used right away:
// one that says nothing for some seconds is shut.
func benchOf(b *testing.B, e embedded) *bench {
	return &bench{b: b, e: e, service: aim(b, serve(b, e.Handler)), echo: echoServer(b), id: 1, chat: 1_000_000,
		boats: dock}
}

// warmUp finds out how many boats keep the service busy for a round.
func (t *bench) warmUp() {
	t.round()
	rate, _ := t.round()
	t.boats = min(max(dock, int(rate*roundLasts.Seconds())/readings), 400)
}

// arrivals are fresh boats and everything that will be said on them.
func (t *bench) arrivals(n int) ([]*boat, *magazine) {
	boats := fleet(t.b, t.e, t.chat, n, divers, time.Now())
	t.chat += 100 * int64(n)
	return boats, reports(boats, &t.id, time.Now())
}

// round is one of the echo, then one of the service: the rate of each.
func (t *bench) round() (rate, echoed float64) {
	boats, m := t.arrivals(t.boats)
	var took time.Duration
	times := 0
	for ; took < roundLasts; times++ {
		took += t.echo.barrage(t.b, m)
	}
	echoed = float64(times*m.size()) / took.Seconds()
	rate = float64(m.size()) / t.service.barrage(t.b, m).Seconds()
	allStored(t.b, t.e, boats, m.size())
	return rate, echoed
}

// BenchmarkReading is the rate of one reading, from the bytes of the webhook
// call to the committed state with its answer queued, beside that of the bare
// echo: 64 connections, all cores, one round each in turn. The door out does
// not run: it sends thirty messages a second whatever comes in.
func BenchmarkReading(b *testing.B) {
	for _, c := range []struct {
		fsync       string
		least, goal float64
	}{{"everysec", 0.35, 0.50}, {"always", 0.28, 0.45}} {
		b.Run(c.fsync, func(b *testing.B) {
			t := newBench(b, c.fsync)
			var rates, echoes, ratios []float64
			for b.Loop() {
				for range rounds() {
					rate, echoed := t.round()
					rates, echoes, ratios = append(rates, rate), append(echoes, echoed), append(ratios, rate/echoed)
				}
			}
			note := func(v []float64) string { return fmt.Sprintf("spread %.0f %%", spread(v)) }
			report(b, figure{what: "one reading, fsync " + c.fsync, got: median(rates), unit: "/s", note: note(rates)},
				"readings/s")
			report(b, figure{what: "  the bare echo beside it", got: median(echoes), unit: "/s", note: note(echoes)}, "echoes/s")
			report(b, figure{what: "  share of the echo's rate", got: median(ratios), want: c.least,
				note: fmt.Sprintf("goal %.2f, %s", c.goal, note(ratios))}, "share")
		})
	}
}
