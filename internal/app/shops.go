package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"gasmuster/internal/desk"
	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// Shops manages the shops of a deployment.
type Shops struct {
	store roster.Shops
	all   *rdb.Store // nil where shops are only looked up
	url   string
	now   func() time.Time
}

// OpenShops connects to the store of a deployment, for the command line.
func OpenShops(ctx context.Context, cfg Config) (s Shops, closeAll func(), err error) {
	client, err := connect(ctx, cfg.RedisURL.Reveal(), cfg.RedisReplicas)
	if err != nil {
		return Shops{}, nil, err
	}
	store := rdb.New(client)
	return Shops{store.Shops(), store, cfg.PublicURL, time.Now}, func() { _ = client.Close() }, nil
}

// DefaultShop is the shop that GASMUSTER_SHOP_KEY opens.
const DefaultShop = "default"

// Add makes a shop and returns its key.
func (s Shops) Add(ctx context.Context, name string) (key string, err error) {
	name, err = shopName(name)
	if err != nil {
		return "", err
	}
	if old, err := s.find(ctx, name); err != nil || old != nil {
		return "", errors.Join(err, taken(old))
	}
	key = keys.New()
	err = s.store.PutShop(ctx, roster.Shop{ID: roster.NewShopID(), Name: name, KeyHash: keys.Hash(key), Created: s.now()})
	if errors.Is(err, roster.ErrConflict) {
		return "", taken(&roster.Shop{Name: name})
	}
	return key, err
}

func shopName(name string) (string, error) {
	name = strings.TrimSpace(name)
	if n := utf8.RuneCountInString(name); n < 1 || n > 80 {
		return "", errors.New("a name has 1 to 80 characters")
	}
	return name, nil
}

func taken(s *roster.Shop) error {
	if s == nil {
		return nil
	}
	return fmt.Errorf("there is a shop %q already; for a new key: bot shop rotate %q", s.Name, s.Name)
}

// Rotate gives a shop a new key; the old one stops working at once.
func (s Shops) Rotate(ctx context.Context, name string) (key string, err error) {
	shop, err := s.named(ctx, name)
	if err != nil {
		return "", err
	}
	key = keys.New()
	shop.KeyHash = keys.Hash(key)
	return key, s.store.PutShop(ctx, *shop)
}

// Rename calls a shop otherwise. Its key, its trips and whoever is signed in stay.
func (s Shops) Rename(ctx context.Context, name, as string) error {
	shop, err := s.named(ctx, name)
	if err == nil {
		shop.Name, err = shopName(as)
	}
	if err != nil {
		return err
	}
	if err = s.store.PutShop(ctx, *shop); errors.Is(err, roster.ErrConflict) {
		return fmt.Errorf("there is a shop %q already", shop.Name)
	}
	return err
}

// Remove ends a shop: its key, its sign-ins, its hosts and its endpoint for news.
// While a trip of it is to come it stays, since nobody could change that any more.
func (s Shops) Remove(ctx context.Context, name string) error {
	shop, err := s.named(ctx, name)
	if err == nil {
		err = s.nothingToCome(ctx, shop)
	}
	if err == nil {
		err = s.all.Shops().RemoveShop(ctx, shop.ID)
	}
	if err == nil {
		err = s.all.SignIns().EndAll(ctx, shop.ID)
	}
	if err == nil {
		err = s.all.News().DropEndpoint(ctx, shop.ID)
	}
	if err == nil {
		err = s.dropHosts(ctx, shop.ID)
	}
	return err
}

func (s Shops) nothingToCome(ctx context.Context, shop *roster.Shop) error {
	ids, err := s.all.List(ctx, shop.ID, s.now(), time.Time{})
	for _, id := range ids {
		l, err := s.all.Load(ctx, id, "")
		switch {
		case errors.Is(err, roster.ErrNotFound): // erased between the two reads
		case err != nil:
			return err
		case l.Trip.CalledOff == nil:
			return fmt.Errorf("%q has a trip to come, %s %q: bot trip cancel %s", shop.Name, id, l.Trip.Name, id)
		}
	}
	return err
}

func (s Shops) dropHosts(ctx context.Context, shop roster.ShopID) error {
	hosts, err := s.all.Hosts().HostList(ctx)
	for _, h := range hosts {
		if h.Shop == shop && err == nil {
			err = s.all.Hosts().RemoveHost(ctx, h.ID)
		}
	}
	return err
}

// Link makes a link that signs somebody in at a shop's desk once, within a day.
func (s Shops) Link(ctx context.Context, name string) (string, error) {
	shop, err := s.named(ctx, name)
	if err != nil {
		return "", err
	}
	return desk.Offer(ctx, s.all.SignIns(), s.url, shop.ID)
}

// List is every shop.
func (s Shops) List(ctx context.Context) ([]roster.Shop, error) { return s.store.ShopList(ctx) }

// bootstrap sees that the key of the settings opens the shop "default".
func (s Shops) bootstrap(ctx context.Context, key Secret) error {
	if key == "" {
		return nil
	}
	list, err := s.store.ShopList(ctx)
	if err != nil {
		return err
	}
	shop := &roster.Shop{ID: DefaultShop, Name: DefaultShop, Created: s.now()}
	for i := range list {
		if list[i].ID == DefaultShop || list[i].Name == DefaultShop { // it may have been renamed
			shop = &list[i]
		}
	}
	if shop.KeyHash == keys.Hash(key.Reveal()) {
		return nil
	}
	shop.KeyHash = keys.Hash(key.Reveal())
	return s.store.PutShop(ctx, *shop)
}

func (s Shops) find(ctx context.Context, name string) (*roster.Shop, error) {
	list, err := s.store.ShopList(ctx)
	for i := range list {
		if list[i].Name == name {
			return &list[i], nil
		}
	}
	return nil, err
}

// named is find for who needs one.
func (s Shops) named(ctx context.Context, name string) (*roster.Shop, error) {
	shop, err := s.find(ctx, strings.TrimSpace(name))
	if err == nil && shop == nil {
		err = fmt.Errorf("there is no shop %q; bot shop list shows them", name)
	}
	return shop, err
}
