package desk_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// With the store away a look says that nothing could be looked up, and only what
// was sent may be stored.
func TestWordsWhenTheStoreIsAway(t *testing.T) {
	s := newStage(t)
	s.signIn(keyOne)
	s.mini.SetError("LOADING")
	looked := s.get("/desk").want(http.StatusServiceUnavailable).says("can't be looked up at the moment")
	if strings.Contains(looked.words(), "not certain") {
		t.Errorf("a look speaks of storing:\n%s", looked.words())
	}
	s.post("/desk/trips/new", url.Values{}).want(http.StatusServiceUnavailable).says("it is not certain what was stored")
}
