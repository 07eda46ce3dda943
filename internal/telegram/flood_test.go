package telegram

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gasmuster/internal/delivery"
)

// An account that writes without end is told once that nothing more is
// recorded; others are heard, and so is it a second later.
func TestFloodIsHeldBack(t *testing.T) {
	now := time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	r := newRig(t, byWebhook, func(r *rig) { r.cfg.Now = func() time.Time { return now } })
	r.run()
	r.api.User(7001, "Tomasz", "en").Start("")
	r.heard(1)
	n := 0
	say := func(account int64) int {
		n++
		return answer(r.ch, "POST", secret, strings.NewReader(fmt.Sprintf(
			`{"update_id":%d,"message":{"message_id":%d,"date":1795592000,"text":"32.4","chat":{"id":%d,"type":"private"},"from":{"id":%d}}}`, n, n, account, account))).StatusCode
	}
	heard := len(r.desk.inbound())
	for range saidAtOnce + 20 {
		if got := say(7001); got != 200 {
			t.Fatalf("status %d: it would come again", got)
		}
	}
	if got := len(r.desk.inbound()) - heard; got != saidAtOnce-1 && got != saidAtOnce { // Start was one
		t.Errorf("%d were handled, want %d", got, saidAtOnce-1)
	}
	r.ch.later.wait()
	told := 0
	for _, m := range r.api.Messages(7001) {
		if strings.Contains(m.Text, "NOT RECORDED") && strings.Contains(m.Text, "Too many messages") {
			told++
		}
	}
	if told != 1 {
		t.Errorf("told %d times, want once", told)
	}
	heard = len(r.desk.inbound())
	say(7002)
	now = now.Add(saidEvery)
	say(7001)
	say(7001)
	if got := len(r.desk.inbound()) - heard; got != 2 {
		t.Errorf("another account and one a second later: %d handled, want 2", got)
	}
}

// What has to come again because the store is away is not held against anybody.
func TestFloodCountsWhatWasTaken(t *testing.T) {
	r := newRig(t, byWebhook, func(r *rig) { now := time.Now(); r.cfg.Now = func() time.Time { return now } })
	r.desk.answer = func(delivery.Inbound) (*delivery.Reply, error) { return nil, errStoreDown }
	for range 3 * saidAtOnce {
		if got := answer(r.ch, "POST", secret, strings.NewReader(fmt.Sprintf(textUpdate, 1))).StatusCode; got != 503 {
			t.Fatalf("status %d, want 503 as long as the store is away", got)
		}
	}
	r.desk.answer = nil
	if got := answer(r.ch, "POST", secret, strings.NewReader(fmt.Sprintf(textUpdate, 1))).StatusCode; got != 200 ||
		len(r.desk.inbound()) != 1 {
		t.Errorf("status %d, %d handled when it is back", got, len(r.desk.inbound()))
	}
}

func TestFloodForgetsAccounts(t *testing.T) {
	f, now := newFlood(), time.Now()
	for id := range int64(accountsKept + 1000) {
		f.took(id+1, now)
	}
	if n := f.accounts.Len(); n != accountsKept {
		t.Errorf("%d accounts are remembered, want %d", n, accountsKept)
	}
}
