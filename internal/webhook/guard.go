package webhook

import (
	"errors"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"syscall"
	"time"
)

// patience of one attempt, from dialling to the end of the answer.
const attemptTime = 20 * time.Second

// longestURL bounds what a shop may register.
const longestURL = 2000

// ForbiddenError says that an address is not one of the public internet. What
// a shop registers must not become a way into the network of the deployment.
type ForbiddenError struct{}

func (*ForbiddenError) Error() string {
	return "its address is private, local or reserved: only public addresses are told"
}

// NewClient is the client for telling: no redirects, no proxy, bounded in time
// and size, and, unless private addresses are allowed, no connection to an
// address that isn't public. The address is judged after the name was resolved
// and for each connection, so that a name can't change its meaning in between.
func NewClient(allowPrivate bool) *http.Client {
	dialer := &net.Dialer{Timeout: 10 * time.Second, KeepAlive: 30 * time.Second}
	if !allowPrivate {
		dialer.Control = func(_, address string, _ syscall.RawConn) error { return judgeAddress(address) }
	}
	return &http.Client{
		Timeout:       attemptTime,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		Transport: &http.Transport{DialContext: dialer.DialContext, TLSHandshakeTimeout: 10 * time.Second,
			ResponseHeaderTimeout: 15 * time.Second, MaxResponseHeaderBytes: 32 << 10, MaxIdleConns: 32,
			MaxIdleConnsPerHost: 2, IdleConnTimeout: 90 * time.Second, ForceAttemptHTTP2: true},
	}
}

// judgeAddress refuses host:port, the host an address, that isn't public.
func judgeAddress(address string) error {
	at, err := netip.ParseAddrPort(address)
	if err != nil || !Public(at.Addr()) {
		return &ForbiddenError{}
	}
	return nil
}

// reserved are the blocks that the IANA special-purpose registries list as not
// globally reachable and that netip has no word for, and the tunnels that lead
// to an IPv4 address which can't be judged from here.
var reserved = prefixes("0.0.0.0/8", "100.64.0.0/10", "192.0.0.0/24", "192.0.2.0/24", "192.88.99.0/24", "198.18.0.0/15",
	"198.51.100.0/24", "203.0.113.0/24", "240.0.0.0/4", "::/96", "64:ff9b:1::/48", "100::/64", "2001::/23",
	"2001:db8::/32", "2002::/16",
	"3fff::/20", "5f00::/16", "fec0::/10")

// nat64 leads to the IPv4 address in its last four bytes (RFC 6052).
var nat64 = netip.MustParsePrefix("64:ff9b::/96")

func prefixes(list ...string) []netip.Prefix {
	var all []netip.Prefix
	for _, s := range list {
		all = append(all, netip.MustParsePrefix(s))
	}
	return all
}

// Public tells whether an address is one of the public internet.
func Public(a netip.Addr) bool {
	a = a.WithZone("").Unmap()
	if nat64.Contains(a) {
		b := a.As16()
		return Public(netip.AddrFrom4([4]byte(b[12:])))
	}
	if !a.IsValid() || a.IsLoopback() || a.IsPrivate() || a.IsLinkLocalUnicast() || a.IsMulticast() ||
		a.IsUnspecified() || !a.IsGlobalUnicast() {
		return false
	}
	for _, p := range reserved {
		if p.Contains(a) {
			return false
		}
	}
	return true
}

// CheckURL says what is wrong with an address that a shop wants to register;
// nil when nothing is. A name is judged only when it is resolved, on sending.
func CheckURL(s string, allowPrivate bool) error {
	u, err := url.Parse(s)
	switch {
	case err != nil || u.Host == "" || u.Hostname() == "" || u.Opaque != "":
		return errors.New("is no address: accepted is https://host/path")
	case len(s) > longestURL:
		return errors.New("is longer than 2000 characters")
	case u.Scheme != "https" && !(allowPrivate && u.Scheme == "http"):
		return errors.New("is not encrypted: accepted is https://")
	case u.User != nil:
		return errors.New("holds a user name or password: every event is signed instead")
	case u.Fragment != "":
		return errors.New("holds a fragment, which is never sent")
	case !allowPrivate && local(u.Hostname()):
		return &ForbiddenError{}
	}
	return nil
}

func local(host string) bool {
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	if a, err := netip.ParseAddr(host); err == nil {
		return !Public(a)
	}
	return host == "localhost" || strings.HasSuffix(host, ".localhost") || strings.HasSuffix(host, ".local") ||
		strings.HasSuffix(host, ".internal")
}
