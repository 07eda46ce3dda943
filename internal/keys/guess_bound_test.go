package keys

import (
	"net/http/httptest"
	"net/netip"
	"testing"
	"time"
)

// However many addresses guess, what is remembered of them is bounded, and the
// latest is still counted.
func TestGuessersAreForgotten(t *testing.T) {
	g, now := NewGuesses(""), time.Date(2027, 5, 13, 12, 0, 0, 0, time.UTC)
	r := httptest.NewRequest("GET", "/v1/trips", nil)
	addr := netip.MustParseAddr("10.0.0.0")
	for range guessersKept + 5000 {
		addr = addr.Next()
		r.RemoteAddr = netip.AddrPortFrom(addr, 80).String()
		g.Failed(r, "hash", now)
	}
	if n := g.wrong.Len(); n != guessersKept {
		t.Errorf("%d addresses are remembered, want %d", n, guessersKept)
	}
	for range wrongKeysAtOnce {
		g.Failed(r, "hash", now)
	}
	if g.Wait(r, "hash", now) <= 0 {
		t.Error("the latest guesser need not wait")
	}
	for i := range goodKeysKept + 10 {
		g.Opened(string(rune('a' + i)))
	}
	if n := g.good.Len(); n != goodKeysKept {
		t.Errorf("%d keys are remembered, want %d", n, goodKeysKept)
	}
}
