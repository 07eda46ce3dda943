package shopapi_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestCreateTripAnswersIdsInvitesAndTheRequestCheck(t *testing.T) {
	s := newStage(t)
	r := s.ask("POST", "/v1/trips", sample(t)).want(http.StatusCreated)
	var b trip
	r.into(&b)
	if got, want := r.Header.Get("Location"), "/v1/trips/"+string(b.ID); got != want {
		t.Errorf("Location: got %q, want %q", got, want)
	}
	for _, p := range append(b.Leaders, b.Divers...) {
		if p.Invite == nil || p.Invite.Chat != "https://gas.example/c/"+p.Invite.Code ||
			p.Invite.Telegram != "https://t.me/a_bot?start="+p.Invite.Code {
			t.Errorf("invite of %s: %+v", p.Name, p.Invite)
		}
	}
	check := b.diver(t, "Tomasz").Cylinders[0].Check
	// NOAA: MOD = (1.4 / 0.36 - 1) x 10 = 28.8 m, so 33.5 m is too deep for 36 %;
	// 1.4 / 4.35 = 32.18 %, so 32 fits at all and 31 fits when it comes out at 32.
	if check == nil || check.Status != "no-go" || check.MOD != 28 || check.Recommended != 31 || check.Richest != 32 {
		t.Errorf("check of 36 %% at 33.5 m: got %+v, want no-go, MOD 28, recommended 31, richest 32", check)
	}
	if check != nil && (len(check.Findings) == 0 || strings.Contains(check.Findings[0].Text, "⟦")) {
		t.Errorf("findings: %+v", check.Findings)
	}
	if c := b.diver(t, "Marit").Cylinders[0].Check; c == nil || c.Status == "no-go" {
		t.Errorf("check of air without a card: %+v", c)
	}
	var again trip
	s.ask("GET", b.path(""), "").want(http.StatusOK).into(&again)
	if diff := cmp.Diff(b, again); diff != "" {
		t.Errorf("GET differs from what POST answered:\n%s", diff)
	}
	if again.Dives[1]["bottom"] != "none" || again.Dives[0]["bottom"] != 36.0 || again.Dives[0]["depth"] != 33.5 {
		t.Errorf("dives: %v", again.Dives)
	}
}

func TestEveryFaultIsListedAtOnce(t *testing.T) {
	s := newStage(t)
	const bad = `{"name": "", "time_zone": "Azores", "departs_at": "tomorrow", "units": "fathoms", "captain": "x",
	 "dives": [{"site": "Anvil Ledge", "depth": -3, "bottom": "sand", "tide": 1}, {"site": "Wall", "depth": "18"}],
	 "policy": {"ppo2": 1.5},
	 "leaders": [],
	 "divers": [{"name": "Tomasz", "card": "maybe", "cylinders": [{"asked": 50, "dive": 3}, {"dive": 1.5}]},
	            {"name": "Marit", "language": "klingon speak", "cylinders": [{"asked": 32, "label": "7"}]},
	            {"name": "Yusuf", "cylinders": [{"asked": 21, "label": "7"}]}]}`
	got := s.ask("POST", "/v1/trips", bad).want(http.StatusUnprocessableEntity).pointers()
	for _, at := range []string{"/name", "/time_zone", "/departs_at", "/units", "/captain", "/dives/0/depth",
		"/dives/0/bottom",
		"/dives/0/tide", "/dives/1/depth", "/policy/ppo2", "/leaders", "/divers/0/card", "/divers/0/cylinders/0/asked",
		"/divers/0/cylinders/0/dive", "/divers/0/cylinders/1/asked", "/divers/0/cylinders/1/dive", "/divers/1/language",
		"/divers/2/cylinders/0/label"} {
		if got[at] == "" {
			t.Errorf("no fault at %s; got %v", at, got)
		}
	}
	var list struct{ Trips []trip }
	s.ask("GET", "/v1/trips", "").want(http.StatusOK).into(&list)
	if len(list.Trips) != 0 {
		t.Errorf("a refused trip was stored: %v", list.Trips)
	}
}

func TestBadDocuments(t *testing.T) {
	cases := map[string]struct {
		body, mediaType string
		status          int
	}{
		"not JSON":        {"{", "application/json", 400},
		"two values":      {"{} {}", "application/json", 400},
		"nested too deep": {strings.Repeat("[", 40) + strings.Repeat("]", 40), "application/json", 400},
		"an array":        {"[]", "application/json", 422},
		"wrong type":      {"{}", "text/plain", 415},
		"no type":         {"{}", "", 415},
		"too large":       {`{"name": "` + strings.Repeat("x", 600<<10) + `"}`, "application/json", 413},
		"a name twice":    {`{"name": "a", "name": "b"}`, "application/json", 422},
		"huge number":     {`{"dives": [{"site": "x", "depth": 1e999}]}`, "application/json", 422},
	}
	s := newStage(t)
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			r := s.ask("POST", "/v1/trips", c.body, "Content-Type", c.mediaType)
			if r.Status != c.status {
				t.Errorf("got %d, want %d: %s", r.Status, c.status, r.Body)
			}
			if got := r.Header.Get("Content-Type"); got != "application/problem+json" {
				t.Errorf("Content-Type: got %q", got)
			}
		})
	}
}

