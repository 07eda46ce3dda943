package load

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"

	"gasmuster/internal/app"
)

// figure is one line of the table at the end.
type figure struct {
	what   string
	got    float64
	unit   string
	want   float64 // 0 for none
	atMost bool    // want is an upper bound
	note   string
}

var table struct {
	sync.Mutex
	figures []figure
}

// report puts a figure into the benchmark's own output and into the table.
func report(b *testing.B, f figure, metric string) {
	b.Helper()
	b.ReportMetric(f.got, metric)
	table.Lock()
	defer table.Unlock()
	table.figures = append(table.figures, f)
}

func (f figure) String() string {
	line := fmt.Sprintf("%-58s %12s %-6s", f.what, number(f.got), f.unit)
	if f.want != 0 {
		sign, met := "at least", f.got >= f.want
		if f.atMost {
			sign, met = "at most", f.got <= f.want
		}
		verdict := "met"
		if !met {
			verdict = "NOT MET"
		}
		line += fmt.Sprintf("  %s %s: %s", sign, number(f.want), verdict)
	}
	if f.note != "" {
		line += "  (" + f.note + ")"
	}
	return line
}

// number shows three significant digits of small values, whole large ones.
func number(v float64) string {
	if v >= 100 || v <= -100 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

func TestMain(m *testing.M) {
	app.TuneMemory() // as the program does
	code := m.Run()
	stopServers()
	if len(table.figures) > 0 {
		fmt.Println("\nfigures, measured against what the design promises")
		for _, f := range table.figures {
			fmt.Println(f)
		}
	}
	os.Exit(code)
}

// setting is a number of this run that may be set in the environment, for a
// quick look: LOAD_ROUNDS=1 LOAD_SECONDS=5 make bench.
func setting(name string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil && n > 0 {
		return n
	}
	return otherwise
}

func rounds() int { return setting("LOAD_ROUNDS", 5) }

func median(v []float64) float64 { return quantile(v, 0.5) }

// quantile is the value that the share q of v does not exceed.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(v))
	return s[min(len(s)-1, int(q*float64(len(s))))]
}

// spread is the distance between the extremes, in percent of the median.
func spread(v []float64) float64 {
	return 100 * (slices.Max(v) - slices.Min(v)) / median(v)
}
