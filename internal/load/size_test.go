package load

import (
	"fmt"
	"syscall"
	"testing"
	"time"
)

// BenchmarkSize is what stored trips cost those who have nothing to do with
// them: the rate of readings and of the due index's tick with few, many and
// very many trips in the store. Each amount has a server of its own, and they
// take turns. The trips that are only stored have two divers; readings come
// from boats of fifteen beside them. LOAD_TRIPS changes the largest amount.
func BenchmarkSize(b *testing.B) {
	amounts := []int{10, 1000, setting("LOAD_TRIPS", 100_000)}
	var harbours []*harbour
	for _, n := range amounts {
		harbours = append(harbours, newHarbour(b, n))
	}
	syscall.Sync() // what was written to fill them is not to be written during the rounds
	for b.Loop() {
		for range rounds() {
			for _, h := range harbours {
				h.measure(b)
			}
		}
	}
	least := harbours[0]
	for _, h := range harbours {
		note := fmt.Sprintf("spread %.0f %%", spread(h.rates))
		report(b, figure{what: fmt.Sprintf("%d stored trips: one reading", h.stored), got: median(h.rates), unit: "/s",
			note: note},
			fmt.Sprintf("readings/s@%d", h.stored))
		report(b, figure{what: "  a tick of the due index", got: median(h.ticks), unit: "/s",
			note: fmt.Sprintf("spread %.0f %%", spread(h.ticks))},
			fmt.Sprintf("ticks/s@%d", h.stored))
		if h == least {
			continue
		}
		report(b, figure{what: "  share of the rate with 10: reading", got: median(h.rates) / median(least.rates), want: 0.9},
			fmt.Sprintf("reading-share@%d", h.stored))
		report(b, figure{what: "  share of the rate with 10: tick", got: median(h.ticks) / median(least.ticks), want: 0.9},
			fmt.Sprintf("tick-share@%d", h.stored))
	}
}

// harbour is a service whose store is full to some degree.
type harbour struct {
	stored       int
	bench        *bench
	rates, ticks []float64
}

func newHarbour(b *testing.B, stored int) *harbour {
	e := newService(b, "everysec")
	fleet(b, e, 100_000_000, stored, 2, time.Now().Add(5*24*time.Hour)) // their wake-ups lie ahead
	h := &harbour{stored: stored, bench: benchOf(b, e)}
	h.bench.round() // to warm up, the connections too: the next amount takes its time
	h.bench.boats = 4 * dock
	return h
}

// measure is one round of readings and one of ticks: asking which trips are
// due, as every process does each second, at a moment when none is.
func (h *harbour) measure(b *testing.B) {
	boats, m := h.bench.arrivals(h.bench.boats)
	rate := float64(m.size()) / h.bench.service.barrage(b, m).Seconds()
	allStored(b, h.bench.e, boats, m.size())
	const asks = 500
	began := time.Now()
	for range asks {
		if due, err := h.bench.e.Store.Due(b.Context(), time.Now().Add(-24*time.Hour), 100); err != nil || len(due) > 0 {
			b.Fatal(len(due), " trips are due: ", err)
		}
	}
	h.rates, h.ticks = append(h.rates, rate), append(h.ticks, asks/time.Since(began).Seconds())
}
