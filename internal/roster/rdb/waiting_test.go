package rdb_test

import (
	"slices"
	"testing"
	"time"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

func TestWaitingListsWhatIsNotSentYet(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		const id, other = roster.TripID("tripaa4567"), roster.TripID("tripbb4567")
		create(t, s, id, out(envelope(string(id), "p1", roster.LevelVerdict)),
			out(envelope(string(id), "p2", roster.LevelAnnouncement)))
		create(t, s, other, out(envelope(string(other), "p3", roster.LevelVerdict)))
		people := func() (list []string) {
			waiting, err := s.Outbox().Waiting(t.Context(), id)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range waiting {
				list = append(list, string(e.Person))
			}
			slices.Sort(list)
			return list
		}
		if got := people(); !slices.Equal(got, []string{"p1", "p2"}) {
			t.Errorf("got %v, want p1 and p2", got)
		}
		claimed, err := s.Outbox().Claim(t.Context(), roster.NewToken(), departs, time.Minute, 100, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := people(); !slices.Equal(got, []string{"p1", "p2"}) {
			t.Errorf("while they are being sent: got %v, want p1 and p2", got)
		}
		for _, c := range claimed {
			if c.Person != "p2" {
				continue
			}
			if err := s.Outbox().Sent(t.Context(), c); err != nil {
				t.Fatal(err)
			}
		}
		if got := people(); !slices.Equal(got, []string{"p1"}) {
			t.Errorf("when one was sent: got %v, want p1", got)
		}
	})
}
