package testport

import (
	"net"
	"testing"
)

// A port is given once, and can be listened on again and again.
func TestFree(t *testing.T) {
	given := map[int]bool{}
	for range 200 {
		port := Free(t)
		if given[port] || port < lowest || port >= lowest+count {
			t.Errorf("port %d: given before, or of those of outgoing connections", port)
		}
		given[port] = true
		for range 2 {
			l, err := net.Listen("tcp", address(port))
			if err != nil {
				t.Fatal(err)
			}
			l.Close()
		}
	}
}
