package load

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"
)

const steadyRate = 500 // readings a second

// BenchmarkLatency is how long one reading takes at a steady rate, from the
// instant at which the update is due, beside the bare echo: in turns, the 99th
// percentile of each, the median over the rounds.
func BenchmarkLatency(b *testing.B) {
	for _, fsync := range []string{"everysec", "always"} {
		b.Run(fsync, func(b *testing.B) {
			t := newBench(b, fsync)
			var halves, ours, echoes, ratios []float64
			for b.Loop() {
				for range rounds() {
					boats, m := t.arrivals(2 * dock)
					echoed := quantile(t.echo.steady(b, m, steadyRate), 0.99)
					took := t.service.steady(b, m, steadyRate)
					allStored(b, t.e, boats, m.size())
					p99 := quantile(took, 0.99)
					halves, ours = append(halves, 1000*median(took)), append(ours, 1000*p99)
					echoes, ratios = append(echoes, 1000*echoed), append(ratios, p99/echoed)
				}
			}
			report(b, figure{what: fmt.Sprintf("one reading at %d/s, fsync %s, half within", steadyRate, fsync),
				got: median(halves), unit: "ms"}, "p50-ms")
			report(b, figure{what: "  99 of 100 within", got: median(ours), unit: "ms"}, "p99-ms")
			report(b, figure{what: "  99 of 100 of the bare echo within", got: median(echoes), unit: "ms"}, "echo-p99-ms")
			if fsync == "always" {
				disk := syncing(b)
				report(b, figure{what: "  writing 4 KB and fsync on this disk, 99 of 100 within", got: quantile(disk, 0.99),
					unit: "ms",
					note: fmt.Sprintf("half within %s ms", number(median(disk)))}, "fsync-p99-ms")
			}
			report(b, figure{what: "  times the echo's", got: median(ratios), want: 3, atMost: true,
				note: fmt.Sprintf("spread %.0f %%", spread(ratios))}, "times-echo")
		})
	}
}

// syncing is how long it takes to write a commit's worth to a file and have it
// on the disk, in milliseconds: what no commit under fsync always can undercut.
func syncing(b *testing.B) []float64 {
	f, err := os.Create(filepath.Join(b.TempDir(), "appendonly"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	line := make([]byte, 4096)
	took := make([]float64, 1000)
	for i := range took {
		began := time.Now()
		if _, err := f.Write(line); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
		took[i] = 1000 * time.Since(began).Seconds()
		time.Sleep(time.Millisecond)
	}
	return took
}
