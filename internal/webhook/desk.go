package webhook

import (
	"context"
	"crypto/rand"
	"errors"
	"strings"
	"time"

	"gasmuster/internal/roster"
)

// Desk is what the shop's API does about webhooks.
type Desk struct {
	News         roster.Newsroom
	Trips        Trips
	Sealer       Sealer
	AllowPrivate bool
	Now          func() time.Time
}

// rotation is how long the secret before this one signs too.
const rotation = 24 * time.Hour

// Check says what is wrong with an address to register; nil when nothing is.
func (d Desk) Check(url string) error { return CheckURL(url, d.AllowPrivate) }

// Register makes url the place where the shop is told, in the place of any
// earlier one, and returns the signing secret, which is not shown again. What
// an earlier endpoint did not hear of is told now. url must pass Check.
func (d Desk) Register(ctx context.Context, shop roster.ShopID, url string) (roster.Endpoint, string, error) {
	before, err := d.News.Endpoint(ctx, shop)
	had := err == nil
	if err != nil && !errors.Is(err, roster.ErrNotFound) {
		return roster.Endpoint{}, "", err
	}
	now, secret := d.Now(), newSecret()
	e := roster.Endpoint{ID: strings.ToLower(rand.Text()[:12]), URL: url, Secret: d.Sealer.Seal(secret, string(shop)),
		Created: now}
	if had && before.URL == url {
		if _, err := d.Sealer.Open(before.Secret, string(shop)); err == nil {
			e.Previous, e.PreviousUntil = before.Secret, now.Add(rotation)
		}
	}
	if err := d.News.PutEndpoint(ctx, shop, e); err != nil {
		return roster.Endpoint{}, "", err
	}
	if had {
		err = wakeAll(ctx, d.News, d.Trips, shop, true, now)
	} else {
		err = nil
	}
	return e, secret, err
}

// Endpoint is where the shop is told; roster.ErrNotFound when nowhere.
func (d Desk) Endpoint(ctx context.Context, shop roster.ShopID) (roster.Endpoint, error) {
	return d.News.Endpoint(ctx, shop)
}

// Waiting counts events that were not told yet.
func (d Desk) Waiting(ctx context.Context, shop roster.ShopID) (int, error) {
	ids, err := d.Trips.List(ctx, shop, time.Time{}, time.Time{})
	if err != nil || len(ids) == 0 {
		return 0, err
	}
	return d.News.NewsWaiting(ctx, ids)
}

// Drop ends telling. What happens from then on is not told later.
func (d Desk) Drop(ctx context.Context, shop roster.ShopID) error {
	return d.News.DropEndpoint(ctx, shop)
}

// Deliveries is the delivery log; see roster.Newsroom.
func (d Desk) Deliveries(ctx context.Context, shop roster.ShopID, before time.Time, max int) ([]roster.Delivery,
	error) {
	return d.News.Deliveries(ctx, shop, before, max)
}

// Parse takes an event's id apart; false when it is none.
func (d Desk) Parse(event string) (roster.TripID, int, bool) { return ParseEventID(event) }

// Replay tells the trip's events again from one of them on; the caller has seen
// that the trip is the shop's. It returns how many events that are.
func (d Desk) Replay(ctx context.Context, shop roster.ShopID, trip roster.TripID, number int) (int, error) {
	return d.News.WakeNews(ctx, shop, trip, number, true, d.Now())
}
