package shopapi_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"

	"gasmuster/internal/conversation"
	"gasmuster/internal/delivery"
	"gasmuster/internal/roster"
	"gasmuster/internal/webhook"
)

type hookAnswer struct {
	URL     string
	Enabled bool
	Waiting int `json:"waiting_events"`
	Secret  string
	Until   time.Time `json:"previous_secret_until"`
}

func TestWebhookIsRegisteredShownAndDropped(t *testing.T) {
	s := newStage(t)
	s.ask("GET", "/v1/webhook", "").want(http.StatusNotFound)
	var first, shown, second hookAnswer
	s.ask("PUT", "/v1/webhook", `{"url": "https://desk.example/gas"}`).want(http.StatusOK).into(&first)
	if !strings.HasPrefix(first.Secret, "whsec_") || len(first.Secret) < 40 || !first.Enabled {
		t.Errorf("registered: got %+v", first)
	}
	s.ask("GET", "/v1/webhook", "").want(http.StatusOK).into(&shown)
	if shown.Secret != "" || shown.URL != "https://desk.example/gas" {
		t.Errorf("shown: got %+v, want it without the secret", shown)
	}
	s.ask("PUT", "/v1/webhook", `{"url": "https://desk.example/gas"}`).want(http.StatusOK).into(&second)
	if second.Secret == first.Secret || !second.Until.Equal(s.now.Add(24*time.Hour)) {
		t.Errorf("registered again: got %+v", second)
	}
	s.ask("GET", "/v1/webhook", "", "Authorization", "Bearer "+keyTwo).want(http.StatusNotFound)
	s.ask("DELETE", "/v1/webhook", "", "Authorization", "Bearer "+keyTwo).want(http.StatusNoContent)
	s.ask("GET", "/v1/webhook", "").want(http.StatusOK)
	s.ask("DELETE", "/v1/webhook", "").want(http.StatusNoContent)
	s.ask("GET", "/v1/webhook", "").want(http.StatusNotFound)
}

func TestWebhooksNeedAKey(t *testing.T) {
	s := newStage(t)
	for _, c := range [][3]string{{"GET", "/v1/webhook", ""}, {"PUT", "/v1/webhook", `{"url": "https://desk.example/"}`},
		{"DELETE", "/v1/webhook", ""},
		{"GET", "/v1/webhook/deliveries", ""}, {"POST", "/v1/webhook/replay", `{"from": "abcdefghij_1"}`}} {
		s.ask(c[0], c[1], c[2], "Authorization", "Bearer nope").want(http.StatusUnauthorized)
	}
}

func TestWebhookRefuses(t *testing.T) {
	s := newStage(t)
	for body, at := range map[string]string{
		`{"url": "http://desk.example/"}`:                 "/url",
		`{"url": "https://127.0.0.1/"}`:                   "/url",
		`{"url": "https://169.254.169.254/latest"}`:       "/url",
		`{"url": "https://localhost:8080/"}`:              "/url",
		`{"url": 5}`:                                      "/url",
		`{}`:                                              "/url",
		`{"url": "https://desk.example/", "secret": "x"}`: "/secret",
	} {
		r := s.ask("PUT", "/v1/webhook", body).want(http.StatusUnprocessableEntity)
		if _, ok := r.pointers()[at]; !ok {
			t.Errorf("%s: got %s, want a fault at %s", body, r.Body, at)
		}
	}
	s.ask("GET", "/v1/webhook", "").want(http.StatusNotFound)
	s.ask("GET", "/v1/webhook/deliveries?limit=0", "").want(http.StatusUnprocessableEntity)
	s.ask("GET", "/v1/webhook/deliveries?before=yesterday", "").want(http.StatusUnprocessableEntity)
	s.ask("GET", "/v1/webhook/deliveries?page=2", "").want(http.StatusUnprocessableEntity)
}

func TestDeliveryLogIsTheShopsOwn(t *testing.T) {
	s := newStage(t)
	for i := range 3 {
		d := roster.Delivery{Event: fmt.Sprintf("abcdefghij_%d", i+1), Trip: "abcdefghij", Type: "reading.recorded",
			At: s.now.Add(time.Duration(i) * time.Minute), Attempt: 1, Result: "failed", Status: 500, Reason: "answered 500"}
		if err := s.store.News().LogDelivery(context.Background(), "one", d); err != nil {
			t.Fatal(err)
		}
	}
	var log struct{ Deliveries []roster.Delivery }
	s.ask("GET", "/v1/webhook/deliveries?limit=2", "").want(http.StatusOK).into(&log)
	if len(log.Deliveries) != 2 || log.Deliveries[0].Event != "abcdefghij_3" {
		t.Errorf("got %+v", log)
	}
	s.ask("GET", "/v1/webhook/deliveries?before="+s.now.Format(time.RFC3339), "").want(http.StatusOK).into(&log)
	if len(log.Deliveries) != 1 || log.Deliveries[0].Event != "abcdefghij_1" {
		t.Errorf("before: got %+v", log)
	}
	s.ask("GET", "/v1/webhook/deliveries", "", "Authorization", "Bearer "+keyTwo).want(http.StatusOK).into(&log)
	if len(log.Deliveries) != 0 {
		t.Errorf("the other shop sees %+v", log)
	}
}

