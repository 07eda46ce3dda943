package load

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

// connections are open at the same time and kept alive, as a Bot API server
// keeps them to a webhook.
const connections = 64

// magazine is what each connection fires, in order. It is made before the
// clock runs: making it costs more than answering it.
type magazine [connections][][]byte

func (m *magazine) size() int {
	n := 0
	for _, lane := range m {
		n += len(lane)
	}
	return n
}

// webhookCall is one update as the Bot API server posts it.
func webhookCall(update []byte) []byte {
	return fmt.Appendf(nil, "POST /telegram/webhook HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"+
		"X-Telegram-Bot-Api-Secret-Token: %s\r\nContent-Length: %d\r\n\r\n%s", webhookSecret, len(update), update)
}

// webhookRequest is the same for a handler that is called directly.
func webhookRequest(update []byte) *http.Request {
	r := httptest.NewRequest(http.MethodPost, "/telegram/webhook", bytes.NewReader(update))
	r.Header.Set("X-Telegram-Bot-Api-Secret-Token", webhookSecret)
	return r
}

// gun holds the connections to one server. It reads as little of an answer as
// it can, since it shares the cores with what it measures.
type gun struct {
	lanes [connections]*lane
}

type lane struct {
	c net.Conn
	r *bufio.Reader
}

func aim(tb testing.TB, address string) *gun {
	tb.Helper()
	g := new(gun)
	for i := range g.lanes {
		c, err := net.Dial("tcp", address)
		if err != nil {
			tb.Fatal(err)
		}
		tb.Cleanup(func() { c.Close() })
		g.lanes[i] = &lane{c, bufio.NewReaderSize(c, 2048)}
	}
	return g
}

var contentLength = []byte("Content-Length: ")

// fire sends one request and reads its answer; an answer that is no 200 is an
// error.
func (l *lane) fire(request []byte) error {
	if _, err := l.c.Write(request); err != nil {
		return err
	}
	status, err := l.r.ReadSlice('\n')
	if err != nil {
		return err
	}
	if !bytes.HasPrefix(status, []byte("HTTP/1.1 200 ")) {
		return errors.New(string(bytes.TrimSpace(status)))
	}
	length := -1
	for {
		line, err := l.r.ReadSlice('\n')
		switch {
		case err != nil:
			return err
		case len(line) <= 2 && length < 0:
			return errors.New("an answer without a length")
		case len(line) <= 2:
			_, err := l.r.Discard(length)
			return err
		case bytes.HasPrefix(line, contentLength):
			if length, err = strconv.Atoi(string(bytes.TrimSpace(line[len(contentLength):]))); err != nil {
				return err
			}
		}
	}
}

// barrage fires everything as fast as it is answered, one request at a time on
// each connection, and returns how long that took.
func (g *gun) barrage(tb testing.TB, m *magazine) time.Duration {
	tb.Helper()
	runtime.GC()
	var all sync.WaitGroup
	var failed atomic.Value
	began := time.Now()
	for i, lane := range g.lanes {
		all.Go(func() {
			for _, request := range m[i] {
				if err := lane.fire(request); err != nil {
					failed.Store(fmt.Errorf("connection %d: %w", i, err))
					return
				}
			}
		})
	}
	all.Wait()
	took := time.Since(began)
	if err := failed.Load(); err != nil {
		tb.Fatal(err)
	}
	return took
}

// steady fires rate requests a second whether they are answered or not, the
// connections taking turns, and returns for each how long its answer took from
// the instant it was due: a server that falls behind can't hide it.
func (g *gun) steady(tb testing.TB, m *magazine, rate int) []float64 {
	tb.Helper()
	runtime.GC()
	type shot struct {
		request []byte
		due     time.Time
	}
	var queues [connections]chan shot
	var took [connections][]float64
	var failed atomic.Value
	var all sync.WaitGroup
	for i := range queues {
		queues[i] = make(chan shot, len(m[i]))
		all.Go(func() {
			for s := range queues[i] {
				if err := g.lanes[i].fire(s.request); err != nil && err != io.EOF {
					failed.Store(fmt.Errorf("connection %d: %w", i, err))
					return
				}
				took[i] = append(took[i], time.Since(s.due).Seconds())
			}
		})
	}
	began, n := time.Now(), 0
	for turn := 0; n < m.size(); turn++ {
		for i := range queues {
			if turn < len(m[i]) {
				due := began.Add(time.Duration(n) * time.Second / time.Duration(rate))
				until(due)
				queues[i] <- shot{m[i][turn], due}
				n++
			}
		}
	}
	for i := range queues {
		close(queues[i])
	}
	all.Wait()
	if err := failed.Load(); err != nil {
		tb.Fatal(err)
	}
	var latencies []float64
	for _, t := range took {
		latencies = append(latencies, t...)
	}
	return latencies
}

// until sleeps in the kernel: the runtime's own timers wake up to a
// millisecond late, which is what is to be measured here.
func until(t time.Time) {
	if d := time.Until(t); d > 0 {
		ts := syscall.NsecToTimespec(int64(d))
		_ = syscall.Nanosleep(&ts, nil)
	}
}
