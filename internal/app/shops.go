package app

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
	"gasmuster/internal/shopapi"
)

// Shops manages the shops of a deployment.
type Shops struct {
	store roster.Shops
	now   func() time.Time
}

// OpenShops connects to the store of a deployment, for the command line.
func OpenShops(ctx context.Context, cfg Config) (s Shops, closeAll func(), err error) {
	client, err := connect(ctx, cfg.RedisURL.Reveal())
	if err != nil {
		return Shops{}, nil, err
	}
	return Shops{rdb.New(client).Shops(), time.Now}, func() { _ = client.Close() }, nil
}

// DefaultShop is the shop that GASMUSTER_SHOP_KEY opens.
const DefaultShop = "default"

// newKey is a random key of 192 bits.
func newKey() string {
	b := make([]byte, 24)
	_, _ = rand.Read(b) // never fails, by its documentation
	return base64.RawURLEncoding.EncodeToString(b)
}

// Add makes a shop and returns its key.
func (s Shops) Add(ctx context.Context, name string) (key string, err error) {
	name = strings.TrimSpace(name)
	if n := utf8.RuneCountInString(name); n < 1 || n > 80 {
		return "", errors.New("a name has 1 to 80 characters")
	}
	if old, err := s.find(ctx, name); err != nil || old != nil {
		return "", errors.Join(err, taken(old))
	}
	key = newKey()
	err = s.store.PutShop(ctx, roster.Shop{ID: roster.NewShopID(), Name: name, KeyHash: shopapi.HashKey(key), Created: s.now()})
	if errors.Is(err, roster.ErrConflict) {
		return "", taken(&roster.Shop{Name: name})
	}
	return key, err
}

func taken(s *roster.Shop) error {
	if s == nil {
		return nil
	}
	return fmt.Errorf("there is a shop %q already; for a new key: bot shop rotate %q", s.Name, s.Name)
}

// Rotate gives a shop a new key; the old one stops working at once.
func (s Shops) Rotate(ctx context.Context, name string) (key string, err error) {
	shop, err := s.find(ctx, strings.TrimSpace(name))
	if err != nil {
		return "", err
	}
	if shop == nil {
		return "", fmt.Errorf("there is no shop %q; bot shop list shows them", name)
	}
	key = newKey()
	shop.KeyHash = shopapi.HashKey(key)
	return key, s.store.PutShop(ctx, *shop)
}

// List is every shop.
func (s Shops) List(ctx context.Context) ([]roster.Shop, error) { return s.store.ShopList(ctx) }

// bootstrap sees that the key of the settings opens the shop "default".
func (s Shops) bootstrap(ctx context.Context, key Secret) error {
	if key == "" {
		return nil
	}
	shop, err := s.find(ctx, DefaultShop)
	if err != nil {
		return err
	}
	if shop == nil {
		shop = &roster.Shop{ID: DefaultShop, Name: DefaultShop, Created: s.now()}
	}
	if shop.KeyHash == shopapi.HashKey(key.Reveal()) {
		return nil
	}
	shop.KeyHash = shopapi.HashKey(key.Reveal())
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
