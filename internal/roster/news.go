package roster

import (
	"context"
	"encoding/json"
	"time"
)

// Endpoint is where a shop's systems hear of what happens on its trips. There
// is one a shop.
type Endpoint struct {
	ID      string    `json:"id"` // random, another with each registration
	URL     string    `json:"url"`
	Secret  []byte    `json:"secret"` // sealed: the store alone can't sign
	Created time.Time `json:"created"`
	// Previous is the sealed secret before this one; both sign until PreviousUntil.
	Previous      []byte    `json:"previous,omitempty"`
	PreviousUntil time.Time `json:"previous_until,omitzero"`

	// What became of it so far; kept by Report.
	Failing   time.Time `json:"-"` // of the first failure since the last success, zero when there is none
	Succeeded time.Time `json:"-"` // of the last success
	Disabled  time.Time `json:"-"` // nothing is sent from then on
	Reason    string    `json:"-"` // of the last failure
}

// News is one event of a trip taken for telling the shop's systems, under a lease.
type News struct {
	Trip     TripID
	Shop     ShopID
	Number   int             // within the trip, from 1: the trip's events in the order they happened
	Event    json.RawMessage // as it was committed
	Attempts int             // that failed before
	Since    time.Time       // of the first failure, zero when there was none
	Token    string          // of the lease
}

// NewsEnd is what becomes of a trip's news after one attempt.
type NewsEnd string

// The ends of a lease: it arrived; it failed, try again later; it never will,
// go on with the next; leave the trip alone until it is woken; nobody listens,
// forget what has happened so far; it could not be tried, come back later.
const (
	NewsTold    NewsEnd = "told"
	NewsFailed  NewsEnd = "failed"
	NewsGivenUp NewsEnd = "given-up"
	NewsParked  NewsEnd = "parked"
	NewsUnheard NewsEnd = "unheard"
	NewsWaits   NewsEnd = "waits"
)

// Delivery is one attempt to tell a shop's systems of an event.
type Delivery struct {
	Event   string    `json:"event"` // its id: trip and number
	Trip    TripID    `json:"trip"`
	Type    string    `json:"type"`
	At      time.Time `json:"at"`
	Attempt int       `json:"attempt"` // from 1
	Result  string    `json:"result"`  // "delivered", "failed", "given-up"
	Status  int       `json:"status,omitempty"`
	Reason  string    `json:"reason,omitempty"`
	Took    int64     `json:"took_ms"`
	Next    time.Time `json:"next_attempt_at,omitzero"`
}

// Newsroom keeps which events of which trips a shop's systems still have to
// hear of. A trip's events are told one by one in their order; a trip with an
// event that can't be told holds up no other trip.
type Newsroom interface {
	// PutEndpoint registers where a shop listens, in the place of any earlier
	// one, with a clean history.
	PutEndpoint(ctx context.Context, shop ShopID, e Endpoint) error
	// Endpoint returns ErrNotFound when the shop has none.
	Endpoint(ctx context.Context, shop ShopID) (Endpoint, error)
	// DropEndpoint forgets it; it is no error when there is none.
	DropEndpoint(ctx context.Context, shop ShopID) error
	// Report says how an attempt at endpoint id ended: reason "" for a success.
	// After patience of nothing but failures the endpoint is disabled;
	// patience 0 disables it at once. It returns the endpoint's state before:
	// since when it was failing, zero for not at all; and whether this report
	// disabled it. A report about another registration changes nothing.
	Report(ctx context.Context, shop ShopID, id, reason string, patience time.Duration, now time.Time) (failing time.Time,
		disabled bool, err error)

	// TakeNews leases up to max trips that have news due at now, the longest
	// due first.
	TakeNews(ctx context.Context, token string, now time.Time, lease time.Duration, max int) ([]News, error)
	// EndNews ends a lease; at is when a failed or waiting one is due again.
	// ErrConflict when the lease is no longer ours.
	EndNews(ctx context.Context, n News, end NewsEnd, at time.Time) error
	// WakeNews makes what a trip still has to tell due now, beginning with
	// event number from, or with the first not told yet when from is 0. Afresh
	// means that failures so far are forgotten. It returns how many events that
	// are; ErrNotFound when there is no event from, or nobody listened to it.
	WakeNews(ctx context.Context, shop ShopID, trip TripID, from int, afresh bool, now time.Time) (int, error)
	// NewsWaiting counts the events of trips that were not told yet.
	NewsWaiting(ctx context.Context, trips []TripID) (int, error)

	// LogDelivery appends to the shop's delivery log, of which the last
	// thousand lines are kept.
	LogDelivery(ctx context.Context, shop ShopID, d Delivery) error
	// Deliveries reads it, the latest first: at most max, none later than
	// before unless that is zero.
	Deliveries(ctx context.Context, shop ShopID, before time.Time, max int) ([]Delivery, error)
}
