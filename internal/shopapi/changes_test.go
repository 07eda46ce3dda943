package shopapi_test

import (
	"net/http"
	"strings"
	"testing"
)

// A shop's script that never stops can't make a trip grow without end; the
// trip's own people go on.
func TestChangesAreBounded(t *testing.T) {
	s := newStage(t)
	b := s.book()
	path := "/v1/trips/" + string(b.ID)
	for _, key := range s.mini.Keys() {
		if strings.HasSuffix(key, ":trip:"+string(b.ID)) {
			s.mini.HSet(key, "v", "49999")
		}
	}
	s.ask("PATCH", path, `{"name":"the last"}`, "Content-Type", "application/merge-patch+json").want(http.StatusOK)
	for _, c := range [][3]string{{"PATCH", path, `{"name":"one too many"}`}, {"POST", path + "/fills/lock", ""},
		{"POST", path + "/announce", ""}} {
		kind := "application/json"
		if c[0] == "PATCH" {
			kind = "application/merge-patch+json"
		}
		got := s.ask(c[0], c[1], c[2], "Content-Type", kind).want(http.StatusConflict)
		if !strings.Contains(string(got.Body), "50000") {
			t.Errorf("%s %s: %s", c[0], c[1], got.Body)
		}
	}
	if got := s.ask("GET", path, ""); !strings.Contains(string(got.Body), "the last") {
		t.Errorf("the trip is %s", got.Body)
	}
}
