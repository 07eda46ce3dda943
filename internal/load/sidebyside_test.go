package load

import (
	"fmt"
	"net/http"
	"testing"
	"time"
)

// rival is somebody who answers the same readings as the bare echo does.
type rival struct {
	what   string
	fire   func() float64 // answers a round of readings; how many a second
	shares []float64      // of the echo's rate beside it
	rates  []float64
}

// BenchmarkSideBySide is the rate of a reading in turn with what else could
// answer it: the bare echo, the echo with our commit alone behind it, and a bot of
// a popular framework with one and with two processes, which reads and writes one
// session a reading and answers in the webhook's reply.
func BenchmarkSideBySide(b *testing.B) {
	bots := frameworks(b) // installing takes a while, and a connection that says nothing is shut
	e := newService(b, "everysec")
	t, f := benchOf(b, e), &floor{store: e.Store, boats: map[int64]*moored{}}
	mux := http.NewServeMux()
	mux.HandleFunc("POST /telegram/webhook", f.answer)
	floored := aim(b, serve(b, mux))
	all := []*rival{
		{what: "ours", fire: func() float64 { return t.shoot(t.service, nil) }},
		{what: "the echo with our commit alone behind it", fire: func() float64 { return t.shoot(floored, f) }},
	}
	for i, address := range bots {
		bot := aim(b, address)
		all = append(all, &rival{what: fmt.Sprintf("a bot of npm's grammy with its Redis sessions, processes: %d", i+1),
			fire: func() float64 { return t.fireAt(bot) }})
	}
	var echoes []float64
	for b.Loop() {
		for range rounds() + 1 { // one to warm up
			echoed := t.fireAt(t.echo)
			echoes = append(echoes, echoed)
			for _, r := range all {
				rate := r.fire()
				r.rates, r.shares = append(r.rates, rate), append(r.shares, rate/echoed)
			}
		}
	}
	report(b, figure{what: "side by side: the bare echo", got: median(echoes[1:]), unit: "/s"}, "echoes/s")
	for i, r := range all {
		report(b, figure{what: "  " + r.what, got: median(r.shares[1:]), unit: "share",
			note: fmt.Sprintf("%s /s, spread %.0f %%", number(median(r.rates[1:])), spread(r.shares[1:]))},
			fmt.Sprintf("share-%d", i))
	}
}

// shoot fires fresh readings at whoever stores them; all have to be stored.
func (t *bench) shoot(at *gun, f *floor) float64 {
	boats, m := t.arrivals(2 * dock)
	if f != nil {
		f.take(boats)
	}
	rate := float64(m.size()) / at.barrage(t.b, m).Seconds()
	allStored(t.b, t.e, boats, m.size())
	return rate
}

// fireAt fires readings at whoever does not store them with us.
func (t *bench) fireAt(at *gun) float64 {
	t.id += 10_000
	id := t.id
	boats := make([]*boat, 2*dock)
	for i := range boats {
		boats[i] = newBoat(t.chat+int64(100*i), divers, time.Now())
	}
	m := reports(boats, &id, time.Now())
	return float64(m.size()) / at.barrage(t.b, m).Seconds()
}
