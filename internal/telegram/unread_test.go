package telegram

import (
	"errors"
	"testing"
)

type unread struct{ t *testing.T }

func (u unread) Read([]byte) (int, error) {
	u.t.Error("the body was read before the secret was judged")
	return 0, errors.New("read")
}

// Whoever does not know the webhook's secret gets nothing read of what they send.
func TestBodyIsNotReadWithoutTheSecret(t *testing.T) {
	r := newRig(t, byWebhook)
	for _, given := range []string{"", "x", secret + "x", secret[:len(secret)-1], "HOOK_SECRET-1"} {
		if got := answer(r.ch, "POST", given, unread{t}).StatusCode; got != 401 {
			t.Errorf("%q: status %d, want 401", given, got)
		}
	}
}
