package conversation

import (
	"testing"
	"time"

	"gasmuster/internal/roster"
)

// "No, 31.4" means the newest number: the one sent last, also when messages
// overtook each other; but not one from before the clock was set back.
func TestNewestReading(t *testing.T) {
	now := time.Date(2027, 5, 15, 7, 0, 0, 0, time.UTC)
	reading := func(sent, stored int) *roster.Reading {
		return &roster.Reading{At: now.Add(time.Duration(sent) * time.Minute), Taken: now.Add(time.Duration(stored) * time.Minute)}
	}
	for _, tt := range []struct {
		name string
		a, b *roster.Reading
		want bool
	}{
		{"sent later", reading(-1, -1), reading(-2, -2), true},
		{"sent earlier", reading(-2, -2), reading(-1, -1), false},
		{"sent earlier, overtaken", reading(-2, 0), reading(-1, -1), false},
		{"in the same instant", reading(-1, -1), reading(-1, -1), true},
		{"after the clock was set back", reading(-1, -1), reading(50, 50), true},
		{"before the clock was set back", reading(50, 50), reading(-1, -1), false},
		{"both before it was set back", reading(50, 50), reading(51, 51), false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := (&turn{now: now}).newer(tt.a, tt.b); got != tt.want {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}
