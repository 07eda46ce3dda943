package load

import (
	"bytes"
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"gasmuster/internal/roster/rdb"
)

// mostRoundTrips is how often one reading may go to the store and wait for its
// answer: the commit. Trip and writer are known from the event before.
const mostRoundTrips = 1

// wire counts how often somebody speaks on it after having listened: each time
// is a round trip, whatever number of commands travels in it.
type wire struct {
	net.Conn
	speaks *atomic.Bool
	trips  *atomic.Int64
}

func (w wire) Write(p []byte) (int, error) {
	if !w.speaks.Swap(true) {
		w.trips.Add(1)
	}
	return w.Conn.Write(p)
}

func (w wire) Read(p []byte) (int, error) {
	n, err := w.Conn.Read(p)
	w.speaks.Store(false)
	return n, err
}

// counted is a client whose round trips are counted.
func counted(t *testing.T) (redis.UniversalClient, *atomic.Int64) {
	m := miniredis.RunT(t)
	o, err := rdb.Options("redis://" + m.Addr())
	if err != nil {
		t.Fatal(err)
	}
	trips := new(atomic.Int64)
	o.Dialer = func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := new(net.Dialer).DialContext(ctx, network, addr)
		return wire{c, new(atomic.Bool), trips}, err
	}
	c := redis.NewUniversalClient(o)
	t.Cleanup(func() { c.Close() })
	return c, trips
}

// A reading is written with few round trips, and each line of a diver's
// morning is stored.
func TestRoundTripsOfAReading(t *testing.T) {
	client, trips := counted(t)
	e := embed(t, client, "http://127.0.0.1:9", time.Now)
	b := fleet(t, e, 1_000_000, 1, divers, time.Now())[0]
	id := int64(0)
	for i, request := range reports([]*boat{b}, &id, time.Now())[0] {
		before := trips.Load()
		w := httptest.NewRecorder()
		e.Handler.ServeHTTP(w, parsed(t, request))
		took := trips.Load() - before
		stored, err := b.stored(t.Context(), e.Store)
		switch {
		case err != nil:
			t.Fatal(err)
		case w.Code != http.StatusOK || stored != i+1:
			t.Fatalf("line %d: status %d, %d readings stored, want %d", i, w.Code, stored, i+1)
		case i == 0: // the first one teaches the server the script
			continue
		case took > mostRoundTrips || took == 0:
			t.Errorf("line %d: %d round trips, want 1 to %d", i, took, mostRoundTrips)
		}
	}
}

// parsed is a prepared request as a server's handler gets it.
func parsed(t testing.TB, request []byte) *http.Request {
	t.Helper()
	_, body, ok := bytes.Cut(request, []byte("\r\n\r\n"))
	if !ok {
		t.Fatal("a request without an end of its head")
	}
	return webhookRequest(body)
}