func TestDepartureInThePastIsRefused(t *testing.T) {
	s := newStage(t)
	body := strings.Replace(sample(t), "2027-05-15T08:30:00Z", "2027-05-12T08:30:00Z", 1)
	if got := s.ask("POST", "/v1/trips", body).want(422).pointers(); got["/departs_at"] == "" {
		t.Errorf("got %v", got)
	}
}

func TestIdempotencyKey(t *testing.T) {
	s := newStage(t)
	key := []string{"Idempotency-Key", "5b0e0f6e-order-1"}
	first := s.ask("POST", "/v1/trips", sample(t), key...).want(http.StatusCreated)
	second := s.ask("POST", "/v1/trips", sample(t), key...).want(http.StatusCreated)
	if diff := cmp.Diff(string(first.Body), string(second.Body)); diff != "" {
		t.Errorf("the second answer differs:\n%s", diff)
	}
	s.ask("POST", "/v1/trips", strings.Replace(sample(t), "two-tank", "one-tank", 1),
		key...).want(http.StatusUnprocessableEntity)
	var list struct{ Trips []trip }
	s.ask("GET", "/v1/trips", "").want(http.StatusOK).into(&list)
	if len(list.Trips) != 1 {
		t.Errorf("trips: got %d, want 1", len(list.Trips))
	}
	s.mini.FastForward(25 * time.Hour) // the key is forgotten, the trip is not made twice
	s.ask("POST", "/v1/trips", sample(t), key...).want(http.StatusCreated)
	s.ask("GET", "/v1/trips", "").want(http.StatusOK).into(&list)
	if len(list.Trips) != 1 {
		t.Errorf("trips after a day: got %d, want 1", len(list.Trips))
	}
}

func TestListBySpan(t *testing.T) {
	s := newStage(t)
	b := s.book()
	cases := map[string]int{"": 1, "?from=2027-05-15&to=2027-05-16": 1, "?from=2027-05-16": 0,
		"?to=2027-05-15T08:30:00Z": 0, "?from=2027-05-15T08:30:00Z": 1}
	for query, want := range cases {
		var list struct {
			Trips []struct {
				ID     string
				Status string
			}
		}
		s.ask("GET", "/v1/trips"+query, "").want(http.StatusOK).into(&list)
		if len(list.Trips) != want {
			t.Errorf("%q: got %d trips, want %d", query, len(list.Trips), want)
		}
		if want == 1 && (list.Trips[0].ID != string(b.ID) || list.Trips[0].Status != "not-cleared") {
			t.Errorf("%q: got %+v", query, list.Trips[0])
		}
	}
	for _, query := range []string{"?from=yesterday", "?from=2027-05-16&to=2027-05-15", "?since=2027-05-15"} {
		s.ask("GET", "/v1/trips"+query, "").want(http.StatusUnprocessableEntity)
	}
}

func TestPatchTrip(t *testing.T) {
	s := newStage(t)
	b := s.book()
	var got trip
	s.ask("PATCH", b.path(""),
		`{"name": "Sunday two-tank", "departs_at": "2027-05-16T09:00:00+01:00", "policy": {"ppo2": 1.3}}`,
		"Content-Type", "application/merge-patch+json").want(http.StatusOK).into(&got)
	if got.Name != "Sunday two-tank" || !got.Departs.Equal(time.Date(2027, 5, 16, 8, 0, 0, 0, time.UTC)) ||
		got.Policy["ppo2"] != 1.3 || got.Policy["ppo2_max"] != 1.6 {
		t.Errorf("got %+v", got)
	}
	// RFC 7386: null removes, which for a policy means its default.
	s.ask("PATCH", b.path(""), `{"policy": {"ppo2": null}}`).want(http.StatusOK).into(&got)
	if got.Policy["ppo2"] != 1.4 {
		t.Errorf("ppo2 after null: got %v, want the default", got.Policy["ppo2"])
	}
	s.ask("PATCH", b.path(""),
		`{"dives": [{"site": "Anvil Ledge", "depth": 25, "bottom": 30, "minutes": 18}, {"site": "Lime Kiln Wall", "depth": 18, "minutes": 40}]}`).
		want(http.StatusOK).into(&got)
	if got.Dives[0]["depth"] != 25.0 {
		t.Errorf("dives: %v", got.Dives)
	}
	if c := got.diver(t, "Tomasz").Cylinders[0].Check; c == nil || c.Status == "no-go" {
		t.Errorf("36 %% at 25 m: %+v", c) // MOD 28.8 m
	}
}

