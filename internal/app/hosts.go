package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"gasmuster/internal/booking"
	"gasmuster/internal/delivery"
	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// Hosts manages who may start trips from their phone.
type Hosts struct {
	hosts roster.Hosts
	shops Shops
	links delivery.Linker
	now   func() time.Time
}

// HostLink is a host with the addresses that they come in by. Code is what is sent
// to the chat bot as "/start CODE".
type HostLink struct {
	roster.Host
	ShopName, Page, Code string
}

// OpenHosts connects to the store of a deployment, for the command line. Its secret
// is needed for the links.
func OpenHosts(ctx context.Context, cfg Config) (h Hosts, closeAll func(), err error) {
	if want := wrongSecret(cfg.Secret.Reveal()); want != "" {
		return Hosts{}, nil, fmt.Errorf("%sSECRET %s", Prefix, want)
	}
	client, err := connect(ctx, cfg.RedisURL.Reveal(), cfg.RedisReplicas)
	if err != nil {
		return Hosts{}, nil, err
	}
	store := rdb.New(client)
	return newHosts(store, cfg, time.Now), func() { _ = client.Close() }, nil
}

func newHosts(store *rdb.Store, cfg Config, now func() time.Time) Hosts {
	return Hosts{store.Hosts(), Shops{store: store.Shops(), now: now},
		delivery.Linker{Invites: delivery.NewInvites(cfg.Secret.Reveal()), PublicURL: cfg.PublicURL}, now}
}

// Add makes a host of a shop, of the only one there is when none is named, and of
// "default" when there is none yet.
func (h Hosts) Add(ctx context.Context, name, shopName string) (HostLink, error) {
	if old, err := h.find(ctx, roster.CleanName(name)); err != nil || old != nil {
		return HostLink{}, errors.Join(err, hostTaken(old))
	}
	shop, err := h.shop(ctx, shopName)
	if err != nil {
		return HostLink{}, err
	}
	host, err := booking.Hosts{Store: h.hosts, Now: h.now}.Add(ctx, shop.ID, name)
	if errors.Is(err, booking.ErrHostsFull) {
		return HostLink{}, fmt.Errorf("there are %d hosts, which is the most; bot host remove NAME makes room",
			roster.MaxHosts)
	}
	return h.linked(host, shop.Name), err
}

func hostTaken(h *roster.Host) error {
	if h == nil {
		return nil
	}
	return fmt.Errorf("there is a host %q already; bot host list shows the link again", h.Name)
}

func (h Hosts) linked(host roster.Host, shop string) HostLink {
	page, _ := h.links.Host(host.ID, host.Generation)
	return HostLink{Host: host, ShopName: shop, Page: page, Code: h.links.Invites.HostCode(host.ID, host.Generation)}
}

// shop is the shop of a new host.
func (h Hosts) shop(ctx context.Context, name string) (roster.Shop, error) {
	list, err := h.shops.List(ctx)
	if err != nil {
		return roster.Shop{}, err
	}
	for _, s := range list {
		if s.Name == name || name == "" && len(list) == 1 {
			return s, nil
		}
	}
	switch {
	case name == "" && len(list) > 1:
		return roster.Shop{}, fmt.Errorf("there are %d shops: name one with --shop; bot shop list shows them", len(list))
	case name != "" && name != DefaultShop:
		return roster.Shop{}, fmt.Errorf("there is no shop %q; bot shop list shows them", name)
	}
	// Nobody has the key of this shop: bot shop rotate makes one.
	s := roster.Shop{ID: DefaultShop, Name: DefaultShop, KeyHash: keys.Hash(keys.New()), Created: h.now()}
	return s, h.shops.store.PutShop(ctx, s)
}

// List are all hosts with their links.
func (h Hosts) List(ctx context.Context) ([]HostLink, error) {
	hosts, err := h.hosts.HostList(ctx)
	if err != nil {
		return nil, err
	}
	shops, err := h.shops.List(ctx)
	if err != nil {
		return nil, err
	}
	names := map[roster.ShopID]string{}
	for _, s := range shops {
		names[s.ID] = s.Name
	}
	links := make([]HostLink, len(hosts))
	for i, host := range hosts {
		links[i] = h.linked(host, names[host.Shop])
	}
	return links, nil
}

// Remove makes a host nobody. Trips that they started stay.
func (h Hosts) Remove(ctx context.Context, name string) error {
	host, err := h.find(ctx, strings.TrimSpace(name))
	if err != nil {
		return err
	}
	if host == nil {
		return fmt.Errorf("there is no host %q; bot host list shows them", name)
	}
	return h.hosts.RemoveHost(ctx, host.ID)
}

func (h Hosts) find(ctx context.Context, name string) (*roster.Host, error) {
	list, err := h.hosts.HostList(ctx)
	for i := range list {
		if list[i].Name == name {
			return &list[i], nil
		}
	}
	return nil, err
}
