package load

import (
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"
)

// BenchmarkProcess starts the built program on a real Redis: how long until it
// says that it is ready, and how much memory it keeps when nothing happens.
func BenchmarkProcess(b *testing.B) {
	if runtime.GOOS != "linux" {
		b.Skip("resident memory is read from /proc")
	}
	path := buildProgram(b)
	r := startRedis(b, "always")
	api := &windowAPI{}
	var ready, resident, ofFile []float64
	// Garbage of doing nothing gathers for two minutes at most, until the
	// runtime collects whatever there is.
	idle := time.Duration(setting("LOAD_SECONDS", 130)) * time.Second
	for b.Loop() {
		for i := range rounds() {
			wait := time.Duration(0)
			if i == 0 {
				wait = idle
			}
			took, kept, file := startProgram(b, path, r.url(), api.start(b), wait)
			ready = append(ready, 1000*took.Seconds())
			if i == 0 {
				resident, ofFile = append(resident, kept), append(ofFile, file)
			}
		}
	}
	report(b, figure{what: "the program, from start to ready", got: median(ready), unit: "ms", want: 300, atMost: true},
		"ready-ms")
	report(b, figure{what: "  resident after " + idle.String() + " without work", got: median(resident), unit: "MB",
		want: 40, atMost: true,
		note: fmt.Sprintf("%.0f MB of them pages of the program's file, which the system shares and may drop",
			median(ofFile))}, "idle-MB")
}

// program is the built program, started.
type program struct {
	cmd     *exec.Cmd
	address string
}

// buildProgram is the path of the program, built for this run.
func buildProgram(tb testing.TB) string {
	path := filepath.Join(tb.TempDir(), "bot")
	if out, err := exec.Command("go", "build", "-o", path, "gasmuster/cmd/bot").CombinedOutput(); err != nil {
		tb.Fatalf("go build: %v\n%s", err, out)
	}
	return path
}

// start starts the program and waits until it is ready; it is stopped at the end.
func start(b *testing.B, path, redisURL, api string) *program {
	p := &program{exec.Command(path, "serve"), freeAddress(b)}
	p.cmd.Env = []string{"HOME=" + b.TempDir(), "GASMUSTER_REDIS_URL=" + redisURL, "GASMUSTER_LISTEN=" + p.address,
		"GASMUSTER_SECRET=" + settings(api).Secret.Reveal(), "GASMUSTER_SHOP_KEY=the-shop's-own-key-of-this-run",
		"GASMUSTER_TELEGRAM_TOKEN=" + botToken, "GASMUSTER_TELEGRAM_API_URL=" + api, "GASMUSTER_TELEGRAM_MODE=webhook",
		"GASMUSTER_TELEGRAM_WEBHOOK_SECRET=" + webhookSecret, "GASMUSTER_PUBLIC_URL=http://" + p.address}
	began := time.Now()
	if err := p.cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(p.stop)
	for !answers(p.address) {
		if time.Since(began) > 20*time.Second {
			b.Fatal("the program is not ready after 20 s")
		}
		time.Sleep(time.Millisecond)
	}
	return p
}

// stop may be called twice.
func (p *program) stop() {
	if p.cmd.ProcessState == nil {
		_ = p.cmd.Process.Signal(os.Interrupt)
		_ = p.cmd.Wait()
	}
}

// startProgram returns how long the program took to be ready, and its resident
// memory in MB after so long without work, with how much of it is the program's
// own file. Then it stops it.
func startProgram(b *testing.B, path, redisURL, api string, idle time.Duration) (took time.Duration, resident,
	ofFile float64) {
	began := time.Now()
	p := start(b, path, redisURL, api)
	defer p.stop()
	took = time.Since(began)
	time.Sleep(idle)
	return took, residentMB(b, p.cmd.Process.Pid, "VmRSS:"), residentMB(b, p.cmd.Process.Pid, "RssFile:")
}

func answers(address string) bool {
	resp, err := http.Get("http://" + address + "/readyz")
	if err != nil {
		return false
	}
	resp.Body.Close()
	return resp.StatusCode == http.StatusOK
}

func residentMB(b *testing.B, pid int, which string) float64 {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		b.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		if fields := strings.Fields(line); len(fields) == 3 && fields[0] == which {
			kb, err := strconv.ParseFloat(fields[1], 64)
			if err != nil {
				b.Fatal(err)
			}
			return kb / 1024
		}
	}
	b.Fatalf("no %s in /proc", which)
	return 0
}
