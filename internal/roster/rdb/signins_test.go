package rdb_test

import (
	"errors"
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func TestSignIns(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client).SignIns(), t.Context()
		gone := func(shop roster.ShopID, hash string) bool {
			t.Helper()
			_, err := s.Session(ctx, shop, hash)
			if err != nil && !errors.Is(err, roster.ErrNotFound) {
				t.Fatal(err)
			}
			return err != nil
		}
		must(t, s.Begin(ctx, "one", "h1", "mark", time.Hour))
		must(t, s.Begin(ctx, "one", "h2", "mark", time.Hour))
		if mark, err := s.Session(ctx, "one", "h1"); err != nil || mark != "mark" {
			t.Errorf("session: got %q, %v", mark, err)
		}
		if !gone("two", "h1") || !gone("one", "h3") {
			t.Error("a session of another shop, or one that never was, is open")
		}
		must(t, s.End(ctx, "one", "h1"))
		if !gone("one", "h1") || gone("one", "h2") {
			t.Error("signing out must end one session and no other")
		}
		must(t, s.EndAll(ctx, "one"))
		must(t, s.Begin(ctx, "one", "h4", "mark", time.Hour))
		if !gone("one", "h2") || gone("one", "h4") {
			t.Error("signing everybody out must end the sessions until then")
		}
	})
}

func TestSignInLinkWorksOnce(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s, ctx := rdb.New(srv.client).SignIns(), t.Context()
		must(t, s.Offer(ctx, "one", "h", time.Hour))
		if err := s.Redeem(ctx, "two", "h"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("for another shop: got %v", err)
		}
		must(t, s.Redeem(ctx, "one", "h"))
		if err := s.Redeem(ctx, "one", "h"); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("a second time: got %v", err)
		}
	})
}
