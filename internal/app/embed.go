package app

import (
	"context"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"gasmuster/internal/delivery"
	"gasmuster/internal/desk"
	"gasmuster/internal/message"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// Embedded is the service around a store and a clock of the caller's, without
// a listener and a beat of its own: what the demo runs and moves through its day.
type Embedded struct {
	Store    *rdb.Store
	Door     *delivery.Door
	Renderer *message.Renderer
	Handler  http.Handler
	Desk     *desk.Desk
	s        *service
}

// Embed puts the service together. Of the settings it uses the secret, the
// shop's key, the public URL, evening, quiet hours and how long trips are kept;
// a Telegram token turns that channel on, but nothing polls. senders are further
// channels of the caller's.
func Embed(ctx context.Context, cfg Config, client redis.UniversalClient, now func() time.Time, log *slog.Logger,
	senders ...delivery.Sender) (*Embedded, error) {
	s := &service{cfg: cfg, log: log, client: client, now: now, framed: true, more: senders}
	if err := s.assemble(ctx); err != nil {
		return nil, err
	}
	return &Embedded{s.store, s.door, s.renderer, s.handler, s.desk, s}, nil
}

// Bootstrap opens the shop of the settings again, after the store was emptied.
func (e *Embedded) Bootstrap(ctx context.Context) error { return e.s.bootstrap(ctx) }

// Post sends what is in the outbox, and tells shops' systems of events, until
// ctx ends.
func (e *Embedded) Post(ctx context.Context) {
	var telling sync.WaitGroup
	defer telling.Wait()
	telling.Go(func() { e.s.teller.Run(ctx) })
	e.s.postman.Run(ctx)
}

// EndStreams ends the pages' live streams, before the caller's server stops.
func (e *Embedded) EndStreams() { e.s.pages.EndStreams() }

// Kick says that there is something to send.
func (e *Embedded) Kick() { e.s.postman.Kick() }

// Beat wakes every trip that is due now, once.
func (e *Embedded) Beat(ctx context.Context) { e.s.runner.Beat(ctx) }

// AddHost makes somebody a host of the only shop there is.
func (e *Embedded) AddHost(ctx context.Context, name string) (HostLink, error) {
	return newHosts(e.Store, e.s.cfg, e.s.now).Add(ctx, name, "")
}

// OpenInvite is where the open invite of a trip is opened on a page.
func (e *Embedded) OpenInvite(t *roster.Trip) string {
	return "/j/" + e.s.invites.OpenCode(t.ID, t.Gate.Generation)
}

// PageOf is the page of somebody who waited at an address of the open invite and was
// let in, "" while they wait.
func (e *Embedded) PageOf(ctx context.Context, waits string) (string, error) {
	parts := strings.Split(waits, "/") // "", "j", code, "w", id, ticket
	if len(parts) != 6 {
		return "", delivery.ErrInviteWrong
	}
	w, err := e.Door.Waits(ctx, parts[2], parts[4], parts[5])
	return "/c/" + w.Page, err
}
