package booking

import (
	"context"
	"errors"
	"slices"
	"time"
	"unicode/utf8"

	"gasmuster/internal/roster"
)

// Why somebody can't be made a host.
var (
	ErrHostName  = errors.New("a name has 1 to 80 characters")
	ErrHostTaken = errors.New("there is a host of that name already")
	ErrHostsFull = errors.New("there are as many hosts as there can be")
)

// Hosts are the people who may start trips for a shop from their phone. A host of
// another shop is none: roster.ErrNotFound.
type Hosts struct {
	Store roster.Hosts
	Now   func() time.Time
}

// Of are a shop's hosts, by name.
func (h Hosts) Of(ctx context.Context, shop roster.ShopID) ([]roster.Host, error) {
	all, err := h.Store.HostList(ctx)
	return slices.DeleteFunc(all, func(one roster.Host) bool { return one.Shop != shop }), err
}

// Add makes somebody a host of a shop. Names are one host's each in a deployment,
// since the command line goes by them.
func (h Hosts) Add(ctx context.Context, shop roster.ShopID, name string) (roster.Host, error) {
	name = roster.CleanName(name)
	if n := utf8.RuneCountInString(name); n < 1 || n > roster.MaxName {
		return roster.Host{}, ErrHostName
	}
	all, err := h.Store.HostList(ctx)
	if err != nil {
		return roster.Host{}, err
	}
	if slices.ContainsFunc(all, func(one roster.Host) bool { return one.Name == name }) {
		return roster.Host{}, ErrHostTaken
	}
	host := roster.Host{ID: roster.NewHostID(), Shop: shop, Name: name, Generation: 1, Created: h.Now()}
	if err := h.Store.PutHost(ctx, host); errors.Is(err, roster.ErrConflict) {
		return roster.Host{}, ErrHostsFull
	} else if err != nil {
		return roster.Host{}, err
	}
	return host, nil
}

// Renew gives a host a new link; the old one, and who came in by it, opens nothing.
func (h Hosts) Renew(ctx context.Context, shop roster.ShopID, id roster.HostID) error {
	host, err := h.one(ctx, shop, id)
	if err != nil {
		return err
	}
	host.Generation++
	return h.Store.PutHost(ctx, host)
}

// Remove makes a host nobody. Trips that they started stay.
func (h Hosts) Remove(ctx context.Context, shop roster.ShopID, id roster.HostID) error {
	if _, err := h.one(ctx, shop, id); err != nil {
		return err
	}
	return h.Store.RemoveHost(ctx, id)
}

func (h Hosts) one(ctx context.Context, shop roster.ShopID, id roster.HostID) (roster.Host, error) {
	host, err := h.Store.Host(ctx, id)
	if err == nil && host.Shop != shop {
		err = roster.ErrNotFound
	}
	return host, err
}
