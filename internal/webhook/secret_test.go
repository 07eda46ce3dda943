package webhook

import (
	"strings"
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// The vector of the Standard Webhooks repository (libraries/go/webhook_test.go):
// secret, id, timestamp, payload and the signature they have to yield.
func TestSignatureOfTheSpecification(t *testing.T) {
	s := newStage(t)
	e := roster.Endpoint{Secret: s.desk.Sealer.Seal("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", string(shop))}
	got, err := s.teller.sign(shop, e, "msg_p5jXN8AQM9LWM0D4loKWxJek", time.Unix(1614265330, 0),
		[]byte(`{"test": 2432232314}`))
	if want := "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="; err != nil || got != want {
		t.Errorf("got %s, %v, want %s", got, err, want)
	}
}

func TestAnotherSecretDoesNotVerify(t *testing.T) {
	s := newStage(t)
	s.register()
	s.happens(newTrip("aaaaaaaaaa"), 1)
	other := newSecret()
	s.rec.secret = append(s.rec.secret, other)
	s.tell()
	if len(s.rec.bad) != 1 || !strings.Contains(s.rec.bad[0], "no matching signature") {
		t.Errorf("with another secret: got %v, want one signature that doesn't match", s.rec.bad)
	}
}

func TestRotationSignsWithBoth(t *testing.T) {
	s := newStage(t)
	s.register()
	old := s.rec.secret[0]
	s.register()
	s.rec.secret = append(s.rec.secret, old)
	trip := newTrip("aaaaaaaaaa")
	s.happens(trip, 1)
	s.tell()
	s.wantGot("aaaaaaaaaa_1") // both verify
	s.now = s.now.Add(25 * time.Hour)
	s.happens(trip, 1)
	s.tell()
	if len(s.rec.bad) != 1 {
		t.Errorf("a day later: got %v, want one failure, of the old secret", s.rec.bad)
	}
}

// The store alone doesn't hold what is needed for signing.
func TestSecretIsSealed(t *testing.T) {
	s := newStage(t)
	s.register()
	if dump := s.mini.Dump(); strings.Contains(dump, s.rec.secret[0]) ||
		strings.Contains(dump, strings.TrimPrefix(s.rec.secret[0], "whsec_")) {
		t.Error("the signing secret stands in the store in the clear")
	}
	sealed := s.desk.Sealer.Seal("whsec_x", "one")
	if _, err := s.desk.Sealer.Open(sealed, "two"); err == nil {
		t.Error("one shop's secret opens for another")
	}
	other, err := NewSealer("another secret")
	must(t, err)
	if _, err := other.Open(sealed, "one"); err == nil {
		t.Error("a secret opens under another deployment's secret")
	}
	sealed[len(sealed)-1] ^= 1
	if _, err := s.desk.Sealer.Open(sealed, "one"); err == nil {
		t.Error("a changed seal opens")
	}
	if _, err := s.desk.Sealer.Open(nil, "one"); err == nil {
		t.Error("nothing opens")
	}
}

func TestSecretThatCantBeReadDisables(t *testing.T) {
	s := newStage(t)
	s.register()
	other, err := NewSealer("the deployment's secret was changed")
	must(t, err)
	s.teller.cfg.Sealer = other
	s.happens(newTrip("aaaaaaaaaa"), 1)
	s.tell()
	e, err := s.desk.Endpoint(t.Context(), shop)
	must(t, err)
	if e.Disabled.IsZero() || !strings.Contains(e.Reason, "register the endpoint again") {
		t.Errorf("got %+v", e)
	}
}
