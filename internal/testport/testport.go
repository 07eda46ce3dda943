// Package testport hands out ports to the servers that tests start, stop and start
// again where they were.
//
// A port that the system gave away for a moment (127.0.0.1:0) is no such port: it is
// of those that every outgoing connection gets, so that somebody else may have it
// when the server comes, or comes back.
package testport

import (
	"fmt"
	"math/rand/v2"
	"net"
	"sync"
	"testing"
)

// The ports lie below those of outgoing connections: 32768 on Linux, 49152 elsewhere.
const lowest, count = 20_000, 12_000

var (
	mu   sync.Mutex
	held []net.PacketConn
)

// Free is a TCP port of 127.0.0.1 on which nobody listens, and which no other test
// gets until this process ends. While it is ours the UDP port of its number is open.
func Free(t testing.TB) int {
	t.Helper()
	mu.Lock()
	defer mu.Unlock()
	for range 1000 {
		port := lowest + rand.IntN(count) // #nosec G404 -- any free port will do
		mark, err := net.ListenPacket("udp", address(port))
		if err != nil {
			continue
		}
		held = append(held, mark)
		if l, err := net.Listen("tcp", address(port)); err == nil {
			_ = l.Close()
			return port
		}
	}
	t.Fatal("no free port")
	return 0
}

func address(port int) string { return fmt.Sprintf("127.0.0.1:%d", port) }
