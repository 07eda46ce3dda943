package demo

import (
	"context"
	"encoding/json"
	"io"
	"testing"
	"time"

	"gasmuster/internal/message"
	"gasmuster/internal/message/messagetest"
)

// mostOfADay is how many messages the played day may have in all.
const mostOfADay = 59

// The played day keeps to the budget: every message, in every language, and how
// many there are.
func TestTheDayIsShort(t *testing.T) {
	r, all := message.New(), 0
	_, err := play(context.Background(), func(p *player) {
		script(p)
		for _, g := range p.s.people {
			n, words := 0, 0
			for _, e := range p.page(g.Name, "") {
				var m message.Message
				if e.Own || json.Unmarshal(e.Payload, &m) != nil {
					continue
				}
				m = p.linked(g.Name, m)
				n++
				words += messagetest.Words(r.Text(m, message.Reader{Zone: zone}, message.Plain), "en")
				for _, tag := range message.Languages() {
					if over := messagetest.Over(r, m, message.Reader{Language: tag, Zone: zone}); over != "" {
						t.Errorf("to %s: %s", g.Name, over)
					}
				}
			}
			t.Logf("%s: %d messages, %d words", g.Name, n, words)
			if g.Leader && (n > 20 || words > 900) {
				t.Errorf("the leader gets %d messages with %d words, at most 20 and 900", n, words)
			}
			all += n
		}
	}, io.Discard, func(time.Duration) {})
	if err != nil {
		t.Fatal(err)
	}
	if t.Logf("%d messages in all", all); all > mostOfADay {
		t.Errorf("the day has %d messages, at most %d", all, mostOfADay)
	}
}
