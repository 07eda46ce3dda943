package app

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gasmuster/internal/delivery"
)

// surface is the HTTP surface over handlers by hand.
func surface(t *testing.T, r routes) (http.Handler, *atomic.Bool, *bytes.Buffer, *metrics) {
	t.Helper()
	m, stopping, log := newMetrics(), &atomic.Bool{}, &bytes.Buffer{}
	if r.ready == nil {
		r.ready = func(context.Context) error { return nil }
	}
	r.metrics = m.handler()
	return r.handler(m, slog.New(slog.NewTextHandler(log, nil)), stopping), stopping, log, m
}

func get(h http.Handler, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w
}

func TestReadinessFollowsTheStoreAndTheStop(t *testing.T) {
	var down error
	h, stopping, _, _ := surface(t, routes{ready: func(context.Context) error { return down }})
	check := func(what string, ready int) {
		t.Helper()
		if got := get(h, "/readyz").Code; got != ready {
			t.Errorf("%s: readyz %d, want %d", what, got, ready)
		}
		if got := get(h, "/healthz").Code; got != http.StatusOK {
			t.Errorf("%s: healthz %d: being alive depends on nothing", what, got)
		}
	}
	check("store up", 200)
	down = errors.New("gone")
	check("store down", 503)
	down = nil
	stopping.Store(true)
	check("stopping", 503)
}

func TestPanicOfOneRequestIsContained(t *testing.T) {
	h, _, log, _ := surface(t, routes{pages: http.HandlerFunc(func(http.ResponseWriter,
		*http.Request) {
		panic("a name")
	})})
	if got := get(h, "/c/token"); got.Code != 500 || strings.Contains(got.Body.String(), "a name") {
		t.Errorf("got %d %q", got.Code, got.Body)
	}
	if !strings.Contains(log.String(), "could not be handled") || strings.Contains(log.String(), "token") {
		t.Errorf("log %q: want the fault, without the link's token", log)
	}
}

func TestRouteThatIsOffIsAbsent(t *testing.T) {
	h, _, _, _ := surface(t, routes{})
	if got := get(h, "/telegram/webhook").Code; got != http.StatusNotFound {
		t.Errorf("got %d, want 404", got)
	}
}

func TestMetricsNameNobody(t *testing.T) {
	h, _, _, m := surface(t, routes{shop: http.NotFoundHandler()})
	m.Received("telegram", "text", time.Millisecond, nil)
	m.Received("telegram", "text", time.Millisecond, errors.New("x"))
	m.Committed("text")
	m.Conflict()
	m.Delivered("telegram", delivery.Sent, time.Second)
	m.Buried("telegram", "too late to be of use")
	get(h, "/v1/trips/aaaaaaaaaa/board")
	body := get(h, "/metrics").Body.String()
	for _, want := range []string{
		`gasmuster_updates_total{channel="telegram",kind="text",outcome="stored"} 1`,
		`gasmuster_updates_total{channel="telegram",kind="text",outcome="failed"} 1`,
		`gasmuster_commits_total{kind="text"} 1`, `gasmuster_conflicts_total 1`,
		`gasmuster_sends_total{channel="telegram",result="sent"} 1`,
		`gasmuster_dead_letters_total{channel="telegram",reason="too late to be of use"} 1`,
		`gasmuster_http_requests_total{code="404",route="shop"} 1`,
	} {
		if !strings.Contains(body, want) {
			t.Errorf("missing: %s", want)
		}
	}
	if strings.Contains(body, "aaaaaaaaaa") {
		t.Error("a trip's id is in the metrics")
	}
}

func TestServerHasEveryTimeOut(t *testing.T) {
	s := newServer(http.NotFoundHandler(), slog.Default())
	for name, d := range map[string]time.Duration{"header": s.ReadHeaderTimeout, "read": s.ReadTimeout,
		"write": s.WriteTimeout, "idle": s.IdleTimeout} {
		if d <= 0 {
			t.Errorf("no %s time-out", name)
		}
	}
	if s.MaxHeaderBytes <= 0 {
		t.Error("headers may be endless")
	}
}

func TestMetricsHaveAListenerOfTheirOwn(t *testing.T) {
	s := &service{cfg: Config{MetricsListen: "127.0.0.1:0"}, metrics: newMetrics(), log: slog.New(slog.DiscardHandler)}
	end, err := s.serveMetrics()
	if err != nil {
		t.Fatal(err)
	}
	end()
	h, _, _, _ := surface(t, routes{})
	if got := get(h, "/"); got.Code != http.StatusOK || !strings.Contains(got.Body.String(), "/desk") {
		t.Errorf("the address itself: %d %s", got.Code, got.Body)
	}
	s.cfg.MetricsListen = "127.0.0.1:99999"
	if _, err := s.serveMetrics(); err == nil || !strings.Contains(err.Error(), "METRICS_LISTEN") {
		t.Errorf("got %v", err)
	}
}
