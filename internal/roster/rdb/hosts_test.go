package rdb_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func TestHosts(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client).Hosts()
		ines := roster.Host{ID: roster.NewHostID(), Shop: "bluebarrel", Name: "Inês", Generation: 1, Created: departs}
		must(t, s.PutHost(t.Context(), ines))
		ines.Zone = "Atlantic/Azores"
		must(t, s.PutHost(t.Context(), ines))
		got, err := s.Host(t.Context(), ines.ID)
		must(t, err)
		if d := cmp.Diff(ines, got); d != "" {
			t.Errorf("host (-want +got):\n%s", d)
		}
		must(t, s.RemoveHost(t.Context(), ines.ID))
		if _, err := s.Host(t.Context(), ines.ID); !errors.Is(err, roster.ErrNotFound) {
			t.Errorf("after removing: %v", err)
		}
	})
}

func TestHostsAreBounded(t *testing.T) {
	s := rdb.New(embedded(t).client).Hosts()
	for i := range roster.MaxHosts {
		must(t, s.PutHost(t.Context(), roster.Host{ID: roster.NewHostID(), Name: fmt.Sprint(i)}))
	}
	if err := s.PutHost(t.Context(), roster.Host{ID: roster.NewHostID()}); !errors.Is(err, roster.ErrConflict) {
		t.Errorf("one more: %v", err)
	}
	list, err := s.HostList(t.Context())
	must(t, err)
	if len(list) != roster.MaxHosts {
		t.Errorf("%d hosts", len(list))
	}
	must(t, s.PutHost(t.Context(), list[0])) // one that is there
}

// A dialogue beside any trip waits two hours, and its record goes with it; an
// account stays a host's.
func TestTalkBesideATrip(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		p := rdb.New(srv.client).Addresses()
		now := time.Now()
		p.Now = func() time.Time { return now }
		route := func() roster.Route {
			r, err := p.Route(t.Context(), tomasz, "")
			must(t, err)
			return r
		}
		must(t, p.Talk(t.Context(), tomasz, json.RawMessage(`{"a": 1}`)))
		if got := string(route().Talk); got != `{"a": 1}` {
			t.Errorf("talk: %q", got)
		}
		for key := range dump(t, srv.client) {
			if ttl := srv.client.TTL(t.Context(), key).Val(); ttl <= 0 || ttl > roster.TalkLife {
				t.Errorf("%s of a stranger lives %v", key, ttl)
			}
		}
		must(t, p.Hosts(t.Context(), tomasz, roster.HostSeat{ID: "hhhhhhhhhh", Generation: 2}))
		now = now.Add(3 * time.Hour)
		if r := route(); r.Talk != nil || r.Host != (roster.HostSeat{ID: "hhhhhhhhhh", Generation: 2}) {
			t.Errorf("three hours later: %+v", r)
		}
		must(t, p.Talk(t.Context(), tomasz, json.RawMessage(`{}`)))
		must(t, p.Talk(t.Context(), tomasz, nil))
		if r := route(); r.Talk != nil || r.Host.ID == "" {
			t.Errorf("after its end: %+v", r)
		}
	})
}
