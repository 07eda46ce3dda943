package shopapi_test

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// unread is a body that nobody may read.
type unread struct{ t *testing.T }

func (u unread) Read([]byte) (int, error) {
	u.t.Error("the body was read before the key was judged")
	return 0, http.ErrBodyReadAfterClose
}

// Whoever has no good key gets nothing read, stored or looked up of what they send.
func TestBodyIsNotReadWithoutAKey(t *testing.T) {
	s := newStage(t)
	for _, key := range []string{"", "Bearer nope", "Bearer " + keyOne + "x", "Basic " + keyOne} {
		r := httptest.NewRequest(http.MethodPost, "https://gas.example/v1/trips", unread{t})
		r.Header.Set("Content-Type", "application/json")
		if key != "" {
			r.Header.Set("Authorization", key)
		}
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, r)
		if w.Code != http.StatusUnauthorized {
			t.Errorf("%q: %d, want 401", key, w.Code)
		}
	}
}
