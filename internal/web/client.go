package web

import (
	"net/http"
	"net/netip"
	"strings"
)

// Client is where a request comes from: the address of the connection or, where a
// header of our own proxy is trusted ("" for none), the last address in it, which is
// the one that the proxy saw itself. IPv6 counts by the /64 that one subscriber has.
// All that can't be told apart are the zero prefix.
func Client(r *http.Request, header string) netip.Prefix {
	host := r.RemoteAddr
	if values := r.Header.Values(header); header != "" && len(values) > 0 {
		list := strings.Split(values[len(values)-1], ",")
		host = strings.TrimSpace(list[len(list)-1])
	}
	addr, err := netip.ParseAddr(host)
	if err != nil {
		port, err := netip.ParseAddrPort(host)
		if err != nil {
			return netip.Prefix{}
		}
		addr = port.Addr()
	}
	addr = addr.Unmap().WithZone("")
	bits := 32
	if addr.Is6() {
		bits = 64
	}
	p, _ := addr.Prefix(bits)
	return p
}
