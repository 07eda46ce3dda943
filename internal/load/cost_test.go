package load

import (
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// BenchmarkCost is what one reading costs: processor time of the service and
// of Redis, and bytes of the append-only file. Other programs on the machine
// change it little, unlike a rate; it is what plans for growth go by.
func BenchmarkCost(b *testing.B) {
	c := startRedis(b, "everysec").client(b)
	e := embed(b, c, "http://127.0.0.1:9", time.Now)
	id, chat := int64(1), int64(1_000_000)
	for b.Loop() {
		boats := fleet(b, e, chat, dock, divers, time.Now())
		chat += 100 * dock
		m := reports(boats, &id, time.Now())
		requests := make([]*http.Request, 0, m.size())
		for turn := range len(m[0]) {
			for _, lane := range m {
				if turn < len(lane) {
					requests = append(requests, parsed(b, lane[turn]))
				}
			}
		}
		ours, theirs, file := processorTime(b), redisInfo(b, c, "cpu", "used_cpu_user")+redisInfo(b, c, "cpu",
			"used_cpu_sys"), redisInfo(b, c, "persistence", "aof_current_size")
		for _, r := range requests {
			w := httptest.NewRecorder()
			if e.Handler.ServeHTTP(w, r); w.Code != http.StatusOK {
				b.Fatalf("status %d", w.Code)
			}
		}
		n := float64(len(requests))
		report(b, figure{what: "processor time of a reading: the service", got: 1e6 * (processorTime(b) - ours) / n,
			unit: "us"}, "us/reading")
		report(b, figure{what: "  Redis", got: 1e6 * (redisInfo(b, c, "cpu", "used_cpu_user") + redisInfo(b, c, "cpu",
			"used_cpu_sys") - theirs) / n, unit: "us"}, "redis-us/reading")
		report(b, figure{what: "  written to the append-only file",
			got: (redisInfo(b, c, "persistence", "aof_current_size") - file) / n, unit: "bytes"}, "bytes/reading")
		allStored(b, e, boats, len(requests))
	}
}

// processorTime of this process so far, in seconds.
func processorTime(tb testing.TB) float64 {
	tb.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		tb.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// redisInfo is one number of what the server tells about itself.
func redisInfo(tb testing.TB, c redis.UniversalClient, section, name string) float64 {
	tb.Helper()
	for line := range strings.SplitSeq(c.Info(tb.Context(), section).Val(), "\r\n") {
		if value, ok := strings.CutPrefix(line, name+":"); ok {
			if v, err := strconv.ParseFloat(value, 64); err == nil {
				return v
			}
		}
	}
	tb.Fatalf("Redis does not tell its %s", name)
	return 0
}