func TestPatchTripRefuses(t *testing.T) {
	s := newStage(t)
	b := s.book()
	cases := map[string]struct{ patch, at string }{
		"units":             {`{"units": "yd"}`, "/units"},
		"zone":              {`{"time_zone": "Azores"}`, "/time_zone"},
		"no name":           {`{"name": null}`, "/name"},
		"past":              {`{"departs_at": "2027-05-01T08:00:00Z"}`, "/departs_at"},
		"dive with divers":  {`{"dives": [{"site": "Anvil Ledge", "depth": 25, "minutes": 18}]}`, "/dives"},
		"no dive":           {`{"dives": []}`, "/dives"},
		"policy bounds":     {`{"policy": {"ppo2": 1.6}}`, "/policy/ppo2"},
		"policy unknown":    {`{"policy": {"ppO2": 1.2}}`, "/policy/ppO2"},
		"bottom over depth": {`{"dives": [{"site": "A", "depth": 25, "bottom": 20, "minutes": 18}, {"site": "B", "depth": 18, "minutes": 40}]}`, "/dives/0/bottom"},
		"no minutes": {`{"dives": [{"site": "A", "depth": 25}, {"site": "B", "depth": 18, "minutes": 40}]}`,
			"/dives/0/minutes"},
		"deeper than allowed": {`{"dives": [{"site": "A", "depth": 45, "minutes": 10}, {"site": "B", "depth": 18, "minutes": 40}]}`, "/dives/0/depth"},
		"deepest":             {`{"policy": {"deepest": 61}}`, "/policy/deepest"},
		"first dive":          {`{"first_dive_after": -5}`, "/first_dive_after"},
		"ready too late":      {`{"cylinders_ready_at": "2027-05-15T08:31:00Z"}`, "/cylinders_ready_at"},
		"ready is no time":    {`{"cylinders_ready_at": "seven"}`, "/cylinders_ready_at"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			if got := s.ask("PATCH", b.path(""), c.patch).want(422).pointers(); got[c.at] == "" {
				t.Errorf("no fault at %s; got %v", c.at, got)
			}
		})
	}
	var after trip
	s.ask("GET", b.path(""), "").want(200).into(&after)
	if diff := cmp.Diff(b, after); diff != "" {
		t.Errorf("a refused patch changed the trip:\n%s", diff)
	}
}

func TestLoosenedPolicyWaitsForTheLeader(t *testing.T) {
	s := newStage(t)
	b := s.book()
	s.ask("PATCH", b.path(""), `{"policy": {"ppo2": 1.2}}`).want(200)
	s.joined(b, b.diver(t, "Marit"))
	s.says(b, b.diver(t, "Marit"), "20.9")
	var got trip
	s.ask("PATCH", b.path(""), `{"policy": {"ppo2": 1.4, "gf": 80}}`).want(200).into(&got)
	if got.Policy["ppo2"] != 1.2 || got.Policy["gf"] != 80.0 || got.Wanted.Policy["ppo2"] != 1.4 {
		t.Errorf("policy %v, wanted %v: the stricter part counts at once, the looser waits", got.Policy, got.Wanted.Policy)
	}
}

// When the cylinders can be analysed: as usual, as planned, along with the
// departure, and as the shop says.
func TestCylindersReady(t *testing.T) {
	s := newStage(t)
	b := s.book()
	ready := func(method, path, body string) string {
		t.Helper()
		var out struct {
			At string `json:"cylinders_ready_at"`
		}
		s.ask(method, b.path(path), body).want(http.StatusOK).into(&out)
		return out.At
	}
	for _, step := range []struct{ what, method, path, body, want string }{
		{"as usual", "GET", "", "", "2027-05-15T07:00:00Z"},
		{"as planned", "PATCH", "", `{"cylinders_ready_at": "2027-05-15T06:40:00Z"}`, "2027-05-15T06:40:00Z"},
		{"moved with the departure", "PATCH", "", `{"departs_at": "2027-05-15T09:30:00Z"}`, "2027-05-15T07:40:00Z"},
		{"as usual again", "PATCH", "", `{"cylinders_ready_at": null}`, "2027-05-15T08:00:00Z"},
		{"now", "POST", "/ready", "", s.now.UTC().Format(time.RFC3339)},
	} {
		if got := ready(step.method, step.path, step.body); got != step.want {
			t.Errorf("%s: got %s, want %s", step.what, got, step.want)
		}
	}
	s.now = time.Date(2027, 5, 15, 9, 31, 0, 0, time.UTC)
	s.ask("POST", b.path("/ready"), "").want(http.StatusConflict)
}
