package keys

import (
	"net/http"
	"net/netip"
	"sync"
	"time"

	"github.com/hashicorp/golang-lru/v2/simplelru"
	"golang.org/x/time/rate"

	"gasmuster/internal/web"
)

// How often one remote address may present a key that opens nothing: some at
// once, for somebody who has mixed up their keys, then one every few seconds.
const (
	wrongKeysAtOnce = 20
	wrongKeyEvery   = 6 * time.Second
)

// How much is remembered: addresses at about 150 bytes, hashes of keys that
// opened a shop lately. Whoever has more addresses than that to guess from
// still has a random key of 256 bits before them.
const (
	guessersKept = 10_000
	goodKeysKept = 1_000
)

// Guesses slows down whoever tries keys. It counts in this process alone: a
// limit to guessing needs to be neither shared nor exact, and costs no round
// trip. An address over its budget is refused before its key is looked at,
// unless that key has opened a shop here before: a guesser behind the same
// proxy or router locks nobody out.
type Guesses struct {
	header string // in which a proxy of ours names the client; "" for none
	mu     sync.Mutex
	wrong  *simplelru.LRU[netip.Prefix, *rate.Limiter]
	good   *simplelru.LRU[string, struct{}]
}

// NewGuesses counts by the address of the connection or, where header is not "",
// by the last address in that header.
func NewGuesses(header string) *Guesses {
	wrong, err := simplelru.NewLRU[netip.Prefix, *rate.Limiter](guessersKept, nil)
	good, err2 := simplelru.NewLRU[string, struct{}](goodKeysKept, nil)
	if err != nil || err2 != nil {
		panic("keys: a cache needs a size") // the constants above
	}
	return &Guesses{header: header, wrong: wrong, good: good}
}

// Wait is how long a key with this hash has to wait until it is looked at, 0
// for not at all.
func (g *Guesses) Wait(r *http.Request, hash string, now time.Time) time.Duration {
	g.mu.Lock()
	defer g.mu.Unlock()
	l, known := g.wrong.Get(g.client(r))
	if !known || g.good.Contains(hash) {
		return 0
	}
	missing := 1 - l.TokensAt(now)
	return max(0, time.Duration(missing*float64(wrongKeyEvery)))
}

// Failed counts a key that opened nothing.
func (g *Guesses) Failed(r *http.Request, hash string, now time.Time) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.good.Remove(hash) // replaced meanwhile
	from := g.client(r)
	l, known := g.wrong.Get(from)
	if !known {
		l = rate.NewLimiter(rate.Every(wrongKeyEvery), wrongKeysAtOnce)
		g.wrong.Add(from, l)
	}
	l.AllowN(now, 1)
}

// Opened remembers a key that opened a shop.
func (g *Guesses) Opened(hash string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.good.Add(hash, struct{}{})
}

// client is who asks.
func (g *Guesses) client(r *http.Request) netip.Prefix { return web.Client(r, g.header) }
