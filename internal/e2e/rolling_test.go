package e2e

import (
	"errors"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"gasmuster/internal/telegram/standin"
	"gasmuster/internal/testport"
)

// balancer stands before several processes, as an operator's does: it asks each
// for its readiness and hands requests to those that are ready, in turn.
type balancer struct {
	*httptest.Server
	mu   sync.Mutex
	bots []*bot
	next atomic.Int64
}

func newBalancer(t *testing.T) *balancer {
	l := &balancer{}
	l.Server = httptest.NewServer(&httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) { r.SetURL(l.pick()) },
		ErrorHandler: func(w http.ResponseWriter, _ *http.Request, _ error) {
			w.WriteHeader(http.StatusBadGateway)
		},
	})
	t.Cleanup(l.Close)
	return l
}

// pick is the next process that is ready; any, when none is.
func (l *balancer) pick() *url.URL {
	l.mu.Lock()
	bots := slices.Clone(l.bots)
	l.mu.Unlock()
	n := int(l.next.Add(1))
	chosen := bots[n%len(bots)]
	for i := range bots {
		if b := bots[(n+i)%len(bots)]; b.ready() == http.StatusOK {
			chosen = b
			break
		}
	}
	u, err := url.Parse(chosen.url)
	if err != nil {
		panic(errors.Join(errors.New("a process's address"), err))
	}
	return u
}

func (l *balancer) set(i int, b *bot) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if i == len(l.bots) {
		l.bots = append(l.bots, b)
		return
	}
	l.bots[i] = b
}

// Three processes on one Redis are replaced one after the other while divers
// join, are told of their trip, and report. In order (SIGTERM) nothing is
// repeated; killed, a message at most once for each letter in hand. Nothing is
// lost in either case.
func TestThreeProcessesRollingRestart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		end  func(*bot)
		most int // repetitions for each process that ends
	}{
		{"in order", (*bot).stop, 0},
		{"killed", (*bot).kill, 8}, // eight workers have one letter each in hand
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := startRedis(t)
			api := standin.New(t, standin.Options{Patience: 3 * time.Minute})
			l := newBalancer(t)
			ports := []int{testport.Free(t), testport.Free(t), testport.Free(t)}
			start := func(i int) *bot {
				return startBot(t, r, api, webhook("GASMUSTER_PUBLIC_URL="+l.URL, listenOn(ports[i]))...)
			}
			for i := range ports {
				l.set(i, start(i))
			}
			trips, each, rounds := amount(3, 20), amount(8, 15), amount(1, 4)
			m := busyMorning(t, l.bots[0], api, trips, each)
			for _, tr := range m.trips { // whoever joins is told of the trip
				announce(t, l.bots[1], tr)
			}
			load := make(chan struct{})
			go func() { // spread over the restarts
				defer close(load)
				tick := time.NewTicker(time.Duration(amount(60, 40)) * time.Millisecond)
				defer tick.Stop()
				for _, d := range m.divers {
					d.user.Start(d.code)
					d.user.Send(d.text())
					<-tick.C
				}
			}()
			ended := 0
			for range rounds {
				for i := range ports {
					c.end(l.bots[i])
					ended++
					l.set(i, start(i))
				}
			}
			<-load
			if !api.Settled() {
				t.Fatalf("%d updates never acknowledged", api.Pending())
			}
			api.Wait(m.arrived)
			sum := m.count(l.bots[0], api)
			t.Logf("%d processes ended %s under load: %v", ended, c.name, sum)
			if sum.repeated > c.most*ended {
				t.Errorf("%d repetitions, want at most %d", sum.repeated, c.most*ended)
			}
		})
	}
}
