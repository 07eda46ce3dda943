package rdb_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/roster"
	"gasmuster/internal/roster/rdb"
)

// Another stored form is refused, saying which and which is ours, and a commit
// on what was loaded before writes nothing over it.
func TestAnotherFormIsRefused(t *testing.T) {
	for _, form := range []int{roster.SchemaVersion - 1, roster.SchemaVersion + 1} {
		t.Run(fmt.Sprint(form), func(t *testing.T) {
			eachServer(t, func(t *testing.T, srv *server) {
				s := rdb.New(srv.client)
				trip := create(t, s, "aaaaaaaaaa")
				// As a program of that form would: under another version and token.
				must(t, srv.client.HSet(t.Context(), rdb.TripKey(trip.ID), "v", 2, "by", "theirs",
					"data", fmt.Sprintf(`{"id":"aaaaaaaaaa","schema":%d,"unheard_of":[]}`, form)).Err())
				before := dump(t, srv.client)
				_, err := s.Load(t.Context(), trip.ID, "")
				for _, part := range []string{fmt.Sprint("stored form ", form), fmt.Sprint("which is ", roster.SchemaVersion)} {
					if err == nil || !strings.Contains(err.Error(), part) || errors.Is(err, roster.ErrNotFound) {
						t.Errorf("got %v, want a fault that names %q", err, part)
					}
				}
				if _, err := s.Commit(t.Context(), commitOf(trip, rename("Sunday"))); !errors.Is(err, roster.ErrConflict) {
					t.Errorf("commit: got %v, want a conflict", err)
				}
				if d := cmp.Diff(before, dump(t, srv.client)); d != "" {
					t.Errorf("something was written (-before +after):\n%s", d)
				}
			})
		})
	}
}

// A part or a person that is missing or can't be read keeps the trip from being
// taken for a smaller one.
func TestMissingFieldIsAFault(t *testing.T) {
	eachServer(t, func(t *testing.T, srv *server) {
		s := rdb.New(srv.client)
		key := rdb.TripKey(create(t, s, "aaaaaaaaaa").ID)
		for _, field := range []string{"data", "plan", "course", "queue", "rounds", "next", "v", "person:p1", "person:p2",
			"cylinder:c3"} {
			was := srv.client.HGet(t.Context(), key, field).Val()
			must(t, srv.client.HDel(t.Context(), key, field).Err())
			for range 2 {
				if _, err := s.Load(t.Context(), "aaaaaaaaaa", ""); err == nil || errors.Is(err, roster.ErrNotFound) {
					t.Errorf("%s: got %v, want a fault", field, err)
				}
				must(t, srv.client.HSet(t.Context(), key, field, "{broken").Err())
			}
			must(t, srv.client.HSet(t.Context(), key, field, was).Err())
		}
		load(t, s, "aaaaaaaaaa", "")
	})
}

// How a trip is laid out in its hash is written down here, what its parts hold in
// testdata/stored: neither changes unawares.
func TestStoredTrip(t *testing.T) {
	srv := embedded(t)
	s := rdb.New(srv.client)
	trip := create(t, s, "aaaaaaaaaa", token("tok1"), session("p2", `{"state":"x"}`))
	mustCommit(t, s, trip, token("tok2"))
	want := map[string]any{"v": 2, "by": "tok2 tok1 ",
		"data": json.RawMessage(`{"id":"aaaaaaaaaa","schema":1,"shop":"bluebarrel","order":["p1","p2"]}`),
		"plan": trip.Plan, "course": trip.Course, "queue": trip.Queue, "gate": trip.Gate, "rounds": trip.Rounds,
		"next":      trip.Next,
		"person:p1": json.RawMessage(`{"id":"p1","name":"Inês","leader":true,"card":"","generation":0}`), "noted:p1": 0,
		"noted:p2":    0,
		"person:p2":   json.RawMessage(`{"id":"p2","name":"Tomasz","card":"","generation":0,"cylinders":["c3"]}`),
		"cylinder:c3": trip.People[1].Cylinders[0], "session:p2": json.RawMessage(`{"state":"x"}`),
	}
	got := srv.client.HGetAll(t.Context(), rdb.TripKey(trip.ID)).Val()
	for field, v := range want {
		text, plain := v.(string)
		if !plain {
			b, err := json.Marshal(v)
			must(t, err)
			text = string(b)
		}
		if got[field] != text {
			t.Errorf("%s: got %s, want %s", field, got[field], text)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d fields, want %d: %v", len(got), len(want), got)
	}
}
