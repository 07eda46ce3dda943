package app

import (
	"context"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
)

// metrics counts what goes through the doors, for Prometheus. Labels are
// channels, kinds and results; nothing in them leads to a person or a trip.
type metrics struct {
	registry  *prometheus.Registry
	received  *prometheus.CounterVec
	commits   *prometheus.CounterVec
	conflicts prometheus.Counter
	sends     *prometheus.CounterVec
	took      *prometheus.HistogramVec
	buried    *prometheus.CounterVec
	lag       prometheus.Histogram
	requests  *prometheus.CounterVec
	told      *prometheus.CounterVec
	toldTook  prometheus.Histogram
}

func newMetrics() *metrics {
	m := &metrics{
		registry: prometheus.NewRegistry(),
		received: counters("updates_total", "What people did on a channel, by outcome.", "channel", "kind", "outcome"),
		commits:  counters("commits_total", "Events committed to the store.", "kind"),
		conflicts: prometheus.NewCounter(prometheus.CounterOpts{Namespace: "gasmuster", Name: "conflicts_total",
			Help: "Commits that another commit came before; they were stepped again."}),
		sends:  counters("sends_total", "Messages sent, by result.", "channel", "result"),
		buried: counters("dead_letters_total", "Messages that will never be sent.", "channel", "reason"),
		told:   counters("webhook_attempts_total", "Attempts to tell shops' systems of an event, by result.", "result"),
		toldTook: prometheus.NewHistogram(prometheus.HistogramOpts{Namespace: "gasmuster", Name: "webhook_seconds",
			Help: "How long one such attempt took.", Buckets: prometheus.ExponentialBuckets(0.01, 2, 12)}),
		requests: counters("http_requests_total", "HTTP requests, by status.", "route", "code"),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Namespace: "gasmuster", Name: "send_seconds",
			Help: "How long one send took.", Buckets: prometheus.ExponentialBuckets(0.005, 2, 13)}, []string{"channel"}),
		lag: prometheus.NewHistogram(prometheus.HistogramOpts{Namespace: "gasmuster", Name: "handle_seconds",
			Help: "From an event coming in to its commit.", Buckets: prometheus.ExponentialBuckets(0.0005, 2, 14)}),
	}
	m.registry.MustRegister(m.received, m.commits, m.conflicts, m.sends, m.buried, m.requests, m.took, m.lag, m.told,
		m.toldTook,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

func counters(name, help string, labels ...string) *prometheus.CounterVec {
	return prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: "gasmuster", Name: name, Help: help}, labels)
}

// Received counts an update; see delivery.Meter.
func (m *metrics) Received(channel, kind string, took time.Duration, err error) {
	outcome := "stored"
	if err != nil {
		outcome = "failed"
	}
	m.received.WithLabelValues(channel, kind, outcome).Inc()
	m.lag.Observe(took.Seconds())
}

// Committed counts a commit.
func (m *metrics) Committed(kind string) { m.commits.WithLabelValues(kind).Inc() }

// Conflict counts a commit that has to be stepped again.
func (m *metrics) Conflict() { m.conflicts.Inc() }

// Delivered counts a send.
func (m *metrics) Delivered(channel string, result delivery.Result, took time.Duration) {
	m.sends.WithLabelValues(channel, string(result)).Inc()
	m.took.WithLabelValues(channel).Observe(took.Seconds())
}

// Buried counts a dead letter.
func (m *metrics) Buried(channel, reason string) { m.buried.WithLabelValues(channel, reason).Inc() }

// Told counts an attempt to tell a shop's systems of an event.
func (m *metrics) Told(result string, took time.Duration) {
	m.told.WithLabelValues(result).Inc()
	m.toldTook.Observe(took.Seconds())
}

// watchOutbox shows how many messages wait, read when Prometheus asks.
func (m *metrics) watchOutbox(outbox roster.Outbox) {
	m.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Namespace: "gasmuster", Name: "outbox_depth",
		Help: "Messages waiting to be sent; -1 when the store can't be asked."}, func() float64 {
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		defer cancel()
		n, err := outbox.Depth(ctx)
		if err != nil {
			return -1
		}
		return float64(n)
	}))
}

func (m *metrics) handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{})
}
