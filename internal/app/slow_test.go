package app

import (
	"bufio"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// pipes is a listener of connections in memory, whose deadlines follow the
// clock of a bubble.
type pipes struct {
	made   chan net.Conn
	closed chan struct{}
}

func newPipes() *pipes { return &pipes{make(chan net.Conn), make(chan struct{})} }

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.made:
		return c, nil
	case <-p.closed:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error {
	select {
	case <-p.closed:
	default:
		close(p.closed)
	}
	return nil
}

func (p *pipes) Addr() net.Addr { return &net.UnixAddr{Name: "pipe"} }

func (p *pipes) dial() net.Conn {
	here, there := net.Pipe()
	p.made <- there
	return here
}

// cutOff serves one client, and says after how long its connection was closed.
func cutOff(t *testing.T, client func(net.Conn)) (after time.Duration) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		reads := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if _, err := io.Copy(io.Discard, r.Body); err != nil {
				w.WriteHeader(http.StatusBadRequest)
				return
			}
			fmt.Fprint(w, strings.Repeat("an answer\n", 10_000))
		})
		server, listener := newServer(reads, slog.New(slog.DiscardHandler)), newPipes()
		done := make(chan struct{})
		go func() { _ = server.Serve(listener); close(done) }()
		began := time.Now()
		conn := listener.dial()
		client(conn)
		after = time.Since(began)
		conn.Close()
		server.Close()
		<-done
		time.Sleep(2 * time.Second) // of the bubble: the client's writer notices
	})
	return after
}

// drain reads until the server closes the connection.
func drain(c net.Conn) { _, _ = io.Copy(io.Discard, c) }

// A client that is slow on purpose or by a bad line holds nothing up for long.
func TestSlowClientsAreCutOff(t *testing.T) {
	for name, c := range map[string]struct {
		client func(net.Conn)
		within time.Duration
	}{
		"silent": {drain, 6 * time.Second},
		"half a header": {func(c net.Conn) {
			fmt.Fprint(c, "GET /v1/trips HTTP/1.1\r\nHost: x\r\nAuthor")
			drain(c)
		}, 6 * time.Second},
		"a header letter by letter": {func(c net.Conn) {
			go func() {
				for _, r := range "GET /v1/trips HTTP/1.1\r\nHost: x\r\nX: " + strings.Repeat("y", 100) {
					time.Sleep(time.Second)
					if _, err := c.Write([]byte(string(r))); err != nil {
						return
					}
				}
			}()
			drain(c)
		}, 6 * time.Second},
		"a body byte by byte": {func(c net.Conn) {
			fmt.Fprint(c, "POST /v1/trips HTTP/1.1\r\nHost: x\r\nContent-Length: 1000\r\n\r\n")
			go func() {
				for {
					time.Sleep(time.Second)
					if _, err := c.Write([]byte("x")); err != nil {
						return
					}
				}
			}()
			drain(c)
		}, 30 * time.Second},
		"never reads": {func(c net.Conn) {
			fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
			for gone := false; !gone; time.Sleep(time.Second) {
				_ = c.SetWriteDeadline(time.Now().Add(time.Millisecond))
				_, err := c.Write([]byte("."))
				gone = err == io.ErrClosedPipe
			}
		}, time.Minute},
		"idle after an answer": {func(c net.Conn) {
			fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
			r := bufio.NewReader(c)
			resp, err := http.ReadResponse(r, nil)
			if err != nil {
				return
			}
			_, _ = io.Copy(io.Discard, resp.Body)
			_, _ = io.Copy(io.Discard, r)
		}, 3 * time.Minute},
	} {
		t.Run(name, func(t *testing.T) {
			after := cutOff(t, c.client)
			if after > c.within || after < time.Second {
				t.Errorf("cut off after %v, want between a second and %v", after, c.within)
			}
		})
	}
}