func TestReplayFromAnEvent(t *testing.T) {
	s := newStage(t)
	b := s.book()
	p := b.diver(t, "Tomasz")
	s.joined(b, p)
	s.says(b, p, "17: 32.1")
	raw, err := s.store.Events(context.Background(), b.ID)
	if err != nil || len(raw) == 0 {
		t.Fatalf("no events: %v", err)
	}
	first := fmt.Sprintf(`{"from": "%s_1"}`, b.ID)
	s.ask("POST", "/v1/webhook/replay", first).want(http.StatusConflict) // nobody listens
	s.ask("PUT", "/v1/webhook", `{"url": "https://desk.example/gas"}`).want(http.StatusOK)
	var got struct{ Events int }
	s.ask("POST", "/v1/webhook/replay", first).want(http.StatusAccepted).into(&got)
	if got.Events != len(raw) {
		t.Errorf("to be told: got %d, want %d", got.Events, len(raw))
	}
	s.ask("POST", "/v1/webhook/replay", fmt.Sprintf(`{"from": "%s_%d"}`, b.ID, len(raw)+1)).want(http.StatusNotFound)
	s.ask("POST", "/v1/webhook/replay", `{"from": "abcdefghij_1"}`).want(http.StatusNotFound)
	for _, wrong := range []string{`{"from": "nonsense"}`, `{"from": ""}`, `{}`, `{"from": 1}`} {
		s.ask("POST", "/v1/webhook/replay", wrong).want(http.StatusUnprocessableEntity)
	}
	s.ask("PUT", "/v1/webhook", `{"url": "https://other.example/"}`, "Authorization", "Bearer "+keyTwo).want(http.StatusOK)
	s.ask("POST", "/v1/webhook/replay", first, "Authorization", "Bearer "+keyTwo).want(http.StatusNotFound)
}

// The events of a day are as the document says.
func TestEventsAreAsDocumented(t *testing.T) {
	schemas := eventSchemas(t)
	s := newStage(t)
	b := s.book()
	for _, p := range append(b.Leaders, b.Divers...) {
		s.joined(b, p)
		for _, c := range p.Cylinders {
			label := c.Label
			if label == "" {
				label = "X" + string(c.ID)
			}
			s.says(b, p, label+": 33.9")
		}
	}
	s.does(b, b.diver(t, "Tomasz"), delivery.Inbound{Kind: conversation.Lost, Reason: "blocked"})
	raw, err := s.store.Events(context.Background(), b.ID)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, e := range raw {
		body, kind, err := webhook.Body(b.ID, e, nil)
		if err != nil {
			t.Fatal(err)
		}
		seen[kind] = true
		schema := schemas[kind]
		if schema == nil {
			t.Errorf("%s is not documented", kind)
			continue
		}
		var v any
		if err := json.Unmarshal(body, &v); err != nil {
			t.Fatal(err)
		}
		if schema.VisitJSON(map[string]any{"type": kind}, openapi3.EnableJSONSchema2020()) == nil {
			t.Errorf("%s: the document takes anything", kind)
		}
		if err := schema.VisitJSON(v, openapi3.EnableJSONSchema2020()); err != nil {
			t.Errorf("%s is not as documented: %v\n%s", kind, err, body)
		}
	}
	for _, kind := range []string{"reading.recorded", "verdict.changed", "fill.questioned"} {
		if !seen[kind] {
			t.Errorf("this day had no %s: got %v", kind, seen)
		}
	}
}

func eventSchemas(t *testing.T) map[string]*openapi3.Schema {
	t.Helper()
	b, err := os.ReadFile("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Webhooks map[string]struct {
			Post struct {
				RequestBody struct {
					Content map[string]struct{ Schema *openapi3.Schema }
				}
			}
		}
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	schemas := map[string]*openapi3.Schema{}
	for name, w := range doc.Webhooks {
		schemas[name] = w.Post.RequestBody.Content["application/json"].Schema
	}
	return schemas
}
