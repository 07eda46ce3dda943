package app

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"gasmuster/internal/keys"
	"gasmuster/internal/roster"
)

func openShops(t *testing.T) Shops {
	t.Helper()
	m := miniredis.RunT(t)
	s, closeAll, err := OpenShops(t.Context(), Config{RedisURL: Secret("redis://" + m.Addr())})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(closeAll)
	s.now = func() time.Time { return time.Date(2027, 5, 1, 9, 0, 0, 0, time.UTC) }
	return s
}

func (s Shops) opens(t *testing.T, key string) string {
	t.Helper()
	shop, err := s.store.ShopByKey(t.Context(), keys.Hash(key))
	if err != nil && !errors.Is(err, roster.ErrNotFound) {
		t.Fatal(err)
	}
	return shop.Name
}

func TestShopKeys(t *testing.T) {
	s := openShops(t)
	key, err := s.Add(t.Context(), " Harbour ")
	if err != nil || s.opens(t, key) != "Harbour" {
		t.Fatalf("key %q opens %q (%v)", key, s.opens(t, key), err)
	}
	if _, err := s.Add(t.Context(), "Harbour"); err == nil {
		t.Error("a second shop of the same name was made")
	}
	renewed, err := s.Rotate(t.Context(), "Harbour")
	if err != nil || s.opens(t, renewed) != "Harbour" {
		t.Errorf("the new key opens %q (%v)", s.opens(t, renewed), err)
	}
	if got := s.opens(t, key); got != "" {
		t.Errorf("the old key still opens %q", got)
	}
	if _, err := s.Rotate(t.Context(), "Nobody"); err == nil {
		t.Error("a shop that is none got a key")
	}
	if _, err := s.Add(t.Context(), " "); err == nil {
		t.Error("a shop without a name was made")
	}
	if list, err := s.List(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("list %v (%v), want the one shop", list, err)
	}
}

func TestBootstrapKeyOpensTheDefaultShop(t *testing.T) {
	s := openShops(t)
	for _, key := range []Secret{"first key of the settings", "first key of the settings", "second key of the settings"} {
		if err := s.bootstrap(t.Context(), key); err != nil {
			t.Fatal(err)
		}
		if got := s.opens(t, key.Reveal()); got != DefaultShop {
			t.Errorf("the key opens %q", got)
		}
	}
	if got := s.opens(t, "first key of the settings"); got != "" {
		t.Errorf("the key before still opens %q", got)
	}
	if list, _ := s.List(t.Context()); len(list) != 1 {
		t.Errorf("%d shops, want one", len(list))
	}
	if err := s.bootstrap(t.Context(), ""); err != nil {
		t.Errorf("without a key: %v", err)
	}
}

func TestNoRedis(t *testing.T) {
	_, _, err := OpenShops(t.Context(), Config{RedisURL: "redis://:hunter22@127.0.0.1:1/0"})
	if err == nil {
		t.Fatal("want an error that says where it looked")
	}
	for _, bad := range []string{"hunter22"} {
		if got := err.Error(); got == "" || strings.Contains(got, bad) {
			t.Errorf("got %q", got)
		}
	}
}
